using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using static System.FormattableString;

namespace BuildTrack.Domain.Witnessing;

/// <summary>When a witness is invited, what may be recorded of the visit, and what a witness point waits for.</summary>
/// <remarks>Witness point: the customer is invited with the notice agreed; who does not come although notice was given, does not stop the work (trade practice).</remarks>
public static class WitnessRules
{
    public const string NoWitnessPoint = "R-WITNESS-01";
    public const string NoticeTooShort = "R-WITNESS-02";
    public const string NotInvited = "R-WITNESS-03";
    public const string BeforeVisit = "R-WITNESS-04";
    public const string NeedsLetter = "R-WITNESS-05";
    public const string OtherStatement = "R-WITNESS-06";
    public const string NoScan = "R-WITNESS-07";
    public const string PunchListDiffers = "R-WITNESS-08";
    public const string ReleasedAlready = "R-WITNESS-09";
    public const string WitnessOpen = "R-WITNESS-10";
    public const string NotAccepted = "R-WITNESS-11";
    public const string ResultsChanged = "R-WITNESS-12";
    public const string CustomersHold = "R-WITNESS-15";

    /// <summary>The rule that forbids an invitation; null when none does.</summary>
    /// <param name="today">yyyy-MM-dd in plant time.</param>
    /// <param name="holidays">As they are entered today; an invitation keeps the notice that was counted with them.</param>
    public static BrokenRule? WhyNotInvite(MachineRecord machine, HoldPoint hold, string visit, string? letter, string today, Holidays holidays) =>
        WhyNoPoint(machine, hold)
        ?? (string.CompareOrdinal(visit, today) < 0 ? new BrokenRule(BeforeVisit, $"The visit of {visit} is past; today is {today}.") : null)
        ?? (WorkingDays.Between(today, visit, holidays) is var notice && notice < hold.Witness!.NoticeDays && letter is null
            ? new BrokenRule(NoticeTooShort, Invariant($"From {today} to {visit} are {notice} working days; {hold.Id} asks for {hold.Witness.NoticeDays}. Name the letter by which the customer agrees to the shorter notice, or a later day.")) : null);

    /// <summary>The rule that forbids recording what came of a visit; null when none does.</summary>
    /// <param name="entry">As it would be recorded.</param>
    /// <param name="today">yyyy-MM-dd in plant time.</param>
    public static BrokenRule? WhyNotRecord(MachineRecord machine, HoldPoint hold, WitnessEntry entry, string today)
    {
        if (WhyNoPoint(machine, hold) is { } none)
        {
            return none;
        }

        if (entry.Act == WitnessAct.Waived)
        {
            return entry.Letter is null ? new BrokenRule(NeedsLetter, $"The customer gives a visit up by a letter: name it, for {hold.Id} of {machine.Serial}.") : null;
        }

        if (WitnessStanding.Of(machine, hold).Invitation is not { } invited)
        {
            return new BrokenRule(NotInvited, $"Nobody was invited to {hold.Id} of {machine.Serial} yet.");
        }

        if (entry.Act == WitnessAct.DidNotCome ? string.CompareOrdinal(today, invited.Visit) <= 0 : string.CompareOrdinal(today, invited.Visit) < 0)
        {
            return new BrokenRule(BeforeVisit, $"The visit is on {invited.Visit}; today is {today}.");
        }

        return entry.Signed ? WhyNotSigned(machine, hold, entry) : null;
    }

    /// <summary>What a hold point waits for from its witness; null for nothing.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold)
    {
        if (hold.Witness is null)
        {
            return null;
        }

        var standing = WitnessStanding.Of(machine, hold);
        return standing.Outcome switch
        {
            null when standing.Invitation is { } invited => new BrokenRule(WitnessOpen, $"{hold.Id} waits for {invited.Witness} of {invited.Organisation}, invited for {invited.Visit}; what came of the visit is not recorded yet."),
            null => new BrokenRule(WitnessOpen, Invariant($"{hold.Id} is a witness point: invite the customer's witness {hold.Witness.NoticeDays} working days before the visit, or name the letter by which the customer gives it up.")),
            { Act: WitnessAct.DoesNotAccept } no => new BrokenRule(NotAccepted, $"{no.Witness} of {no.Organisation} does not accept {hold.Id}{(no.Remark is { } remark ? $": {remark}" : "")}. Mend it and invite again."),
            { Act: WitnessAct.DidNotCome } absent when hold.Witness.Holds => new BrokenRule(
                CustomersHold, $"{hold.Id} is the customer's own hold, and {absent.Witness} of {absent.Organisation} did not come: it waits for the signed acceptance, or for the letter by which the customer gives it up."),
            { Act: WitnessAct.Present } only when hold.Witness.Statement => new BrokenRule(NotAccepted, $"{only.Witness} was present at {hold.Id}; the point asks for a statement."),
            { Signed: true } signed when signed.Statement != WitnessStatement.Code(machine, hold) => new BrokenRule(
                ResultsChanged, $"{signed.Witness} signed statement {signed.Statement} of {hold.Id}; results have changed since, what stands now is {WitnessStatement.Code(machine, hold)}. Print it and have it signed."),
            _ => null,
        };
    }

    private static BrokenRule? WhyNoPoint(MachineRecord machine, HoldPoint hold) =>
        hold.Witness is null ? new BrokenRule(NoWitnessPoint, $"{hold.Id} {hold.Name} is no witness point; nobody is invited to it.")
        : machine.StandingOfHold(hold).Released is { } released ? new BrokenRule(ReleasedAlready, $"{hold.Id} of {machine.Serial} was released by {released.Person} at {released.At.InWords}.")
        : null;

    private static BrokenRule? WhyNotSigned(MachineRecord machine, HoldPoint hold, WitnessEntry entry)
    {
        var (code, open) = (WitnessStatement.Code(machine, hold), machine.OpenPunch.Count());
        return entry.Statement != code
                ? new BrokenRule(OtherStatement, $"The signed statement bears {entry.Statement ?? "no code"}; what stands now is {code}. Either the code was misread, or results changed after it was printed: print it anew and have it signed.")
            : machine.Files.All(f => f.Hash != entry.FileHash || f.SetAside is not null)
                ? new BrokenRule(NoScan, $"The scan of the signed statement is not among the files of {machine.Serial}: attach it to step {hold.Step} first.")
            : entry.Act == WitnessAct.Accepts && open > 0
                ? new BrokenRule(PunchListDiffers, Invariant($"The punch list has {open} open {(open == 1 ? "item" : "items")}: it is accepted with punch list, or they are closed first."))
            : entry.Act == WitnessAct.AcceptsWithPunchList && open == 0
                ? new BrokenRule(PunchListDiffers, "The punch list has no open item: it is accepted without one.")
            : null;
    }
}
