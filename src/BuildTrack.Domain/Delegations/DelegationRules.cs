using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Delegations;

/// <summary>When a right may be lent, and what may be done with it. A borrowed right is never lent on, and never passes a measurement of either of the two.</summary>
public static class DelegationRules
{
    public const string ToSelf = "R-DELE-01";
    public const string NotLent = "R-DELE-02";
    public const string Onward = "R-DELE-03";
    public const string NoRight = "R-DELE-04";
    public const string NotCovered = "R-DELE-05";
    public const string OwnMeasurement = "R-DELE-06";
    public const string NoAccess = "R-DELE-07";
    public const string EndedAlready = "R-DELE-08";
    public const string NotTheirs = "R-DELE-09";

    /// <summary>The rule that forbids a delegation; null when none does.</summary>
    /// <param name="own">The roles that who delegates holds in their own right.</param>
    /// <param name="lent">The roles that who delegates holds by delegation alone.</param>
    /// <param name="plan">The edition in force: which list a hold point asks for.</param>
    public static BrokenRule? WhyNotDelegate(Delegation asked, ImmutableArray<string> own, ImmutableArray<string> lent, ChecklistRevision plan, QualifiedPeople people)
    {
        if (asked.To == asked.By)
        {
            return new BrokenRule(ToSelf, $"{asked.By} cannot delegate to the own name.");
        }

        if (asked.Role == Roles.Administrator)
        {
            return new BrokenRule(NotLent, "The role administrator is not delegated: accounts, lists and limits stay with who answers for them.");
        }

        bool Right(ImmutableArray<string> roles) => asked.Role is { } role ? roles.Contains(role) : Permissions.May(roles.Remove(Roles.Delegate), ActKind.Release);
        if (!Right(own))
        {
            return Right(lent) || (asked.Role is null && lent.Contains(Roles.Delegate))
                ? new BrokenRule(Onward, $"{asked.By} holds {asked.What} by delegation; what is delegated is not passed on.")
                : new BrokenRule(NoRight, $"{asked.By} has no right to {asked.What}, and so cannot delegate it.");
        }

        return asked.Holds.Select(h => plan.Holds.FirstOrDefault(x => x.Id == h)).FirstOrDefault(h => h?.Qualified is { } list && !people.Has(list, asked.By)) is { } unlisted
            ? new BrokenRule(NoRight, $"{unlisted.Id} is released by somebody on the list \"{plan.FindQualification(unlisted.Qualified)?.Name}\"; {asked.By} is not on it, and so cannot delegate it.") : null;
    }

    /// <summary>The rule that forbids to end a delegation now; null when none does.</summary>
    public static BrokenRule? WhyNotEnd(Delegation delegation, string person, IEnumerable<string> roles, string day) =>
        delegation.End is { } end ? new BrokenRule(EndedAlready, $"Delegation {delegation.No} was ended on {end.Day} by {end.By}: {end.Reason}.")
        : string.CompareOrdinal(delegation.Until, day) < 0 ? new BrokenRule(EndedAlready, $"Delegation {delegation.No} ended with {delegation.Until}.")
        : person != delegation.By && person != delegation.To && !roles.Contains(Roles.Administrator)
            ? new BrokenRule(NotTheirs, $"Delegation {delegation.No} is ended by {delegation.By}, {delegation.To} or an administrator.")
        : null;

    /// <summary>What limits a person to the hold points that are delegated to them; null where the own right has no such limit.</summary>
    public static Func<MachineRecord, HoldPoint, BrokenRule?>? Limit(ImmutableArray<string> own, string person, ImmutableArray<Delegation> inForce) =>
        Permissions.May(own, ActKind.Release) ? null : (machine, hold) => ForRelease(machine, hold, person, inForce, inEmergency: false).WhyNot;

    /// <summary>The delegation under which a person without the own right releases a hold point; or the rule that forbids it.</summary>
    /// <param name="inForce">Delegations in force on the day, whose delegators still hold what they lend.</param>
    /// <param name="inEmergency">The release would pass over the own measurement: never under a delegation.</param>
    public static (Delegation? Under, BrokenRule? WhyNot) ForRelease(MachineRecord machine, HoldPoint hold, string person, IEnumerable<Delegation> inForce, bool inEmergency)
    {
        var own = inForce.Where(d => d.To == person).OrderBy(d => d.No).ToImmutableArray();
        var covering = own.Where(d => d.Releases(hold.Id)).ToImmutableArray();
        if (covering.IsEmpty)
        {
            return (null, new BrokenRule(NotCovered, $"{person} has no right to release {hold.Id} of {machine.Serial}{(own.IsEmpty ? "" : $": delegated is {string.Join("; ", own.Select(d => $"{d.What} from {d.From} to {d.Until} (delegation {d.No})"))}")}."));
        }

        var hands = ReleaseRules.HandsOf(machine, hold);
        if (inEmergency || hands.Any(h => h.Person == person))
        {
            return (null, new BrokenRule(OwnMeasurement, $"{person} had a hand in the measurements of {hold.Id} of {machine.Serial}; nobody releases their own measurements under a delegation, in an emergency neither."));
        }

        return covering.FirstOrDefault(d => hands.All(h => h.Person != d.By)) is { } under ? (under, null)
            : (null, new BrokenRule(OwnMeasurement, $"{covering[0].By}, for whom {person} would release under delegation {covering[0].No}, had a hand in the measurements of {hold.Id} of {machine.Serial}."));
    }
}
