using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;

namespace BuildTrack.Records.ReadyDates;

/// <summary>The plan of the plant with what it was worked out from.</summary>
public sealed record PlantPlanToday(PlantPlan Plan, Holidays Holidays, PlantTime Time, Instant Now)
{
    public DateOnly Today => DateOnly.FromDateTime(Time.Local(Now).DateTime);
}

/// <summary>Works the ready dates out. What they need of a machine is kept for every version of it; the calendar and the hour are of now.</summary>
public sealed class ReadyDateReader(MachineDigests digests, CalendarReader calendars, PlantReader plant, TimeProvider clock)
{
    // Within a minute every sheet asks for the same plan; an act on any machine, a holiday or another edition makes another.
    private volatile Kept? kept;

    private sealed record Kept(string Calendar, ImmutableArray<PlannedMachine> Machines, PlantPlanToday Plan);

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Derive);

    public async Task<PlantPlanToday> Today(CancellationToken ct)
    {
        var now = Instant.Now(clock);
        var zone = (await plant.Get(ct)).TimeZone;
        var machines = await digests.Of(Derive, ct);
        var entered = await calendars.Entered(ct);
        var centres = await calendars.WorkCentres(ct);
        var calendar = string.Join(';', centres.Select(c => $"{c.Id}:{c.Name}:{c.Capacity}:{string.Join(',', c.Shifts ?? [])}").Concat(entered.Where(h => h.TakenBack is null).Select(h => h.Day))
            .Append(FormattableString.Invariant($"{zone} {ForwardPass.Minute(now)}")));
        if (kept is { } last && last.Calendar == calendar && last.Machines.Length == machines.Length && last.Machines.Zip(machines).All(p => ReferenceEquals(p.First, p.Second)))
        {
            return last.Plan;
        }

        var holidays = Holidays.Of(entered);
        var plan = new PlantPlanToday(new PlantPlan(machines, centres, zone, holidays, now), holidays, new PlantTime(zone), now);
        kept = new Kept(calendar, machines, plan);
        return plan;
    }

    private static PlannedMachine Derive(MachineRecord machine, PlantTime time) => PlannedMachine.Of(machine);
}
