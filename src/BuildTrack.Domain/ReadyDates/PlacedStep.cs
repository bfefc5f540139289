using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>What a step waits for longest.</summary>
public enum CauseKind
{
    /// <summary>Nothing: it goes on, or is begun, at once.</summary>
    Now,

    /// <summary>A step before it on its own machine.</summary>
    Step,

    /// <summary>A long-lead part.</summary>
    Part,

    /// <summary>A place at its work centre.</summary>
    Queue,

    /// <summary>Conditions: the bed is too warm.</summary>
    Conditions,
}

/// <summary>What decides when a step begins.</summary>
/// <param name="Step">The step before it, or the step of the machine before it in the queue; null elsewhere.</param>
/// <param name="Other">The machine before it in the queue; null elsewhere.</param>
/// <param name="Part">The part; null elsewhere.</param>
public sealed record StepCause(CauseKind Kind, int? Step = null, string? Other = null, string? Part = null);

/// <summary>Where the forward pass puts a step. Moments are whole minutes of UTC.</summary>
/// <param name="Start">When its work begins or goes on; null where no work is left.</param>
/// <param name="WorkDone">When its work is done.</param>
/// <param name="Done">When what comes after it may begin: the wait after it is over and its parts are here.</param>
/// <param name="Minutes">Minutes of work left.</param>
public sealed record PlacedStep(string Serial, int Number, string Name, string Centre, long? Start, long WorkDone, long Done, long Minutes, StepCause Cause)
{
    public static Instant Moment(long minute) => new(minute * 60_000_000);
}

/// <summary>All machines of the plant placed at one pace.</summary>
public sealed record PlacedPlant(ImmutableDictionary<(string Serial, int Step), PlacedStep> Steps, ImmutableDictionary<string, CentreQueue> Queues)
{
    /// <summary>When a machine may leave the plant: what the step that leaves comes after is done, or, where none leaves, everything.</summary>
    public PlacedStep? Last(PlannedMachine machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var before = machine.Leaves is { } leaves ? machine.Of(leaves).After : [.. machine.Steps.Select(s => s.Number)];
        return before.Select(n => Steps[(machine.Serial, n)]).OrderByDescending(s => s.Done).ThenByDescending(s => s.Number).FirstOrDefault();
    }

    /// <summary>The steps that decide when a step is done, the first first: each waits for the one before it, or for what its cause says. A queue ends the chain: beyond it are other machines.</summary>
    public ImmutableArray<PlacedStep> Chain(PlacedStep last)
    {
        var chain = new Stack<PlacedStep>();
        for (var at = last; at is not null; at = at.Cause is { Kind: CauseKind.Step, Step: { } before } ? Steps[(at.Serial, before)] : null)
        {
            chain.Push(at);
        }

        return [.. chain];
    }
}
