using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;

namespace BuildTrack.Domain.Route;

/// <summary>How far a step has come.</summary>
public enum StepState
{
    /// <summary>Steps before it are not complete.</summary>
    NotStarted,

    /// <summary>Everything before it is complete.</summary>
    Ready,

    /// <summary>Somebody works on it.</summary>
    InProgress,

    /// <summary>Work has stopped for a reason.</summary>
    Paused,

    /// <summary>The work is done; a hold point waits for its release.</summary>
    Recorded,

    /// <summary>A result at its hold point is rejected, or an inspector gave it back.</summary>
    Rejected,

    /// <summary>It was finished and is to be worked on again.</summary>
    Rework,

    /// <summary>Finished, and every hold point of it released.</summary>
    Released,

    /// <summary>Not done on this machine, with reason and approver.</summary>
    NotApplicable,
}

/// <summary>How a step stands on its machine.</summary>
/// <param name="Since">Since when it stands so; null for a step that nothing has happened to.</param>
/// <param name="WaitsFor">Numbers of the steps it waits for: those it comes after, and where these are complete, any before them that was opened again or lost its release.</param>
/// <param name="Holds">Its hold points that have checks for this class.</param>
/// <param name="Last">The latest line of the route card about it.</param>
/// <param name="Because">What that line says for a reason; null where it says none.</param>
/// <param name="PlannedHours">Hours of work planned for the machine's class; null where there is no plan.</param>
public sealed record StepStanding(
    RouteStep Step, StepState State, Instant? Since, ImmutableArray<int> WaitsFor, ImmutableArray<HoldStanding> Holds, RouteEntry? Last, string? Because,
    decimal? PlannedHours)
{
    /// <summary>What comes after it may be begun.</summary>
    public bool Complete => State is StepState.Released or StepState.NotApplicable;

    /// <summary>Somebody can begin or go on with it now.</summary>
    public bool Open => State is StepState.Ready or StepState.InProgress || (WaitsFor.IsEmpty && (State is StepState.Paused or StepState.Rejected or StepState.Rework));

    /// <summary>Something was begun at it, and it is not complete.</summary>
    public bool UnderWay => State is StepState.InProgress or StepState.Paused or StepState.Recorded or StepState.Rejected or StepState.Rework;

    /// <summary>The state in the words of the shop.</summary>
    public string Word => State switch
    {
        StepState.NotStarted => "not started",
        StepState.Ready => "ready",
        StepState.InProgress => "in progress",
        StepState.Paused => "paused",
        StepState.Recorded => "recorded",
        StepState.Rejected => "rejected",
        StepState.Rework => "rework",
        StepState.Released => Holds.IsEmpty ? "finished" : "released",
        StepState.NotApplicable => "not applicable",
        _ => throw new InvalidOperationException($"There is no word for the state {State}."),
    };
}

/// <summary>A machine's route as its record stands: every step's state, and what the machine really waits for.</summary>
public sealed record RouteStanding(MachineRecord Machine, ImmutableArray<StepStanding> Steps, RouteEntry? OnHold)
{
    public StepStanding Of(int number) => Steps.Single(s => s.Step.Number == number);

    /// <summary>Where work can be done now, in the order of the route.</summary>
    public IEnumerable<StepStanding> Open => Steps.Where(s => s.Open);

    /// <summary>The step the machine stands at: the last that is under way or recorded and waits for none, else the one that became ready last.</summary>
    /// <remarks>Of branches side by side that is the one that moved; the bed usually is the longest.</remarks>
    public StepStanding? Current =>
        Steps.LastOrDefault(s => s.UnderWay && s.WaitsFor.IsEmpty)
        ?? Steps.LastOrDefault(s => s.UnderWay)
        ?? Steps.Where(s => s.State == StepState.Ready).OrderByDescending(s => s.Since?.Microseconds).ThenBy(s => s.Step.Number).FirstOrDefault();

    /// <summary>Works out every step's state from the route card, the measurements and the releases.</summary>
    public static RouteStanding Of(MachineRecord machine)
    {
        var steps = new Dictionary<int, StepStanding>();
        foreach (var step in machine.Revision.Steps.OrderBy(s => s.Number))
        {
            steps[step.Number] = Standing(machine, step, steps);
        }

        var whole = machine.RouteCard.LastOrDefault(e => e.Step is null);
        return new RouteStanding(machine, [.. steps.Values.OrderBy(s => s.Step.Number)], whole is { Act: RouteAct.PutOnHold } ? whole : null);
    }

    /// <summary>Hours of work recorded on a step, up to a moment; pauses are not counted. An actual, not a plan.</summary>
    /// <returns>Hours of work.</returns>
    public static double ActualHours(MachineRecord machine, int step, Instant now) => Worked(machine, step).Hours(now);

    /// <summary>The work recorded on a step: what is closed, and since when it is under way.</summary>
    public static WorkRecorded Worked(MachineRecord machine, int step)
    {
        var (microseconds, begun) = (0L, (Instant?)null);
        foreach (var entry in machine.RouteCard.Where(e => e.Step == step))
        {
            if (entry.Act == RouteAct.Start)
            {
                begun = entry.At;
            }
            else if (entry.Act is RouteAct.Pause or RouteAct.Finish && begun is { } from)
            {
                microseconds += Math.Max(0, entry.At.Microseconds - from.Microseconds);
                begun = null;
            }
        }

        return new WorkRecorded(microseconds / 3.6e9, begun);
    }

    private static StepStanding Standing(MachineRecord machine, RouteStep step, Dictionary<int, StepStanding> before)
    {
        var last = machine.RouteCard.LastOrDefault(e => e.Step == step.Number);
        ImmutableArray<HoldStanding> holds = [.. machine.Revision.Holds.Where(h => h.Step == step.Number).Select(machine.StandingOfHold).Where(h => h.Characteristics.Length > 0)];
        ImmutableArray<int> waits = [.. step.After.Where(before.ContainsKey).Select(a => before[a]).SelectMany(b => b.Complete ? b.WaitsFor : [b.Step.Number]).Distinct().Order()];
        decimal? planned = step.Hours.TryGetValue(machine.Model.Class, out var hours) ? hours : null;
        var surveys = machine.Revision.Surveys.Where(s => s.Step == step.Number).Select(s => s.Id).ToHashSet();
        var measurements = machine.Measurements.Where(m => surveys.Contains(m.Survey)).ToList();

        (StepState State, Instant? Since) Found()
        {
            switch (last?.Act)
            {
                case RouteAct.NotApplicable:
                    return (StepState.NotApplicable, last.At);
                case RouteAct.Reopen:
                    return (StepState.Rework, last.At);
                case RouteAct.Start:
                    return (StepState.InProgress, last.At);
                case RouteAct.Pause:
                    return (StepState.Paused, last.At);
            }

            // A release says that the work was done, whether or not somebody noted its end.
            if (holds.Length > 0 && holds.All(h => h.Released is not null))
            {
                return (StepState.Released, holds.Max(h => h.Released!.At));
            }

            if (holds.Any(h => h.Released is null && (h.Returned is not null || h.Characteristics.Any(c => c is { Standing: Machines.Standing.Calculated, MayPass: false, Word: "rejected" }))))
            {
                return (StepState.Rejected, holds.Select(h => h.Returned?.At).OfType<Instant>().Append(measurements.Count > 0 ? measurements[^1].Begun : last?.At ?? machine.Ordered).Max());
            }

            if (last?.Act == RouteAct.Finish)
            {
                return holds.IsEmpty ? (StepState.Released, last.At) : (StepState.Recorded, last.At);
            }

            if (measurements.Count > 0)
            {
                return holds.Length > 0 && holds.Where(h => h.Released is null).All(h => h.Worst is null)
                    ? (StepState.Recorded, measurements[^1].Begun)
                    : (StepState.InProgress, measurements[^1].Begun);
            }

            return waits.IsEmpty
                ? (StepState.Ready, step.After.Length == 0 ? machine.Ordered : step.After.Where(before.ContainsKey).Select(a => before[a].Since ?? machine.Ordered).DefaultIfEmpty(machine.Ordered).Max())
                : (StepState.NotStarted, null);
        }

        var (state, since) = Found();
        return new StepStanding(step, state, since, waits, holds, last, last?.Because(machine.Revision), planned);
    }
}

/// <summary>Hours of work on a step.</summary>
/// <param name="Closed">Hours between each start and its pause or finish.</param>
/// <param name="Open">Since when it is being worked on; null where nobody does.</param>
public readonly record struct WorkRecorded(double Closed, Instant? Open)
{
    /// <summary>Hours up to a moment.</summary>
    public double Hours(Instant now) => Closed + (Open is { } open ? Math.Max(0, now.Microseconds - open.Microseconds) / 3.6e9 : 0);
}
