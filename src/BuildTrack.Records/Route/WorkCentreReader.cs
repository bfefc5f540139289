using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Machines;

namespace BuildTrack.Records.Route;

/// <summary>A step that waits for, or occupies, a work centre.</summary>
/// <param name="State">ready, in progress, paused, rejected, rework.</param>
/// <param name="Because">Why it is paused or reopened; null elsewhere.</param>
/// <param name="PlannedHours">Hours of work planned; null without a plan.</param>
/// <param name="ActualHours">Hours of work recorded so far.</param>
/// <param name="Waits">What it waits for although every step before it is complete: conditions, with the time; long-lead parts. Null for nothing.</param>
public sealed record QueuedStep(
    string Serial, string Class, int Step, string Name, string State, Instant Since, string? Person, string? Because, decimal? PlannedHours, double ActualHours, bool OnHold, string? Waits)
{
    /// <summary>Its work may begin now; what is paused was left for a reason, and what is rejected waits for a decision.</summary>
    public bool MayStart => !OnHold && Waits is null && (State is "ready" or "rework");
}

/// <summary>The queue of one work centre, longest waiting first.</summary>
/// <param name="HoursAhead">Planned hours of work still to be done, as far as there are plans.</param>
public sealed record WorkCentreQueue(string Id, string Name, double HoursAhead, ImmutableArray<QueuedStep> Steps);

/// <summary>What the planner sees of the work centres.</summary>
public sealed class WorkCentreReader(MachineDigests digests, TimeProvider clock)
{
    private sealed record OfMachine(ImmutableArray<WorkCentre> Centres, ImmutableArray<(string Centre, QueuedStep Step, WorkRecorded Worked)> Steps);

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Derive);

    /// <summary>Every work centre that any machine's route names, in the order of the plan; those without work have an empty queue.</summary>
    public async Task<ImmutableArray<WorkCentreQueue>> Queues(CancellationToken ct)
    {
        var now = Instant.Now(clock);
        var all = await digests.Of(Derive, ct);
        var queued = all.SelectMany(m => m.Steps).ToLookup(x => x.Centre, x => x.Step with { ActualHours = x.Worked.Hours(now) }, StringComparer.Ordinal);
        return [.. all.Reverse().SelectMany(m => m.Centres).DistinctBy(c => c.Id).Select(c => new WorkCentreQueue(
            c.Id, c.Name, queued[c.Id].Sum(s => Math.Max(0, (double)(s.PlannedHours ?? 0) - s.ActualHours)), [.. queued[c.Id].OrderBy(s => s.Since.Microseconds)]))];
    }

    private static OfMachine Derive(MachineRecord machine, PlantTime time)
    {
        var (route, kit) = (machine.Route, KitStanding.Of(machine));
        return new OfMachine(machine.Revision.WorkCentres, [.. route.Open.Select(s => (
            s.Step.WorkCentre,
            new QueuedStep(
                machine.Serial, machine.Model.Class, s.Step.Number, s.Step.Name, s.Word, s.Since ?? machine.Ordered, s.Last?.Person,
                s.State is StepState.Paused or StepState.Rework ? s.Because : null, s.PlannedHours, 0, route.OnHold is not null, Waits(machine, s, kit, time)),
            RouteStanding.Worked(machine, s.Step.Number)))]);
    }

    private static string? Waits(MachineRecord machine, StepStanding step, KitStanding kit, PlantTime time) =>
        GradientStanding.WaitingAt(machine, step.Step.Number)?.Sentence(time)
        ?? (kit.Lines.Where(l => !l.Here && l.Part.Step == step.Step.Number).ToArray() is { Length: > 0 } missing ? $"waiting for parts: {string.Join("; ", missing.Select(l => $"{l.Part.Name}, {l.Sentence(time)}"))}" : null);
}
