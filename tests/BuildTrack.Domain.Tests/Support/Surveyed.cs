using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Support;

/// <summary>Inputs of calculations from readings in memory, in whatever unit an instrument shows.</summary>
internal static class Surveyed
{
    public static RegisterEntry Instrument(string quantity, string unit, string use, Amount u, Amount? random = null, Amount? common = null, Amount? division = null) => new(
        $"{quantity}-1", quantity, "1", quantity, unit, [new RegisterFigure(use, null, u, null, 2, random, common)], "2026-01-01", "2026-12-31", "K", InstrumentState.InService, 1, division);

    /// <summary>Stations at a pitch along X: S-00, S-01 …</summary>
    public static ImmutableArray<Station> Line(int count, double pitchMm, double yMm = 0, string name = "S") =>
        [.. Enumerable.Range(0, count).Select(i => new Station(FormattableString.Invariant($"{name}-{i:00}"), i * pitchMm, yMm))];

    /// <summary>The steps from each station to the next.</summary>
    public static ImmutableArray<string> Steps(ImmutableArray<Station> stations) => [.. ChecklistRevision.Joins(stations).Select(p => p.Key)];

    public static Run Run(int no, RegisterEntry? instrument, string column, IEnumerable<string> places, IEnumerable<double> values, LevelArrow? arrow = null, Direction? direction = null) => new(
        no, no, RunKind.Pass, direction, arrow, "tom", [], Make.Day, instrument is null ? [] : [instrument], [], null, [], null, null, Make.Noon, Make.Noon, null, null,
        [.. places.Zip(values, (p, v) => (p, v)).Select((x, i) => new Reading((no * 1000) + i, Place.Parse(x.p), column, Value(x.v, instrument?.Unit ?? "µm"), Make.Noon, "tom", EntryRoute.Typed, null, null))]);

    public static Source Source(string quantity, ImmutableArray<Station> stations, PlaceKind? places, int passes, IEnumerable<Run> runs, string column = "v", string? feature = null) =>
        new(new SurveySource(1, 1, "s", column, quantity, passes, false, null, stations, [.. runs], feature, null, places), null, null);

    public static EvaluationInput Input(
        string evaluator, Requirement requirement, string? reference, Amount? window, params IEnumerable<(string Name, Source Source)> sources) => new(
        Evaluators.Engine, "X-1", "M", new Characteristic("c", "100-01", "H1", "Check", evaluator, ImmutableSortedDictionary<string, SourceRef>.Empty.Add("x", new SourceRef("s", "v", null, null)), reference, "limit", window), reference,
        requirement, null, null, sources.ToImmutableSortedDictionary(s => s.Name, s => s.Source, StringComparer.Ordinal));

    public static Requirement AtMost(decimal value, string unit, DecisionRule rule = DecisionRule.Guarded) => new(new Amount(value, unit), null, null, null, rule, "company standard", "A", null);

    public static Requirement AtLeast(decimal value, string unit, DecisionRule rule = DecisionRule.Guarded) => new(null, new Amount(value, unit), null, null, rule, "company standard", "A", null);

    public static double Figure(this EvaluationResult result, string name) => result.Figures.Single(f => f.Name == name).Value;

    public static ReadingValue Value(double value, string unit) => Units.NanometresPer(unit) is { } nm
        ? new ReadingValue(ValueKind.Number, FormattableString.Invariant($"{value}"), unit, (long)Math.Round((decimal)value * nm), null, null)
        : new ReadingValue(ValueKind.Number, FormattableString.Invariant($"{value}"), unit, null, value, null);
}
