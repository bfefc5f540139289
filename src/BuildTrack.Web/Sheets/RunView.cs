using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Web.Sheets;

/// <summary>A run with what it belongs to, laid out as the form on the floor: places down, columns across.</summary>
public sealed record RunView(MachineRecord Machine, Survey Survey, Measurement Measurement, Run Run)
{
    /// <exception cref="NotFoundException">The machine has no such run.</exception>
    public static RunView Of(MachineRecord machine, long run)
    {
        var measurement = machine.Measurements.SingleOrDefault(m => m.Runs.Any(r => r.Id == run)) ?? throw new NotFoundException($"There is no run {run} on {machine.Serial}.");
        return new(machine, machine.Revision.Survey(measurement.Survey), measurement, measurement.Runs.Single(r => r.Id == run));
    }

    /// <summary>The whole table of a run.</summary>
    public static string UrlOf(string serial, long run) => FormattableString.Invariant($"{SheetSets.UrlOf(serial)}/runs/{run}");

    /// <summary>The measuring sheet of an open run: one place at a time.</summary>
    public static string SheetUrlOf(string serial, long run) => $"{UrlOf(serial, run)}/station";

    public bool Again => Run.Kind == RunKind.ContactsAgain;

    public bool Spot => Run.Kind == RunKind.SpotCheck;

    public bool IsOpen => Run.Finished is null && Run.Discarded is null;

    /// <summary>This person may still enter readings: it is his own run, it is open, and nothing over it is released.</summary>
    public bool IsOpenTo(string person) => IsOpen && Run.Person == person && Machine.ReleasedOver(Survey.Id) is null;

    /// <summary>The places this run has to fill; of a repeat or a spot check only the chosen ones.</summary>
    public ImmutableArray<string> Places => RunPlan.PlacesIn(Machine, Survey, Measurement, Run);

    public ImmutableArray<Column> Columns => RunPlan.ColumnsOf(Machine, Survey, Run);

    /// <summary>Places in groups by rail: R1, R2.</summary>
    public IEnumerable<IGrouping<string, string>> Rails => Places.GroupBy(p => p.Contains('-') ? p[..p.IndexOf('-')] : "");

    /// <summary>What stands at a place, where the plan says it.</summary>
    public string? TitleOf(string place) => Stations.GetValueOrDefault(place)?.Title;

    /// <summary>Minutes after switching on, of a log; null for a place on the machine.</summary>
    public double? MinuteOf(string place) => Stations.GetValueOrDefault(place)?.Minute;

    private Dictionary<string, Station> Stations { get; } = Machine.Revision.StationsOf(Survey, Machine.Model, Measurement.Feature).DistinctBy(s => s.Id).ToDictionary(s => s.Id, StringComparer.Ordinal);

    public Reading? At(string place, string column) => Run.Standing.FirstOrDefault(r => r.Place.Key == place && r.Column == column);

    /// <summary>A reading as typed; with its unit where that is not the one at the head of its column, as a file may have it.</summary>
    public static string Typed(Run run, Column column, Reading reading)
    {
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(reading);
        return reading.Value.Unit is { } unit && unit != (run.UnitOf(column) ?? "1") ? $"{reading.Value.Typed} {unit}" : reading.Value.Typed;
    }

    public int Missing => Places.Sum(p => Columns.Count(c => At(p, c.Id) is null));

    public string KindWords => Words(Run, Measurement);

    public static string Words(Run run, Measurement measurement) => run.Kind switch
    {
        RunKind.ContactsAgain => $"places of {run.Proves} measured again",
        RunKind.SpotCheck => "spot check, not in the result",
        _ => measurement.PassesPlanned > 1 ? $"pass, {measurement.PassesPlanned} planned" : "pass",
    } + (run.Direction is { } d ? d == Direction.Outward ? ", outward" : ", back" : "") + (run.Arrow is { } a ? a == LevelArrow.PlusX ? ", arrow to +X" : ", arrow to −X" : "");

    // Shorter than this is the way of a request and of a clock that is set by hand (common practice, no source).
    private static readonly TimeSpan Noticeable = TimeSpan.FromMinutes(1);

    /// <summary>How long a tablet kept the begin of the run and its readings before it sent them, and how far its clock was off; null where neither can be noticed.</summary>
    public string? KeptOnTablet
    {
        get
        {
            var sent = Run.Readings.Where(r => r.Tablet is not null).Select(r => (Waited: TimeSpan.FromMicroseconds(r.Tablet!.Sent.Microseconds - r.Tablet.Typed.Microseconds), Behind: r.Tablet.Behind(r.At))).ToArray();
            var waited = sent.Where(s => s.Waited >= Noticeable).ToArray();
            var begun = Run.Tablet is { } first ? $"The run was begun on a tablet without network and sent {Web.Sheets.Words.Duration(TimeSpan.FromMicroseconds(Math.Max(0, first.Sent.Microseconds - first.Typed.Microseconds)))} later." : null;
            var off = sent.Select(s => s.Behind).Concat(Run.Tablet is { } clocks ? [clocks.Behind(Run.Begun)] : []).Where(b => b.Duration() >= Noticeable).ToArray();
            var kept = waited.Length == 0 ? null : $"{waited.Length} of {Run.Readings.Length} readings were kept on a tablet before they were sent, the longest {Web.Sheets.Words.Duration(waited.Max(w => w.Waited))}.";
            var clock = off.Length == 0 ? null
                : off.MaxBy(b => b.Duration()) is var most && most > TimeSpan.Zero ? $"The tablet's clock was {Web.Sheets.Words.Duration(most)} behind the server's."
                : $"The tablet's clock was {Web.Sheets.Words.Duration(most.Duration())} ahead of the server's.";
            return begun is null && kept is null && clock is null ? null : string.Join(" ", new[] { begun, kept, clock }.OfType<string>());
        }
    }

    /// <summary>"open", "finished", "set aside: reason".</summary>
    public static string State(Run run) =>
        run.Discarded is { } gone ? $"set aside: {gone.Reason}" : run.Finished is null ? "open" : "finished";
}

/// <summary>A check as this order agreed it, with how it stands.</summary>
public sealed record AgreedCharacteristicView(AgreedCharacteristic Agreed, CharacteristicStanding Standing)
{
    public Requirement Requirement => Agreed.Requirement;

    /// <summary>A number of the calculation in the unit of its limit.</summary>
    public string InUnit(double value) => Domain.Evaluating.Shown.InUnitOf(value, Requirement);

    public string Number(double value) => Domain.Evaluating.Shown.NumberInUnitOf(value, Requirement);

    public string Unit => Domain.Evaluating.Shown.UnitOf(Requirement);
}
