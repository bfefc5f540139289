using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Witnessing;

/// <summary>When the customer's part at the hold points of a machine may be set. Roles and the approver's password are checked by the caller.</summary>
public static class CustomersPointRules
{
    public const string Frozen = "R-CUSTOMER-01";
    public const string SamePerson = "R-CUSTOMER-02";
    public const string ApproverMayNot = "R-CUSTOMER-03";
    public const string UnknownPoint = "R-CUSTOMER-04";
    public const string SamePoints = "R-CUSTOMER-05";
    public const string PointReleased = "R-CUSTOMER-06";

    /// <summary>The hold points of a machine: those with a check for its class.</summary>
    public static ImmutableArray<HoldPoint> PointsOf(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return [.. machine.Revision.Holds.Where(h => !machine.Agreed(h.Id).IsEmpty)];
    }

    /// <summary>The rule that forbids these parts; null when none does.</summary>
    /// <param name="approver">The second person, who has typed the own password; null where nobody approves.</param>
    /// <param name="approverMay">Whether the second person's roles allow to set the customer's part.</param>
    public static BrokenRule? WhyNot(
        MachineRecord machine, ImmutableArray<CustomersPoint> points, string person, string? approver, bool approverMay)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var known = PointsOf(machine).Select(h => h.Id).ToList();
        string[] unknown = [.. points.Select(p => p.Hold).Where(h => !known.Contains(h))];
        if (unknown.Length > 0)
        {
            return new BrokenRule(UnknownPoint, $"{machine.Serial} has no hold point {string.Join(", ", unknown)}; it has {string.Join(", ", known)}. Nothing was changed.");
        }

        var after = CustomersPoints.Apply(machine.Plan, new CustomersPoints(0, 0, points, "", null, null, person, default)).Holds;
        HoldPoint[] changed = [.. machine.Revision.Holds.Where(h => !after.Contains(h))];
        if (changed.Length == 0)
        {
            return new BrokenRule(SamePoints, $"At every hold point of {machine.Serial} the customer has that part already. Nothing was changed.");
        }

        return changed.FirstOrDefault(h => machine.StandingOfHold(h).Released is not null) is { } released
            ? new BrokenRule(PointReleased, $"{released.Id} of {machine.Serial} is released; the customer's part in it ({CustomersPoint.Words(CustomersPoint.PartAt(released))}) no longer changes. Nothing was changed.")
            : AgreedAtReview.WhyNot(machine, "customer's part", (Frozen, SamePerson, ApproverMayNot), person, approver, approverMay);
    }
}
