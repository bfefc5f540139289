using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Kits;

/// <summary>What is recorded of a long-lead part.</summary>
public enum KitAct
{
    /// <summary>It is ordered, or the supplier names another day.</summary>
    Ordered,

    /// <summary>All of it is in the plant.</summary>
    Received,

    /// <summary>The entry before was a mistake.</summary>
    TakenBack,
}

/// <summary>One line about a long-lead part of a machine. Lines are added, never changed.</summary>
/// <param name="Part">Id of the part in the machine's edition of the plan.</param>
/// <param name="Due">yyyy-MM-dd of the supplier's promise; null where none was given, and for what is no order.</param>
/// <param name="Note">Supplier's order number, or why an entry is taken back; null for none.</param>
public sealed record KitEntry(long Id, string Part, KitAct Act, string? Due, string? Note, string Person, Instant At);

/// <summary>How a part of the kit stands.</summary>
/// <param name="Count">How many the machine needs.</param>
/// <param name="Entry">The entry that counts; null before the first, or when all were taken back.</param>
/// <param name="Here">It was received; or nothing is recorded of it and its purchase is complete by the route card.</param>
public sealed record KitLine(KitPart Part, int Count, KitEntry? Entry, bool Here)
{
    /// <summary>"received 2026-11-20", "ordered, promised for 2026-12-10", "not ordered".</summary>
    public string Sentence(PlantTime time)
    {
        ArgumentNullException.ThrowIfNull(time);
        return Entry switch
        {
            { Act: KitAct.Received } received => $"received {time.Day(received.At)}",
            { Due: { } due } => $"ordered, promised for {due}",
            { } ordered => $"ordered {time.Day(ordered.At)}, no day promised",
            _ => Here ? "nothing recorded; the purchase is complete" : "not ordered",
        };
    }
}

/// <summary>The kit of a machine: its long-lead parts, and what is missing of them.</summary>
/// <param name="CompleteBefore">Number of the step before which it is checked for completeness; null where the plan has no kit.</param>
public sealed record KitStanding(ImmutableArray<KitLine> Lines, int? CompleteBefore)
{
    public IEnumerable<KitLine> Missing => Lines.Where(l => !l.Here);

    /// <summary>Parts that are here, in percent of all, rounded down: 100 only when nothing is missing.</summary>
    public int Percent => Lines.IsEmpty ? 100 : Lines.Count(l => l.Here) * 100 / Lines.Length;

    /// <summary>"5 of 6 parts, 83 %"; "no kit planned".</summary>
    public string Sentence => Lines.IsEmpty ? "no kit planned" : FormattableString.Invariant($"{Lines.Count(l => l.Here)} of {Lines.Length} parts here, {Percent} %");

    /// <summary>The missing parts that a step needs: all of them for the step before which the kit is to be complete, else those that are built in there.</summary>
    public IEnumerable<KitLine> MissingAt(int step) => Missing.Where(l => step == CompleteBefore || l.Part.Step == step);

    public static KitStanding Of(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        if (machine.Revision.Kit is not { } plan)
        {
            return new KitStanding([], null);
        }

        var bought = machine.Revision.FindStep(plan.Purchase) is not null && machine.Route.Of(plan.Purchase).Complete;
        return new KitStanding(
            [.. plan.Parts.Where(p => p.Count.ContainsKey(machine.Model.Class)).Select(p => Line(p, Counts(machine.Kit.Where(e => e.Part == p.Id))))], plan.CompleteBefore);

        KitLine Line(KitPart part, KitEntry? entry) => new(part, part.Count[machine.Model.Class], entry, entry is null ? bought : entry.Act == KitAct.Received);
    }

    // What was taken back uncovers the entry before it.
    private static KitEntry? Counts(IEnumerable<KitEntry> entries)
    {
        var stack = new Stack<KitEntry>();
        foreach (var entry in entries)
        {
            if (entry.Act != KitAct.TakenBack)
            {
                stack.Push(entry);
            }
            else
            {
                stack.TryPop(out _);
            }
        }

        return stack.TryPeek(out var top) ? top : null;
    }
}
