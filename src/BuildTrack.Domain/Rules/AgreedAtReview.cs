using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;

namespace BuildTrack.Domain.Rules;

/// <summary>What is agreed with the customer when the order is reviewed: it stands from the release of that hold point on, and changes afterwards only by a revision that a second person approves.</summary>
public static class AgreedAtReview
{
    /// <summary>The hold point at which it is agreed: the first of the plan, where the order is reviewed.</summary>
    public static HoldPoint PointOf(ChecklistRevision revision)
    {
        ArgumentNullException.ThrowIfNull(revision);
        return revision.Holds[0];
    }

    /// <summary>Whether it changes only by an approved revision: its hold point was released once, whatever came of that release later.</summary>
    public static bool IsFrozen(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return machine.Decisions.Any(d => d.Hold == PointOf(machine.Revision).Id && d.Kind == HoldDecisionKind.Released);
    }

    /// <summary>The rule that forbids a revision by these people; null when none does. Roles and the approver's password are checked by the caller.</summary>
    /// <param name="what">"disclosure list".</param>
    /// <param name="rules">Ids of the rules: it is frozen, one person for both, the second has no right to it.</param>
    /// <param name="approver">The second person, who has typed the own password; null where nobody approves.</param>
    /// <param name="approverMay">Whether the second person's roles allow the act.</param>
    internal static BrokenRule? WhyNot(MachineRecord machine, string what, (string Frozen, string SamePerson, string MayNot) rules, string person, string? approver, bool approverMay) =>
        approver is null
            ? IsFrozen(machine) ? new BrokenRule(rules.Frozen, $"{PointOf(machine.Revision).Id} of {machine.Serial} is released; its {what} changes only by a revision that a second person approves, with a reason. Nothing was changed.") : null
        : approver == person ? new BrokenRule(rules.SamePerson, $"{person} asks for the {what} of {machine.Serial} and cannot approve it too. Nothing was changed.")
        : !approverMay ? new BrokenRule(rules.MayNot, $"{approver} has no right to set a {what}, and so cannot approve that of {machine.Serial}. Nothing was changed.")
        : null;
}
