using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Route;
using BuildTrack.Records.Machines;

namespace BuildTrack.Records.Route;

/// <summary>A step that waits for, or occupies, a work centre.</summary>
/// <param name="State">ready, in progress, paused, rejected, rework.</param>
/// <param name="Because">Why it is paused or reopened; null elsewhere.</param>
/// <param name="PlannedHours">Hours of work planned; null without a plan.</param>
/// <param name="ActualHours">Hours of work recorded so far.</param>
public sealed record QueuedStep(
    string Serial, string Class, int Step, string Name, string State, Instant Since, string? Person, string? Because, decimal? PlannedHours, double ActualHours, bool OnHold);

/// <summary>The queue of one work centre, longest waiting first.</summary>
/// <param name="HoursAhead">Planned hours of work still to be done, as far as there are plans.</param>
public sealed record WorkCentreQueue(string Id, string Name, double HoursAhead, ImmutableArray<QueuedStep> Steps);

/// <summary>What the planner sees of the work centres.</summary>
public sealed class WorkCentreReader(MachineReader machines, TimeProvider clock)
{
    /// <summary>Every work centre that any machine's route names, in the order of the plan; those without work have an empty queue.</summary>
    public async Task<ImmutableArray<WorkCentreQueue>> Queues(CancellationToken ct)
    {
        var now = Instant.Now(clock);
        var all = await machines.LoadAll(ct);
        var queued = all.SelectMany(m =>
        {
            var route = m.Route;
            return route.Open.Select(s => (s.Step.WorkCentre, Step: new QueuedStep(
                m.Serial, m.Model.Class, s.Step.Number, s.Step.Name, s.Word, s.Since ?? m.Ordered, s.Last?.Person,
                s.State is StepState.Paused or StepState.Rework ? s.Because : null, s.PlannedHours,
                RouteStanding.ActualHours(m, s.Step.Number, now), route.OnHold is not null)));
        }).ToLookup(x => x.WorkCentre, x => x.Step, StringComparer.Ordinal);
        return [.. all.Reverse().SelectMany(m => m.Revision.WorkCentres).DistinctBy(c => c.Id).Select(c => new WorkCentreQueue(
            c.Id, c.Name, queued[c.Id].Sum(s => Math.Max(0, (double)(s.PlannedHours ?? 0) - s.ActualHours)), [.. queued[c.Id].OrderBy(s => s.Since.Microseconds)]))];
    }
}
