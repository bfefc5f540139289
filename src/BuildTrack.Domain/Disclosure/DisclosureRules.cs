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

        return AgreedAtReview.WhyNot(machine, "disclosure list", (Frozen, SamePerson, ApproverMayNot), person, approver, approverMay);
    }

    private static bool Same(DisclosureList one, DisclosureList? other) => other is null ? one.IsEmpty
        : one.Readings.ToHashSet(StringComparer.Ordinal).SetEquals(other.Readings) && one with { Readings = other.Readings } == other;
}
