using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Witnessing;

/// <summary>A link by which the invited witness looks on while it is measured: it shows one witness point, changes nothing, and ends by itself.</summary>
/// <remarks>The link names its line in the record and nothing else; whether it opens is asked of the record each time.</remarks>
public static class LookingOn
{
    public const string TooLong = "R-WITNESS-13";
    public const string NoLink = "R-WITNESS-14";

    /// <summary>A site acceptance takes days; two working weeks after the visit nobody looks on any more (common practice, no source).</summary>
    public const int MostDaysAfter = 14;

    /// <summary>The link of a point that is in force; a newer one ends the one before, and so does a new invitation: it may be another person's. Null for none.</summary>
    /// <param name="today">yyyy-MM-dd in plant time.</param>
    public static WitnessEntry? At(MachineRecord machine, HoldPoint hold, string today)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return machine.Witness.LastOrDefault(w => w.Hold == hold.Id && w.Act is WitnessAct.MayLookOn or WitnessAct.LookingOnEnded or WitnessAct.Invited) is { Act: WitnessAct.MayLookOn } link
            && string.CompareOrdinal(today, link.Visit) <= 0 ? link : null;
    }

    /// <summary>The rule that forbids to give the invited witness a link; null when none does.</summary>
    /// <param name="until">yyyy-MM-dd, the last day it opens.</param>
    public static BrokenRule? WhyNotLetIn(MachineRecord machine, HoldPoint hold, string until, string today)
    {
        if (hold.Witness is null)
        {
            return new BrokenRule(WitnessRules.NoWitnessPoint, $"{hold.Id} {hold.Name} is no witness point; nobody looks on at it.");
        }

        if (WitnessStanding.Of(machine, hold).Invitation is not { } invited)
        {
            return new BrokenRule(WitnessRules.NotInvited, $"Nobody was invited to {hold.Id} of {machine.Serial} yet; who looks on is the witness invited.");
        }

        var last = Later(Later(invited.Visit!, today), DateOnly.ParseExact(invited.Visit!, Day, CultureInfo.InvariantCulture).AddDays(MostDaysAfter).ToString(Day, CultureInfo.InvariantCulture));
        return string.CompareOrdinal(until, today) < 0 || string.CompareOrdinal(until, last) > 0
            ? new BrokenRule(TooLong, FormattableString.Invariant($"A link to look on ends between today, {today}, and {MostDaysAfter} days after the visit of {invited.Visit}, {last}; {until} was asked for.")) : null;
    }

    /// <summary>The rule that forbids to end it; null when none does.</summary>
    public static BrokenRule? WhyNotEnd(MachineRecord machine, HoldPoint hold, string today) =>
        At(machine, hold, today) is null ? new BrokenRule(NoLink, $"No link to look on at {hold.Id} of {machine.Serial} is in force.") : null;

    private const string Day = "yyyy-MM-dd";

    private static string Later(string one, string other) => string.CompareOrdinal(one, other) >= 0 ? one : other;
}
