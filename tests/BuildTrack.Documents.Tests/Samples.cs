using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Documents.Tests;

/// <summary>Evaluations of invented beds: 8, 17 or 29 pads on each rail seat, and fields that are not two rows.</summary>
internal static class Samples
{
    public static readonly Instant Begun = Instant.Parse("2026-11-23T05:40:00.000000Z");

    /// <summary>The big bed whose minimum zone is 0.121 mm against 0.100 mm, U 0.014 mm.</summary>
    public static EvaluationRecord BigBed(bool measuredAgain) => Calculate(
        Flatness("OV2661-0031", "OV-2661/12", FlatnessEvaluator.MinimumZone, "0.100", 14, Seats(29, 2600, 60.5, "R1-08", "R1-22"), measuredAgain));

    /// <summary>The middle bed, 31 µm of 50 µm, U 6 µm.</summary>
    public static EvaluationRecord MiddleBed() => Calculate(
        Flatness("OV1530-0417", "OV-1530/06", FlatnessEvaluator.LeastSquares, "0.050", 6, Seats(17, 1750, 15.5, "R1-05", "R1-13"), false));

    /// <summary>The small bed, 17 µm of 30 µm.</summary>
    public static EvaluationRecord SmallBed() => Calculate(
        Flatness("OV1212-0088", "OV-1212/03", FlatnessEvaluator.MinimumZone, "0.030", 4, Seats(8, 1400, 8.5, "R1-03", "R1-06"), false));

    /// <summary>Least pad thickness of the big bed.</summary>
    public static EvaluationRecord Pads()
    {
        var stations = Seats(29, 2600, 0, "", "").Select((p, i) => (p.Station, 17400 + (37 * ((i * 7) % 23)) - (i == 40 ? 90.0 : 0))).ToArray();
        var run = Run(1, RunKind.Pass, "rtallworth", [], Instrument("IND-11", "thickness gauge", "thickness", "mm", 20, "absolute"), stations, "thickness", null);
        var characteristic = new Characteristic(
            "pad-thickness", "100-04", "H1", "Thickness left of the rail pads", "least-value", From("values", "100-pads", "thickness"), null, "pad-thickness");
        return Calculate(new EvaluationInput(
            Evaluators.Engine, "OV2661-0031", "OV-2661/12", characteristic, null,
            new Requirement(null, new Amount(16.0m, "mm"), null, null, DecisionRule.Guarded, "company standard", "B", null), null, new Amount(0.2m, "K"),
            Source("values", new SurveySource(12, 1, "100-pads", "thickness", "thickness", 1, false, null, [.. stations.Select(s => s.Station)], [run]))));
    }

    /// <summary>A field that is not two rows: a grid of nine or ten scattered points.</summary>
    public static EvaluationRecord Field((double X, double Y, double Z)[] points, string limit) => Calculate(
        Flatness("OV1212-0099", "OV-1212/03", FlatnessEvaluator.MinimumZone, limit, 2, [.. points.Select((p, i) => (new Station(Text($"P{i + 1}"), p.X, p.Y), p.Z))], false));

    public static (double X, double Y, double Z)[] Grid { get; } =
        [(0, 0, 8), (200, 0, 2), (400, 0, -7), (0, 200, 1), (200, 200, 0), (400, 200, -2), (0, 400, -9), (200, 400, 1), (400, 400, 6)];

    /// <summary>An axis of eleven targets, invented: a slope, a wave, a reversal that grows, and noise from a seed.</summary>
    public static EvaluationRecord Axis(string reference, int passes = 5)
    {
        var laser = Instrument("IFM-01", "laser interferometer", "position", "mm", 1, "small difference");
        var random = new Random(20261128);
        Station[] targets = [.. Enumerable.Range(0, 11).Select(i => new Station(Text($"X-{i:00}"), 200 * i, 0))];
        double Noise() => Math.Round((random.NextDouble() - 0.5) * 2, 1);
        var runs = Enumerable.Range(1, passes).Select(no =>
        {
            var forward = Run(no, RunKind.Pass, "jpell", [], laser, [.. targets.Select((t, i) => (t, (0.6 * i) + (3 * Math.Sin(i)) + Noise()))], "forward", null);
            var backward = Run(no, RunKind.Pass, "jpell", [], laser, [.. targets.Select((t, i) => (t, (0.6 * i) + (3 * Math.Sin(i)) - 2 - (0.2 * i) + Noise()))], "backward", null);
            return forward with { Readings = [.. forward.Readings, .. backward.Readings.Select(r => r with { Id = r.Id + 500 })] };
        }).ToImmutableArray();
        var characteristic = new Characteristic(
            "x-axis", "210-01", "H8", "Positioning of X", "positioning", From("forward", "x-window", "forward").AddRange(From("backward", "x-window", "backward")), reference, "x-axis");
        SurveySource Of(string column) => new(21, 1, "x-window", column, "position", passes, false, null, [.. targets], runs);
        return Calculate(new EvaluationInput(
            Evaluators.Engine, "OV2060-0102", "OV-2060/12", characteristic, reference,
            new Requirement(new Amount(0.030m, "mm"), null, null, null, DecisionRule.Simple, "company standard", "C", null), null, null,
            Source("forward", Of("forward")).AddRange(Source("backward", Of("backward")))));
    }

    /// <summary>A power log of 241 minutes, invented: a wave, a slow fall, and noise from a seed.</summary>
    public static EvaluationRecord PowerLog()
    {
        var meter = Instrument("PWR-01", "power meter", "power", "W", 1, "absolute") with { Figures = [new RegisterFigure("absolute", null, new Amount(180, "W"), null, 2, new Amount(20, "W"), new Amount(160, "W"))] };
        var random = new Random(20261129);
        Station[] minutes = [.. Enumerable.Range(30, 241).Select(t => new Station(Text($"M{t:000}"), 0, 0, null, t))];
        var run = Run(1, RunKind.Pass, "jpell", [], meter, [.. minutes.Select((m, i) => (m, Math.Round(6000 + (30 * Math.Sin(i / 11.0)) - (0.1 * i) + (8 * random.NextDouble()))))], "power", null);
        run = run with { Readings = [.. run.Readings.Select(r => r with { Value = new ReadingValue(ValueKind.Number, Text($"{r.Value.Calculated}"), "W", null, r.Value.Calculated, null) })] };
        var characteristic = new Characteristic("drift", "240-01", "H10", "Drift of the laser power", "power-drift", From("power", "power-log", "power"), null, "power-drift");
        return Calculate(new EvaluationInput(
            Evaluators.Engine, "OV2060-0102", "OV-2060/12", characteristic, null,
            new Requirement(new Amount(2, "%"), null, null, null, DecisionRule.Guarded, "company standard", "C", null), null, null,
            Source("power", new SurveySource(22, 1, "power-log", "power", "power", 1, false, null, [.. minutes], [run]))));
    }

    /// <summary>Both ways round a circle of 150 mm: axes 40 µm/m from square, 3 µm of backlash where an axis turns, the instrument 20 and 12 µm off the centre.</summary>
    public static EvaluationRecord Circle()
    {
        var bar = Instrument("CIR-01", "circular test device", "radius", "µm", 1, "absolute");
        Station[] places = [.. Enumerable.Range(0, 72).Select(i => 5.0 * i).Select(a => new Station(Text($"A{a:000}"), Math.Round(150 * Math.Cos(a * Math.PI / 180), 3), Math.Round(150 * Math.Sin(a * Math.PI / 180), 3), Text($"{a}°"), Degrees: a))];
        double Radius(double a, int sense) => Math.Round((3 * Math.Sin(2 * a * Math.PI / 180)) + (20 * Math.Cos(a * Math.PI / 180)) + (12 * Math.Sin(a * Math.PI / 180)) + (sense * (a % 90 < 45 ? 1.5 : -1.5)), 1);
        Source Way(string column, int sense) => new(
            new SurveySource(23, 1, "circle-slow", column, "radius", 1, false, null, [.. places], [Run(1, RunKind.Pass, "jpell", [], bar, [.. places.Select(p => (p, Radius(p.Degrees!.Value, sense)))], column, null)]), null, null);
        var characteristic = new Characteristic("circle", "210-09", "H8", "Circular test at 2 m/min", "circular", From("clockwise", "circle-slow", "clockwise"), "bidirectional-Gb", "circle-slow");
        return Calculate(new EvaluationInput(
            Evaluators.Engine, "OV1530-0413", "OV-1530/06", characteristic, "bidirectional-Gb",
            new Requirement(new Amount(0.030m, "mm"), null, null, null, DecisionRule.Guarded, "company standard", "C", null), null, null,
            ImmutableSortedDictionary<string, Source>.Empty.Add("clockwise", Way("clockwise", 1)).Add("counter", Way("counter", -1))));
    }

    public static EvaluationRecord Calculate(EvaluationInput input) => Evaluators.Evaluate(input);

    public static (Station Station, double Um)[] Seats(int perSeat, double gauge, double amplitude, string low, string high)
    {
        var (l, h) = (Index(low), Index(high));
        double Height(int i, int side)
        {
            // A saddle: one seat falls where the other rises; small teeth between the four extremes.
            var shape = amplitude == 0 ? 0 : Math.Round(Math.Cos(Math.PI * (i - l) / (h - l)) * 10) / 10;
            var teeth = i == l || i == h ? 0 : ((i * 5) + side) % 4;
            return side * ((-amplitude * shape) + (Math.Sign(shape) * teeth * amplitude / 60));
        }

        var rows = from side in new[] { 1, -1 }
                   from i in Enumerable.Range(0, perSeat)
                   select (new Station(Text($"{(side > 0 ? "R1" : "R2")}-{i + 1:00}"), i * 250.0, side > 0 ? 0 : gauge), Math.Round(Height(i, side), 1));
        return [.. rows];

        int Index(string station) => station.Length == 0 ? 0 : int.Parse(station[3..], CultureInfo.InvariantCulture) - 1;
    }

    private static EvaluationInput Flatness(
        string serial, string model, string reference, string limit, decimal expandedUm, (Station Station, double Um)[] heights, bool again)
    {
        var tracker = Instrument("TRK-01", "laser tracker", "height", "mm", expandedUm, "small difference");
        var runs = ImmutableArray.CreateBuilder<Run>();
        runs.Add(Run(1, RunKind.Pass, "bexley.orme", ["jpell"], tracker, heights, "height", null) with
        {
            Discarded = new Discarded("mostley", Later(92), "crane passed over the bed at station R2-07; the tracker's nest had moved 0.04 mm"),
        });
        runs.Add(Run(2, RunKind.Pass, "jpell", ["rtallworth"], tracker, [.. heights.Select((h, i) => (h.Station, h.Um + (i % 3 == 0 ? 0.4 : 0)))], "height", null));
        runs.Add(Run(3, RunKind.Pass, "jpell", [], tracker, [.. heights.Select((h, i) => (h.Station, h.Um - (i % 3 == 0 ? 0.4 : 0)))], "height", null));
        if (again)
        {
            var contacts = new[] { "R1-08", "R1-22", "R2-08", "R2-22" };
            var measured = heights.Where(h => contacts.Contains(h.Station.Id)).Select(h => (h.Station, h.Um - (Math.Sign(h.Um) * 0.5))).ToArray();
            runs.Add(Run(4, RunKind.ContactsAgain, "bexley.orme", [], tracker, measured, "height", "100-01") with
            {
                Weights = [.. measured.Select(m => new WeightedPlace(m.Station.Id, m.Item2 > 0 ? 0.5 : -0.5))],
            });
        }

        var characteristic = new Characteristic(
            "bed-flatness", "100-01", "H1", "Flatness of the rail pads", "flatness", From("heights", "100-bed", "height"), reference, "bed-flatness");
        return new EvaluationInput(
            Evaluators.Engine, serial, model, characteristic, reference,
            new Requirement(new Amount(decimal.Parse(limit, CultureInfo.InvariantCulture), "mm"), null, null, null, DecisionRule.Guarded, "contract annex 2", "B", "pthornwell"),
            null, new Amount(0.5m, "K"),
            Source("heights", new SurveySource(11, 2, "100-bed", "height", "height", 2, true, null, [.. heights.Select(h => h.Station)], runs.ToImmutable())));
    }

    private static Run Run(
        int no, RunKind kind, string person, ImmutableArray<string> helpers, RegisterEntry instrument, (Station Station, double Um)[] values, string column, string? proves)
    {
        var begun = Later(60 * no);
        var readings = values.Select((v, i) =>
        {
            var nm = (long)Math.Round(v.Um * 1000);
            var typed = (nm / 1_000_000m).ToString("0.0000", CultureInfo.InvariantCulture).Replace('.', no % 2 == 0 ? ',' : '.');
            return new Reading(
                (1000 * no) + i, Place.At(v.Station.Id), column, new ReadingValue(ValueKind.Number, typed, "mm", nm, null, null),
                new Instant(begun.Microseconds + (i * 20_000_000L)), person, EntryRoute.Typed, null, null);
        });
        return new Run(
            no, no, kind, no % 2 == 0 ? Direction.Outward : Direction.Back, null, person, helpers, "2026-11-23", [instrument],
            [new UseCheck(instrument.Id, "drift nest 0.002 mm after warm-up", true)],
            new Conditions(19.8m, [20.1m, 20.2m, 20.1m], [20.0m, 20.0m, 20.0m], no == 1 ? "crane over bay 4" : null), [], proves, null,
            begun, new Instant(begun.Microseconds + 1_500_000_000), new Instant(begun.Microseconds + 1_510_000_000), null, [.. readings]);
    }

    private static RegisterEntry Instrument(string id, string name, string quantity, string unit, decimal expandedUm, string use) => new(
        id, name, "SN-4711", quantity, unit, [Figure(use, expandedUm)], "2026-03-02", "2027-03-01",
        "K-2026-118", InstrumentState.InService, 1);

    /// <summary>The tracker of the big bed has its U split: mostly random, so that one measurement alone proves little.</summary>
    private static RegisterFigure Figure(string use, decimal expandedUm) => expandedUm == 14
        ? new RegisterFigure(use, null, new Amount(14, "µm"), null, 2, new Amount(12.5m, "µm"), new Amount(5, "µm"))
        : new RegisterFigure(use, null, new Amount(expandedUm, "µm"), null, 2, null, null);

    private static ImmutableSortedDictionary<string, SourceRef> From(string name, string survey, string column) =>
        ImmutableSortedDictionary<string, SourceRef>.Empty.Add(name, new SourceRef(survey, column, null, null));

    private static ImmutableSortedDictionary<string, Source> Source(string name, SurveySource source) =>
        ImmutableSortedDictionary<string, Source>.Empty.Add(name, new Source(source, null, null));

    private static Instant Later(int minutes) => new(Begun.Microseconds + (minutes * 60_000_000L));

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
