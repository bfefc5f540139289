using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>A part of known form with everything that is asked of the product about it.</summary>
internal sealed class Workpiece
{
    public const double LimitUm = 50;
    public const int PassesPlanned = 2;

    private const string Column = "v";
    private const double PitchMm = 500;
    private const double RoundedToUm = 5;

    private readonly Cell cell;
    private readonly (int From, int To)[] joins;
    private readonly ImmutableArray<string> keys;
    private readonly ImmutableArray<Place> places;
    private readonly double[] truth;
    private readonly double commonUm, againSigma;
    private RegisterEntry instrument, instrumentAgain;

    /// <param name="shareOfLimit">The true result over the limit.</param>
    /// <param name="againSigma">Standard uncertainty of a reading where places are measured again, over that of a pass.</param>
    public Workpiece(Cell cell, double shareOfLimit = 1, double commonUm = 0, double againSigma = 1)
    {
        this.cell = cell;
        var (columns, rows) = cell.Part == Part.Rail ? (cell.Stations / 2, 2) : cell.Stations switch { 12 => (4, 3), 26 => (13, 2), 60 => (10, 6), 120 => (15, 8), var n => (n / 2, 2) };
        Stations = [.. Enumerable.Range(0, rows).SelectMany(r => Surveyed.Line(columns, PitchMm, r * PitchMm, FormattableString.Invariant($"R{r + 1}")))];
        joins = [.. Joins(columns, rows)];
        places = [.. cell.Data == Data.Independent ? Stations.Select(s => Place.At(s.Id)) : joins.Select(j => Place.Between(Stations[j.From].Id, Stations[j.To].Id))];
        keys = [.. places.Select(p => p.Key)];
        Shape = Formed(columns, rows);
        (this.commonUm, this.againSigma) = (commonUm, againSigma);
        instrument = Register(1);
        instrumentAgain = Register(againSigma);
        // Any of the product's results is homogeneous: the form is scaled until it is as large as it should be.
        var found = Measure([.. Enumerable.Repeat(Pass(1, Exact(Shape)), 1), Pass(2, Exact(Shape))]).Value!.Value;
        Shape = [.. Shape.Select(z => z / found)];
        truth = Exact([.. Shape.Select(z => z * LimitUm * shareOfLimit)]);
    }

    public ImmutableArray<Station> Stations { get; }

    /// <summary>Heights whose result is 1.</summary>
    public double[] Shape { get; }

    /// <summary>What every pass would read without noise.</summary>
    public double[] Truth => truth;

    private double SigmaOfReading => cell.Data == Data.Independent ? cell.Noise : cell.Noise / (PitchMm / 1000);

    public double[] Noisy(double[] exact, SeededSource source) => [.. exact.Select(v => v + (SigmaOfReading * source.NextNormal()))];

    /// <summary>What is read of heights, µm or µm/m.</summary>
    public double[] Exact(double[] heights) =>
        cell.Data == Data.Independent ? heights : [.. joins.Select(j => (heights[j.To] - heights[j.From]) / (PitchMm / 1000))];

    public Run Pass(int no, double[] readings) => Run(no, instrument, Enumerable.Range(0, places.Length).Select(i => (places[i], readings[i]))) with
    {
        Direction = no % 2 == 1 ? Direction.Outward : Direction.Back,
    };

    /// <summary>The places of a next action measured again; the truth is what all passes share.</summary>
    public Run Again(int no, ImmutableArray<WeightedPlace> weighted, Func<int, double> reading) =>
        Run(no, instrumentAgain, weighted.Select(w => (Place.Parse(w.Place), reading(keys.IndexOf(w.Place))))) with
        {
            Kind = RunKind.ContactsAgain, Proves = "100-01", Weights = weighted,
        };

    /// <summary>What the product says of these runs.</summary>
    public EvaluationResult Measure(ImmutableArray<Run> runs) => Evaluators.Evaluate(Surveyed.Input(
        Evaluator, Surveyed.AtMost((decimal)LimitUm, "µm", DecisionRule.OneSided95), cell.Reference, null,
        (SourceName, Surveyed.Source(Quantity, Stations, cell.Data == Data.Independent ? null : PlaceKind.Between, PassesPlanned, runs, Column)))).Result;

    /// <summary>What readings are rounded to, unit of a reading; null for readings as fine as can be.</summary>
    public double? Digit => cell.Special != Special.CoarseRounding ? null : cell.Data == Data.Independent ? RoundedToUm : RoundedToUm / (PitchMm / 1000);

    /// <summary>The register states another random part from now on: this share of the true one, estimated with so many degrees of freedom.</summary>
    public void Estimate(double share, int degrees)
    {
        instrument = Register(share, degrees);
        instrumentAgain = Register(againSigma * share, degrees);
    }

    private string Evaluator => cell.Part == Part.Rail ? "straightness" : cell.Data == Data.Independent ? "flatness" : "network-flatness";

    private string SourceName => cell.Part == Part.Rail ? "line" : cell.Data == Data.Independent ? "heights" : "rises";

    private string Quantity => cell.Data == Data.Independent ? "height" : "slope";

    private string Unit => cell.Data == Data.Independent ? "µm" : "µm/m";

    // U itself is next to nothing, so that the rule of the contract asks for no more than the reaches do: these are what is tested.
    // U of a small difference is that of two places: each carries 1/√2 of it.
    private RegisterEntry Register(double factor, int? degrees = null)
    {
        var entry = Surveyed.Instrument(
            Quantity, Unit, cell.Data == Data.Independent ? "small difference" : "slope", new Amount(0.001m, Unit),
            new Amount((decimal)(2 * SigmaOfReading * factor * (cell.Data == Data.Independent ? Math.Sqrt(2) : 1)), Unit), new Amount((decimal)commonUm, Unit));
        return entry with
        {
            Figures = [entry.Figures[0] with { DegreesOfFreedom = degrees }], Digit = Digit is { } digit ? new Amount((decimal)digit, Unit) : null,
        };
    }

    private Run Run(int no, RegisterEntry with, IEnumerable<(Place Place, double Value)> read) => new(
        no, no, RunKind.Pass, null, null, "tom", [], Make.Day, [with], [], null, [], null, null, Make.Noon, Make.Noon, null, null,
        [.. read.Select((r, i) => new Reading((no * 1000) + i, r.Place, Column, Value(r.Value), Make.Noon, "tom", EntryRoute.Typed, null, null))]);

    private ReadingValue Value(double value) => cell.Data == Data.Independent
        ? new ReadingValue(ValueKind.Number, "", "µm", (long)Math.Round(value * 1000), null, null)
        : new ReadingValue(ValueKind.Number, "", Unit, null, value, null);

    private IEnumerable<(int From, int To)> Joins(int columns, int rows)
    {
        for (var r = 0; r < rows; r++)
        {
            for (var c = 0; c + 1 < columns; c++)
                yield return ((r * columns) + c, (r * columns) + c + 1);
        }

        for (var r = 0; cell.Part == Part.Bed && r + 1 < rows; r++)
        {
            for (var c = 0; c < (cell.Data == Data.Network ? columns : 1); c++)
                yield return ((r * columns) + c, ((r + 1) * columns) + c);
        }
    }

    private double[] Formed(int columns, int rows)
    {
        var source = new SeededSource(cell.Seed ^ 0xF0F0);
        return [.. Enumerable.Range(0, columns * rows).Select(i =>
        {
            int c = i % columns, r = i / columns;
            double along = (2.0 * c / (columns - 1)) - 1, across = (2.0 * r / (rows - 1)) - 1;
            return cell.Form switch
            {
                Form.Crown => -(along * along) - (0.3 * across * across),
                // A twist of two straight rails is no departure from a line: theirs bends both ways.
                Form.Twist => cell.Part == Part.Rail ? along * along * along * across : along * across,
                Form.Saddle => (along * along * (cell.Part == Part.Rail ? across : 1)) - (across * across),
                // Five stations a period or more, where there are enough.
                Form.Wave => Triangle(c / Math.Max(columns / 3.0, 3)),
                Form.OneHighPad => i == columns * rows / 2 ? 1 : 0,
                Form.Alternating => (c + r) % 2 == 0 ? 1 : -1,
                _ => source.NextNormal(),
            };
        })];
    }

    private static double Triangle(double turns) => Math.Abs((4 * (turns - Math.Floor(turns))) - 2) - 1;
}
