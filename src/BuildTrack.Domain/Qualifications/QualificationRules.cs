using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Qualifications;

/// <summary>Special work is done, and its hold points are released, by people who stand on its list on that day. Roles are checked by the caller.</summary>
public static class QualificationRules
{
    public const string NotOnList = "R-QUAL-01";
    public const string OnListAlready = "R-QUAL-02";
    public const string TakenOffAlready = "R-QUAL-03";
    public const string NoAccess = "R-QUAL-04";

    /// <summary>The rule that forbids a person to release a hold point for want of a qualification; null when none does.</summary>
    public static BrokenRule? WhyNotRelease(MachineRecord machine, HoldPoint hold, string person, QualifiedPeople people) =>
        WhyNot(machine, hold.Qualified, person, people, $"{hold.Id} {hold.Name} of {machine.Serial} is released");

    /// <summary>The same for beginning or finishing the work of a step.</summary>
    public static BrokenRule? WhyNotWork(MachineRecord machine, RouteStep step, string person, QualifiedPeople people) =>
        WhyNot(machine, step.Qualified, person, people, $"The work of step {step.Number} {step.Name} of {machine.Serial} is begun and finished");

    /// <summary>The same for taking the readings of a survey.</summary>
    public static BrokenRule? WhyNotMeasure(MachineRecord machine, Survey survey, string person, QualifiedPeople people) =>
        WhyNot(machine, survey.Qualified, person, people, $"Survey {survey.Title} of {machine.Serial} is done");

    /// <summary>The rule that forbids to put a person on a list; null when none does.</summary>
    public static BrokenRule? WhyNotPutOn(QualifiedPeople people, Qualification list, string person, string from, string to) =>
        people.Entries.FirstOrDefault(e => e.List == list.Id && e.Person == person && e.Covers(from) && e.Covers(to)) is { } there
            ? new BrokenRule(OnListAlready, $"{person} is on the list {list.Name} from {there.From} to {there.To} already ({there.Evidence}).") : null;

    /// <summary>The rule that forbids to take an entry off its list; null when none does.</summary>
    public static BrokenRule? WhyNotTakeOff(ListEntry entry, string day) =>
        entry.TakenOff is { } off ? new BrokenRule(TakenOffAlready, $"{entry.Person} was taken off the list on {off.Day} by {off.By} already: {off.Reason}.")
        : string.CompareOrdinal(entry.To, day) < 0 ? new BrokenRule(TakenOffAlready, $"{entry.Person} was on the list until {entry.To}; there is nothing to take off.")
        : null;

    private static BrokenRule? WhyNot(MachineRecord machine, string? list, string person, QualifiedPeople people, string what) =>
        list is null || people.Has(list, person) ? null
            : new BrokenRule(NotOnList, $"{what} by somebody on the list \"{machine.Revision.FindQualification(list)?.Name ?? list}\"; {Fact(people, list, person)}.");

    // The entry that comes nearest: one that is still to begin, else the last one that ended.
    private static string Fact(QualifiedPeople people, string list, string person)
    {
        var own = people.Entries.Where(e => e.List == list && e.Person == person).ToList();
        return own.Where(e => e.TakenOff is null && string.CompareOrdinal(e.From, people.Day) > 0).MinBy(e => e.From) is { } later ? $"{person} is on it from {later.From} on"
            : own.MaxBy(e => (e.TakenOff?.Day ?? e.To, e.Id)) is not { } last ? $"{person} is not on it"
            : last.TakenOff is { } off ? $"{person} was taken off it on {off.Day} by {off.By}: {off.Reason}"
            : $"{person} was on it from {last.From} until {last.To}";
    }
}
