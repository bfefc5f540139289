using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.PunchList;

/// <summary>When an item of the punch list is changed or closed, and what an open one of class A blocks.</summary>
public static class PunchRules
{
    public const string ClosedAlready = "R-PUNCH-01";
    public const string OwnItem = "R-PUNCH-02";
    public const string SameClass = "R-PUNCH-03";
    public const string OpenClassA = "R-PUNCH-04";

    /// <summary>Factory acceptance, shipping, acceptance at the site: none is released with an open item of class A.</summary>
    private static readonly string[] Points = ["H11", "H12", "H14"];

    /// <summary>The rule that forbids an act on an item; null when none does.</summary>
    /// <param name="to">The new class, where the act changes it.</param>
    public static BrokenRule? WhyNot(PunchItem item, PunchAct act, string person, PunchClass? to = null) =>
        item.Closed is { } closed ? new BrokenRule(ClosedAlready, $"Item {item.No} was closed by {closed.Person} at {closed.At.InWords}: {closed.Text}.")
        : act == PunchAct.Close ? item.Owner == person && !item.Outside ? new BrokenRule(OwnItem, $"{person} owns item {item.No}; somebody else closes it.") : null
        : item.Class == to ? new BrokenRule(SameClass, $"Item {item.No} is of class {item.Class} already.")
        : null;

    /// <summary>The open items of class A that block everything which goes to the customer; null when there are none.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine)
    {
        var open = ClassA(machine).ToList();
        return open.Count == 0 ? null
            : new BrokenRule(OpenClassA, $"The punch list of {machine.Serial} has open items of class A: {string.Join("; ", open.Select(i => $"item {i.No}, {i.Text}"))}.");
    }

    /// <summary>The same for a hold point; null for one that an open item does not block.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold) => Points.Contains(hold.Id) ? WhyBlocked(machine) : null;

    /// <summary>The open items that block a hold point, in the order of their numbers.</summary>
    public static IEnumerable<PunchItem> Against(MachineRecord machine, HoldPoint hold) => Points.Contains(hold.Id) ? ClassA(machine) : [];

    private static IEnumerable<PunchItem> ClassA(MachineRecord machine) => machine.OpenPunch.Where(i => i.Class == PunchClass.A);
}
