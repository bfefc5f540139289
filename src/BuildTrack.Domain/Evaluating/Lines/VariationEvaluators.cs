using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating.Lines;

/// <summary>Results from one value at every station of a line: cross-level by a level on a bridge, gauge by an indicator.</summary>
/// <remarks>Method: docs/method/rail-pair.md.</remarks>
public abstract class VariationEvaluator : LineEvaluator
{
    public override ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("values", [])];

    private protected virtual int FewestStations => 2;

    // Heights of both rails become the cross-level at every pair of stations that stand abreast.
    private protected sealed override ImmutableArray<MeasuredLine> Prepared(ImmutableArray<MeasuredLine> lines) =>
        lines is [{ Source: { Quantity: "height", Places: null } } one, var other] && other.Source == one.Source ? [one.Abreast(other)] : lines;

    private protected sealed override (ImmutableArray<NamedGroup> Groups, string? Missing) GroupsOf(EvaluationInput input, MeasuredLine line) =>
        line.Stations.Length < FewestStations
            ? ([], $"{line.Stations.Length} stations; {FewestStations} or more are needed")
            : Groups(input, line);

    private protected abstract (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line);

    private protected override IEnumerable<Figure> Figures(EvaluationInput input, MeasuredLine line)
    {
        var unit = Units.Calculated(input.Requirement.Upper!.Unit);
        var values = line.Values(line.Mean);
        yield return new Figure("mean", values.Average(), unit);
        yield return new Figure("least", values.Min(), unit);
        yield return new Figure("largest", values.Max(), unit);
    }

    private protected override IEnumerable<Deviation> Deviations(EvaluationInput input, MeasuredLine line)
    {
        var values = line.Values(line.Mean);
        var mean = values.Average();
        return line.Stations.Select((s, i) => new Deviation(s.Id, values[i] - mean));
    }

    private protected static ImmutableArray<string> Names(MeasuredLine line) => [.. line.Stations.Select(s => s.Id)];

    private protected static ImmutableArray<double> Less(ImmutableArray<double> one, IEnumerable<double> other) => [.. one.Zip(other, (a, b) => a - b)];

    private protected static IEnumerable<double> MeanRow(MeasuredLine line) => line.Places.Select((_, k) => line.Rows.Average(r => r[k]));
}

/// <summary>Largest less smallest value along the line: twist as range, gauge variation.</summary>
public sealed class RangeEvaluator : VariationEvaluator
{
    public const string Name = "range";

    public override string Kind => Name;

    private protected override string What(EvaluationInput input) => "largest less smallest value";

    private protected override (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line) =>
        ([new NamedGroup(new SumGroup(line.Rows, Range: true), Names(line))], null);
}

/// <summary>Largest distance of a station from the mean of all: cross-level deviation.</summary>
public sealed class DeviationFromMeanEvaluator : VariationEvaluator
{
    public override string Kind => "deviation-from-mean";

    private protected override string What(EvaluationInput input) => "largest distance from the mean";

    private protected override (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line)
    {
        double[] mean = [.. MeanRow(line)];
        return ([new NamedGroup(new SumGroup([.. line.Rows.Select(r => Less(r, mean))], Range: false), Names(line))], null);
    }
}

/// <summary>Last value less the first: end twist.</summary>
public sealed class EndTwistEvaluator : VariationEvaluator
{
    public override string Kind => "end-twist";

    private protected override string What(EvaluationInput input) => "last less first value";

    private protected override (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line) =>
        ([new NamedGroup(new SumGroup([line.Rows[0], line.Rows[^1]], Range: true), [line.Stations[0].Id, line.Stations[^1].Id])], null);
}

/// <summary>Largest change within a stretch of a given length: local twist.</summary>
public sealed class LocalTwistEvaluator : VariationEvaluator
{
    public override string Kind => "local-twist";

    public override bool NeedsWindow => true;

    private protected override string What(EvaluationInput input) => $"largest change over any {input.Characteristic.Window}";

    private protected override (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line)
    {
        var groups = LineRows.Windows(line.PositionsMm, input.Characteristic.Window!.Micrometres / 1000)
            .Select(w => new NamedGroup(new SumGroup(line.Rows[w.From..(w.To + 1)], Range: true), Names(line)[w.From..(w.To + 1)])).ToImmutableArray();
        return groups.All(g => g.Names.Length > 1) ? (groups, null) : ([], $"the stations are further apart than {input.Characteristic.Window}");
    }
}

/// <summary>Size of the mean over each line: how level the bed stands, along a rail by a stepped level, across by a level on the bridge.</summary>
public sealed class LevelEvaluator : VariationEvaluator
{
    public override string Kind => "level";

    public override ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("values", ["slope"], [Checklists.PlaceKind.At, Checklists.PlaceKind.Between], Stepped: true)];

    private protected override string What(EvaluationInput input) => "slope of the bed";

    private protected override IEnumerable<Figure> Figures(EvaluationInput input, MeasuredLine line) =>
        [new Figure((line.Name.Length == 0 ? "" : line.Name + " ") + "slope", SumsReach.Sum(Groups(input, line).Groups[0].Sums.Rows[0].AsSpan(), line.Mean.AsSpan()), "µm/m")];

    // Rises of a stepped level lead from the first height to the last; values at stations are averaged.
    private protected override (ImmutableArray<NamedGroup> Groups, string? Missing) Groups(EvaluationInput input, MeasuredLine line)
    {
        var metres = (line.Stations[^1].XMm - line.Stations[0].XMm) / 1000;
        ImmutableArray<double> row = line.Source.Places == Checklists.PlaceKind.Between
            ? [.. Less(line.Rows[^1], line.Rows[0]).Select(w => w / metres)]
            : [.. MeanRow(line)];
        return ([new NamedGroup(new SumGroup([row], Range: false), [line.Name.Length == 0 ? line.Source.Survey : line.Name])], null);
    }

    private protected override IEnumerable<Deviation> Deviations(EvaluationInput input, MeasuredLine line) => [];
}
