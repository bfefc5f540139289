using System.Collections.Concurrent;
using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PunchList;

namespace BuildTrack.Records.Storage;

/// <summary>The frozen part of a run, kept as one canonical text.</summary>
internal sealed record RunDetail(
    ImmutableArray<string> Helpers, ImmutableArray<RegisterEntry> Instruments, ImmutableArray<UseCheck> Checks, Conditions? Conditions,
    ImmutableArray<WeightedPlace> Weights, TabletClock? Tablet = null);

/// <summary>Rows to records and back.</summary>
internal static class Mapping
{
    /// <summary>Some hundred machines; then it begins anew.</summary>
    private const int MostDetails = 20_000;

    // A frozen text always reads the same, and a machine is read with all its runs at every act: each text is taken apart once.
    private static readonly ConcurrentDictionary<string, RunDetail> Details = new(StringComparer.Ordinal);

    public static Reading ToReading(this ReadingRow row) => new(
        row.Id, Place.Parse(row.Place), row.Column,
        new ReadingValue((ValueKind)row.ValueKind, row.Typed, row.Unit, row.Nanometres, row.Number, row.FileHash),
        new Instant(row.AtUs), row.Person, (EntryRoute)row.Route, row.Supersedes, row.Reason,
        // One without the other is no reading of ours: its hash then tells.
        row.TypedUs is null && row.SentUs is null ? null : new TabletClock(new Instant(row.TypedUs ?? 0), new Instant(row.SentUs ?? 0)));

    public static ReadingRow ToRow(this Reading reading, long run, string serial) => new()
    {
        Id = reading.Id,
        RunId = run,
        Serial = serial,
        Place = reading.Place.Key,
        Column = reading.Column,
        ValueKind = (int)reading.Value.Kind,
        Typed = reading.Value.Typed,
        Unit = reading.Value.Unit,
        Nanometres = reading.Value.Nanometres,
        Number = reading.Value.Number,
        FileHash = reading.Value.FileHash,
        AtUs = reading.At.Microseconds,
        TypedUs = reading.Tablet?.Typed.Microseconds,
        SentUs = reading.Tablet?.Sent.Microseconds,
        Person = reading.Person,
        Route = (int)reading.Route,
        Supersedes = reading.Supersedes,
        Reason = reading.Reason,
        Hash = reading.Hash,
    };

    public static Run ToRun(this RunRow row, ImmutableArray<Reading> readings)
    {
        var detail = DetailOf(row.Detail);
        return new Run(
            row.Id, row.No, (RunKind)row.Kind, (Direction?)row.Direction, (LevelArrow?)row.Arrow, row.Person, detail.Helpers, row.Day, detail.Instruments,
            detail.Checks, detail.Conditions, detail.Weights, row.Proves, row.FileHash, new Instant(row.BegunUs), Moment(row.FinishedUs), Moment(row.ShownUs),
            row.DiscardedUs is { } at ? new Discarded(row.DiscardedBy!, new Instant(at), row.DiscardedBecause!) : null,
            readings, detail.Tablet);
    }

    private static RunDetail DetailOf(string text)
    {
        if (Details.TryGetValue(text, out var known))
        {
            return known;
        }

        if (Details.Count > MostDetails)
        {
            Details.Clear();
        }

        return Details.GetOrAdd(text, CanonicalJson.Read<RunDetail>);
    }

    public static RunRow ToRow(this Run run, long measurement, string serial) => new()
    {
        Id = run.Id,
        MeasurementId = measurement,
        Serial = serial,
        No = run.No,
        Kind = (int)run.Kind,
        Direction = (int?)run.Direction,
        Arrow = (int?)run.Arrow,
        Person = run.Person,
        Day = run.Day,
        Detail = CanonicalJson.Of(new RunDetail(run.Helpers, run.Instruments, run.Checks, run.Conditions, run.Weights, run.Tablet)),
        Proves = run.Proves,
        FileHash = run.FileHash,
        BegunUs = run.Begun.Microseconds,
        FinishedUs = run.Finished?.Microseconds,
        ShownUs = run.Shown?.Microseconds,
    };

    public static Measurement ToMeasurement(this MeasurementRow row, IEnumerable<Run> runs) => new(
        row.Id, row.Survey, row.Feature, row.No, row.PassesPlanned, row.RepeatedBecause, new Instant(row.BegunUs), row.BegunBy, [.. runs.OrderBy(r => r.No)]);

    public static Nonconformance ToNonconformance(this NonconformanceRow row, IEnumerable<NonconformanceEntryRow> entries) => new(
        row.Id, row.Number, row.Serial, row.Step, row.Result is { } result ? CanonicalJson.Read<FailedResult>(result) : null,
        row.Seen is { } seen ? CanonicalJson.Read<SeenFault>(seen) : null, (Severity)row.Severity, row.Note, row.Person, new Instant(row.AtUs),
        [.. entries.OrderBy(e => e.Id).Select(e => new NonconformanceEntry(
            e.Id, (NonconformanceAct)e.Act, e.Person, new Instant(e.AtUs), CanonicalJson.Read<NonconformanceDetail>(e.Detail), e.Concession))]);

    public static PunchItem ToPunchItem(this PunchItemRow row, IEnumerable<PunchEntryRow> entries) => new(
        row.Id, row.No, row.Text, (PunchClass)row.Class, row.Owner, row.Outside, row.Due, row.Person, new Instant(row.AtUs),
        [.. entries.OrderBy(e => e.Id).Select(e => new PunchEntry(e.Id, (PunchAct)e.Act, e.Person, new Instant(e.AtUs), e.Text, (PunchClass?)e.Class, e.FileHash))]);

    private static Instant? Moment(long? microseconds) => microseconds is { } us ? new Instant(us) : null;
}
