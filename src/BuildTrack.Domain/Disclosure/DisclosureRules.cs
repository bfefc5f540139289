using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Disclosure;

/// <summary>When a machine's disclosure list may be set. Roles and the approver's password are checked by the caller.</summary>
public static class DisclosureRules
{
    public const string Frozen = "R-DISCLOSURE-01";
    public const string SamePerson = "R-DISCLOSURE-02";
    public const string ApproverMayNot = "R-DISCLOSURE-03";
    public const string UnknownLine = "R-DISCLOSURE-04";
    public const string SameList = "R-DISCLOSURE-05";

    /// <summary>The hold point at which the list is agreed: the first of the plan, where the order is reviewed.</summary>
    public static HoldPoint PointOf(ChecklistRevision revision)
    {
        ArgumentNullException.ThrowIfNull(revision);
        return revision.Holds[0];
    }

    /// <summary>Whether the list changes only by an approved revision: its hold point was released once, whatever came of that release later.</summary>
    public static bool IsFrozen(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return machine.Decisions.Any(d => d.Hold == PointOf(machine.Revision).Id && d.Kind == HoldDecisionKind.Released);
    }

    /// <summary>The rule that forbids the list; null when none does.</summary>
    /// <param name="approver">The second person, who has typed the own password; null where nobody approves.</param>
    /// <param name="approverMay">Whether the second person's roles allow to set a list.</param>
    public static BrokenRule? WhyNot(MachineRecord machine, DisclosureList list, string person, string? approver, bool approverMay)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(list);
        var known = machine.Agreed().Select(a => a.Characteristic.Line).ToHashSet(StringComparer.Ordinal);
        string[] unknown = list.EveryReading ? [] : [.. list.Readings.Where(l => !known.Contains(l))];
        if (unknown.Length > 0)
        {
            return new BrokenRule(UnknownLine, $"The inspection and test plan of {machine.Serial} has no line {string.Join(", ", unknown)}; it has {known.Count} {(known.Count == 1 ? "line" : "lines")}. Nothing was changed.");
        }

        if (Same(list, machine.Disclosure?.List))
        {
            return new BrokenRule(SameList, machine.Disclosure is { } now
                ? $"The disclosure list of {machine.Serial} says the same already, revision {now.Revision}. Nothing was changed."
                : $"{machine.Serial} has no disclosure list, and an empty one says nothing else: everything is disclosed. Nothing was changed.");
        }

        var point = PointOf(machine.Revision);
        return approver is null
            ? IsFrozen(machine) ? new BrokenRule(Frozen, $"{point.Id} of {machine.Serial} is released; its disclosure list changes only by a revision that a second person approves, with a reason. Nothing was changed.") : null
            : approver == person ? new BrokenRule(SamePerson, $"{person} asks for the disclosure list of {machine.Serial} and cannot approve it too. Nothing was changed.")
            : !approverMay ? new BrokenRule(ApproverMayNot, $"{approver} has no right to set a disclosure list, and so cannot approve that of {machine.Serial}. Nothing was changed.")
            : null;
    }

    private static bool Same(DisclosureList one, DisclosureList? other) => other is null ? one.IsEmpty
        : one.Readings.ToHashSet(StringComparer.Ordinal).SetEquals(other.Readings) && one with { Readings = other.Readings } == other;
}
