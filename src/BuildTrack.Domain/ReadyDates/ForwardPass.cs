using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>Places what is still to be done at every machine, each step as early as it can be: docs/method/ready-date.md.</summary>
/// <remarks>
/// Steps under way keep their place. Then machine after machine, the earliest promised first, then those without a promise, and among the same by serial number; on each machine step after step by number.
/// A step begins where the steps before it are done, its parts are here and its work centre has room for all of its work: a machine promised later fills gaps, and never delays one promised earlier.
/// </remarks>
public static class ForwardPass
{
    /// <param name="centres">The work centres in force, by id: they take the place of those of a machine's own edition.</param>
    /// <param name="timeZone">IANA name of the plant's time zone.</param>
    public static PlacedPlant Of(ImmutableArray<PlannedMachine> machines, ImmutableArray<WorkCentre> centres, string timeZone, Holidays holidays, Instant now, Pace pace)
    {
        var floor = new Floor(machines, centres, timeZone, holidays, now, pace);
        PlannedMachine[] order = [.. machines.OrderBy(m => m.Promised is null).ThenBy(m => m.Promised, StringComparer.Ordinal).ThenBy(m => m.Serial, StringComparer.Ordinal)];
        foreach (var machine in order.Where(m => m.OnHold is null))
        {
            foreach (var step in machine.Steps.Where(s => s.State == StepState.InProgress && s.Open))
            {
                floor.Keep(machine, step);
            }
        }

        foreach (var machine in order)
        {
            foreach (var step in machine.Steps.OrderBy(s => s.Number))
            {
                floor.Place(machine, step);
            }
        }

        return new PlacedPlant(floor.Placed.ToImmutableDictionary(), floor.Queues.ToImmutableDictionary(StringComparer.Ordinal));
    }

    /// <summary>Whole minutes of UTC, rounded up: nothing is planned in a minute that is partly over.</summary>
    public static long Minute(Instant at) => (at.Microseconds + 59_999_999) / 60_000_000;

    private sealed class Floor(ImmutableArray<PlannedMachine> machines, ImmutableArray<WorkCentre> centres, string timeZone, Holidays holidays, Instant now, Pace pace)
    {
        private readonly long origin = Minute(now);
        private readonly PlantTime clock = new(timeZone);

        public Dictionary<(string Serial, int Step), PlacedStep> Placed { get; } = [];

        public Dictionary<string, CentreQueue> Queues { get; } = centres.Concat(machines.SelectMany(m => m.Centres)).DistinctBy(c => c.Id).ToDictionary(
            c => c.Id, c => new CentreQueue(new WorkingTime(timeZone, c.Shifts, holidays), c.Capacity, Minute(now)), StringComparer.Ordinal);

        /// <summary>A step that is being worked on goes on, whether or not its work centre has more of them than it has room for.</summary>
        public void Keep(PlannedMachine machine, PlannedStep step)
        {
            var minutes = step.Remaining(pace, now);
            if (minutes > 0)
            {
                Add(machine, step, 0, minutes, new StepCause(CauseKind.Now));
            }
        }

        public void Place(PlannedMachine machine, PlannedStep step)
        {
            if (Placed.ContainsKey((machine.Serial, step.Number)))
            {
                return;
            }

            var (ready, cause) = Ready(machine, step);
            var minutes = step.Remaining(pace, now);
            if (step.Complete || step.State == StepState.Recorded || minutes == 0)
            {
                // A wait goes on from the end of the work; where a step has no work, from its begin.
                var from = step.Complete || step.State is StepState.Recorded or StepState.InProgress ? Minute(step.Since ?? now) : ready;
                Placed[(machine.Serial, step.Number)] = new PlacedStep(
                    machine.Serial, step.Number, step.Name, step.Centre, null, ready, Math.Max(ready, from + step.WaitMinutes(pace)), 0, cause);
                return;
            }

            var queue = Queues[step.Centre];
            var earliest = queue.Position(ready);
            var place = queue.FirstFree(earliest, minutes);
            if (place > earliest)
            {
                var before = queue.EndingAt(place);
                cause = new StepCause(CauseKind.Queue, before?.Step, before?.Serial);
            }

            Add(machine, step, place, minutes, cause);
        }

        private void Add(PlannedMachine machine, PlannedStep step, long place, long minutes, StepCause cause)
        {
            var queue = Queues[step.Centre];
            queue.Take(new QueuedJob(place, place + minutes, machine.Serial, step.Number));
            var done = queue.End(place + minutes);
            Placed[(machine.Serial, step.Number)] = new PlacedStep(
                machine.Serial, step.Number, step.Name, step.Centre, queue.Start(place), done, done + step.WaitMinutes(pace), minutes, cause);
        }

        /// <summary>When a step may begin, and what it waits for longest.</summary>
        private (long At, StepCause Cause) Ready(PlannedMachine machine, PlannedStep step)
        {
            var (at, cause) = (origin, new StepCause(CauseKind.Now));
            if (step.Complete)
            {
                return (at, cause);
            }

            foreach (var before in step.After.Order())
            {
                if (Placed.TryGetValue((machine.Serial, before), out var placed) && placed.Done > at)
                {
                    (at, cause) = (placed.Done, new StepCause(CauseKind.Step, before));
                }
            }

            // What nobody ordered is ordered when its purchase may begin.
            var asked = at;
            foreach (var part in step.Awaits)
            {
                var here = part.Due is { } due ? clock.Midnight(DateOnly.ParseExact(due, "yyyy-MM-dd", CultureInfo.InvariantCulture).AddDays(1)) : (part.Ordered is { } ordered ? Minute(ordered) : asked) + (part.Lead(pace) * 1440L);
                if (here > at)
                {
                    (at, cause) = (here, new StepCause(CauseKind.Part, Part: part.Name));
                }
            }

            if (step.NotBefore is { } conditions && Minute(conditions) > at)
            {
                (at, cause) = (Minute(conditions), new StepCause(CauseKind.Conditions));
            }

            return (at, cause);
        }
    }
}
