using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>When a machine may leave the plant, as a band, beside the day promised.</summary>
/// <param name="Chain">The steps that decide the likely end, the first first.</param>
/// <param name="Steps">Every step as the likely pace places it, by number.</param>
public sealed record ReadyDate(PlannedMachine Machine, Instant Early, Instant Likely, Instant Late, ImmutableArray<PlacedStep> Chain, ImmutableArray<PlacedStep> Steps)
{
    /// <summary>The step that decides it: a delay there delays the machine.</summary>
    public PlacedStep Decides => Chain.FirstOrDefault(s => s.Minutes > 0 || s.Done > s.WorkDone || s.Cause.Kind is not (CauseKind.Now or CauseKind.Step)) ?? Chain[0];

    /// <summary>Working days from the day promised to the days of the band; negative is before it. Null where none is promised.</summary>
    public (int Early, int Likely, int Late)? Slip(PlantTime time, Holidays holidays)
    {
        ArgumentNullException.ThrowIfNull(time);
        return Machine.Promised is not { } promised ? null : (Of(Early), Of(Likely), Of(Late));

        int Of(Instant at) => WorkingDays.Signed(DateOnly.ParseExact(promised, "yyyy-MM-dd", CultureInfo.InvariantCulture), DateOnly.FromDateTime(time.Local(at).DateTime), holidays);
    }

    /// <summary>What the deciding step waits for, in words: "20 Plan and release, being worked on"; "90 Finish mill, behind OV1530-0416 at the milling centre".</summary>
    public string Because(Func<string, string> centre)
    {
        ArgumentNullException.ThrowIfNull(centre);
        var at = Decides;
        var what = FormattableString.Invariant($"{at.Number} {at.Name}");
        return at.Cause switch
        {
            { Kind: CauseKind.Queue, Other: { } other } => FormattableString.Invariant($"{what}: queue at {centre(at.Centre)} behind {other}, step {at.Cause.Step}"),
            { Kind: CauseKind.Queue } => $"{what}: queue at {centre(at.Centre)}",
            { Kind: CauseKind.Part, Part: { } part } => $"{what}: waits for {part}",
            { Kind: CauseKind.Conditions } => $"{what}: waits for conditions",
            _ => at.Minutes > 0 ? FormattableString.Invariant($"{what}: {at.Minutes / 60.0:0.#} h of work left") : at.Done > at.WorkDone ? $"{what}: {Machine.Of(at.Number).Wait?.For ?? "waits"}" : what,
        };
    }
}

/// <summary>An invitation that must go out.</summary>
/// <param name="Visit">Day on which the point's step likely begins.</param>
/// <param name="By">Last day on which the notice keeps its working days.</param>
/// <param name="Days">Working days from today to that day; negative when it is past.</param>
public sealed record NoticeDue(string Serial, string Customer, string Hold, string Name, DateOnly Earliest, DateOnly Visit, DateOnly Latest, int NoticeDays, DateOnly By, int Days);

/// <summary>One week of a work centre.</summary>
/// <param name="Monday">First day of the week; of the first week, what is left of it counts.</param>
/// <param name="Hours">Hours of the calendar, over all places of the centre; null where it has any number.</param>
/// <param name="Work">Hours of work that the likely pace puts into it.</param>
/// <param name="Waiting">Hours in which machines wait there after their work: cooling, curing.</param>
public sealed record WeekLoad(DateOnly Monday, double? Hours, double Work, double Waiting);

/// <summary>The next weeks of a work centre.</summary>
public sealed record CentreLoad(string Id, string Name, ImmutableArray<WeekLoad> Weeks);

/// <summary>The plant's plan as it follows from what is recorded: ready dates, notices, loads.</summary>
public sealed class PlantPlan
{
    private readonly PlacedPlant early;
    private readonly PlacedPlant likely;
    private readonly PlacedPlant late;
    private readonly PlantTime time;
    private readonly Holidays holidays;
    private readonly Instant now;
    private readonly ImmutableArray<WorkCentre> centres;

    // Nothing of a plan changes once it is made, and every sheet of its minute asks for the same weeks.
    private readonly ConcurrentDictionary<int, ImmutableArray<CentreLoad>> loads = new();

    /// <param name="centres">The work centres in force.</param>
    public PlantPlan(ImmutableArray<PlannedMachine> machines, ImmutableArray<WorkCentre> centres, string timeZone, Holidays holidays, Instant now)
    {
        ImmutableArray<PlannedMachine> inPlant = [.. machines.Where(m => m.Steps.Any(s => !s.Complete))];
        (early, likely, late) = (At(Pace.Early), At(Pace.Likely), At(Pace.Late));
        (time, this.holidays, this.now) = (new PlantTime(timeZone), holidays, now);
        this.centres = [.. centres.Concat(inPlant.SelectMany(m => m.Centres)).DistinctBy(c => c.Id)];
        Machines = inPlant;
        Dates = [.. inPlant.Where(m => !m.Left).Select(Date).OfType<ReadyDate>()
            .OrderBy(d => d.Machine.Promised is null).ThenBy(d => d.Machine.Promised, StringComparer.Ordinal).ThenBy(d => d.Machine.Serial, StringComparer.Ordinal)];

        PlacedPlant At(Pace pace) => ForwardPass.Of(inPlant, centres, timeZone, holidays, now, pace);
    }

    /// <summary>Machines with anything left to do.</summary>
    public ImmutableArray<PlannedMachine> Machines { get; }

    /// <summary>Of every machine that has not left, the earliest promised first.</summary>
    public ImmutableArray<ReadyDate> Dates { get; }

    public ReadyDate? Of(string serial) => Dates.FirstOrDefault(d => d.Machine.Serial == serial);

    public string NameOf(string centre) => centres.FirstOrDefault(c => c.Id == centre)?.Name ?? centre;

    /// <summary>Where the likely pace places a step.</summary>
    public PlacedStep Placed(string serial, int step) => likely.Steps[(serial, step)];

    /// <summary>What the likely pace puts into the time up to a moment: work still to be done and waits not yet over, by their begin.</summary>
    public ImmutableArray<PlacedStep> Ahead(Instant until) =>
        [.. likely.Steps.Values.Where(s => s.Done > ForwardPass.Minute(now) && (s.Start ?? s.WorkDone) < ForwardPass.Minute(until))
            .OrderBy(s => s.Start ?? s.WorkDone).ThenBy(s => s.Serial, StringComparer.Ordinal).ThenBy(s => s.Number)];

    /// <summary>Invitations that must go out up to a day, the most urgent first.</summary>
    public ImmutableArray<NoticeDue> Notices(DateOnly until)
    {
        var today = Day(now);
        return [.. Machines.SelectMany(m => m.Uninvited.Select(u => Notice(m, u))).Where(n => n.By <= until).OrderBy(n => n.By).ThenBy(n => n.Serial, StringComparer.Ordinal)];

        NoticeDue Notice(PlannedMachine machine, UninvitedPoint point)
        {
            DateOnly[] visits = [.. new[] { early, likely, late }.Select(p => p.Steps[(machine.Serial, point.Step)]).Select(s => Day(PlacedStep.Moment(s.Start ?? s.WorkDone)))];
            var by = WorkingDays.Plus(visits[1], -point.NoticeDays, holidays);
            return new NoticeDue(
                machine.Serial, machine.Customer, point.Hold, point.Name, visits.Min(), visits[1], visits.Max(), point.NoticeDays, by, WorkingDays.Signed(today, by, holidays));
        }
    }

    /// <summary>Work and waiting at every work centre in this week and the ones after it.</summary>
    public ImmutableArray<CentreLoad> Loads(int weeks) => loads.GetOrAdd(weeks, LoadsOf);

    private ImmutableArray<CentreLoad> LoadsOf(int weeks)
    {
        var monday = Day(now) is var today ? today.AddDays(-Shift.DayOf(today.DayOfWeek)) : default;

        // Once over all steps of the plant, not once for every centre and week.
        var waits = likely.Steps.Values.Where(s => s.Done > s.WorkDone).ToLookup(s => s.Centre, StringComparer.Ordinal);
        return [.. centres.Where(c => likely.Queues.ContainsKey(c.Id)).Select(c => new CentreLoad(c.Id, c.Name, [.. Enumerable.Range(0, weeks).Select(w => Week(c, monday.AddDays(7 * w)))]))];

        WeekLoad Week(WorkCentre centre, DateOnly first)
        {
            var queue = likely.Queues[centre.Id];
            var (from, to) = (Math.Max(ForwardPass.Minute(now), time.Midnight(first)), time.Midnight(first.AddDays(7)));
            var (a, b) = (queue.Position(from), queue.Position(to));
            var work = queue.Jobs.Sum(j => Math.Max(0, Math.Min(j.To, b) - Math.Max(j.From, a)));
            var waiting = waits[centre.Id].Sum(s => Math.Max(0, Math.Min(s.Done, to) - Math.Max(s.WorkDone, from)));
            return new WeekLoad(first, queue.Capacity * ((b - a) / 60.0), work / 60.0, waiting / 60.0);
        }
    }

    private ReadyDate? Date(PlannedMachine machine)
    {
        if (likely.Last(machine) is not { } last)
        {
            return null;
        }

        // A longer step may let another machine in at another place, so the three paces are put in order.
        long[] ends = [.. new[] { early.Last(machine)!.Done, last.Done, late.Last(machine)!.Done }];
        return new ReadyDate(
            machine, PlacedStep.Moment(ends.Min()), PlacedStep.Moment(last.Done), PlacedStep.Moment(ends.Max()), likely.Chain(last),
            [.. machine.Steps.Select(s => likely.Steps[(machine.Serial, s.Number)]).OrderBy(s => s.Number)]);
    }

    private DateOnly Day(Instant at) => DateOnly.FromDateTime(time.Local(at).DateTime);
}
