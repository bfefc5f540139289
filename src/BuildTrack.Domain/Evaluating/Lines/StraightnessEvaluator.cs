using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating.Lines;

/// <summary>Straightness of each line of a survey under the reference that the requirement names; the worst line decides.</summary>
/// <remarks>Method: docs/method/straightness.md. From the rises of a stepped level or autocollimator, or from heights and sideways deviations at stations.</remarks>
public sealed class StraightnessEvaluator : StretchEvaluator
{
    public const string Name = "straightness";

    public override string Kind => Name;

    private protected override string What(EvaluationInput input) => $"straightness, {Word(input)}";

    private protected override ImmutableArray<(int From, int To)> Stretches(EvaluationInput input, MeasuredLine line) => [(0, line.Stations.Length - 1)];

    private protected override IEnumerable<Figure> Figures(EvaluationInput input, MeasuredLine line)
    {
        var values = Of(line, line.Mean);
        var name = line.Name.Length == 0 ? "" : line.Name + " ";
        yield return new Figure(name + "end-point", values.EndPointUm, "µm");
        yield return new Figure(name + "least squares", values.LeastSquaresUm, "µm");
        yield return new Figure(name + "minimum zone", values.MinimumZoneUm, "µm");
        yield return new Figure(name + "slope of the ends", values.EndPointSlopeUmPerM, "µm/m");
        if (line.Source.CountedPasses.Take(2).Select(r => r.Direction).ToArray() is [Direction.Outward, Direction.Back] or [Direction.Back, Direction.Outward])
        {
            var back = OutAndBack.Of(line.PositionsMm, line.Values(line.Passes[0]), line.Values(line.Passes[1]));
            yield return new Figure(name + "out/back difference", back.LargestUm, "µm");
            yield return new Figure(name + "out/back difference per station", back.LargestSlopeUmPerM, "µm/m");
        }
    }

    private protected override IEnumerable<Deviation> Deviations(EvaluationInput input, MeasuredLine line)
    {
        var values = Of(line, line.Mean);
        var deviations = input.Reference == EndPoint ? values.EndPointDeviationsUm : values.LeastSquaresDeviationsUm;
        return line.Stations.Select((s, i) => new Deviation(s.Id, deviations[i]));
    }

    private static StraightnessValues Of(MeasuredLine line, ImmutableArray<double> readings) =>
        StraightnessCalculation.Of(line.PositionsMm, line.Values(readings)).Values!;
}

/// <summary>The worst straightness of any stretch of a given length: local flatness of a seat, local straightness of a rail.</summary>
/// <remarks>Method: docs/method/straightness.md. A stretch with fewer than three stations leaves the result incomplete.</remarks>
public sealed class LocalStraightnessEvaluator : StretchEvaluator
{
    public override string Kind => "local-straightness";

    public override bool NeedsWindow => true;

    private protected override string What(EvaluationInput input) => $"straightness of any {input.Characteristic.Window}, {Word(input)}";

    private protected override ImmutableArray<(int From, int To)> Stretches(EvaluationInput input, MeasuredLine line) =>
        LineRows.Windows(line.PositionsMm, input.Characteristic.Window!.Micrometres / 1000);
}

/// <summary>Straightness over stretches of a line: the whole, or every window.</summary>
public abstract class StretchEvaluator : LineEvaluator
{
    public const string EndPoint = "end-point";

    public override ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("line", ["slope", "height", "deviation"], [PlaceKind.At, PlaceKind.Between], Stepped: true)];

    public override ImmutableArray<string> References { get; } = [EndPoint, FlatnessEvaluator.LeastSquares, FlatnessEvaluator.MinimumZone];

    public override string? Unit => "µm";

    private protected static string Word(EvaluationInput input) => input.Reference switch
    {
        EndPoint => "end-point line",
        FlatnessEvaluator.MinimumZone => "minimum zone",
        _ => "least-squares line",
    };

    private protected abstract ImmutableArray<(int From, int To)> Stretches(EvaluationInput input, MeasuredLine line);

    private protected sealed override (ImmutableArray<NamedGroup> Groups, string? Missing) GroupsOf(EvaluationInput input, MeasuredLine line)
    {
        var groups = ImmutableArray.CreateBuilder<NamedGroup>();
        foreach (var (from, to) in Stretches(input, line))
        {
            if (to - from < 2)
            {
                return ([], $"the stretch from {line.Stations[from].Id} has {to - from + 1} stations; straightness needs three");
            }

            double[] x = line.PositionsMm[from..(to + 1)];
            var heights = line.Rows[from..(to + 1)];
            groups.Add(new NamedGroup(
                new SumGroup(input.Reference == EndPoint ? LineRows.FromEnds(x, heights) : LineRows.FromLeastSquares(x, heights), Range: true),
                [.. line.Stations[from..(to + 1)].Select(s => s.Id)]));
        }

        return groups.Count == 0 ? ([], $"line {line.Name} has {line.Stations.Length} stations; straightness needs three") : (groups.ToImmutable(), null);
    }

    private protected sealed override PlannedZone Planned(EvaluationInput input, ImmutableArray<MeasuredLine> lines, ImmutableArray<SumLine> sums) =>
        input.Reference == FlatnessEvaluator.MinimumZone
            ? PlannedZone.LineZones([.. lines.Select(l => new PlannedStretches([.. l.PositionsMm], l.Rows, Stretches(input, l)))])
            : base.Planned(input, lines, sums);

    // The minimum zone is no fixed sum: its contacts, chosen anew by each measurement, give the weights.
    private protected sealed override DecidingGroup Deciding(
        EvaluationInput input, ImmutableArray<MeasuredLine> lines, ImmutableArray<ImmutableArray<NamedGroup>> groups, ImmutableArray<ImmutableArray<double>> readings)
    {
        if (input.Reference != FlatnessEvaluator.MinimumZone)
        {
            return base.Deciding(input, lines, groups, readings);
        }

        DecidingGroup? worst = null;
        for (var l = 0; l < lines.Length; l++)
        {
            var (line, heights) = (lines[l], lines[l].Values(readings[l]));
            foreach (var (from, to) in Stretches(input, line))
            {
                var zone = StraightnessCalculation.Of(line.PositionsMm.AsSpan()[from..(to + 1)], heights.AsSpan()[from..(to + 1)]).Values!;
                if (worst is null || zone.MinimumZoneUm > worst.Value)
                {
                    worst = new DecidingGroup(
                        zone.MinimumZoneUm, l,
                        [.. Enumerable.Range(0, line.Places.Length).Select(k => zone.Contacts.Sum(c => c.Weight * line.Rows[from + c.Index][k]))],
                        [.. zone.Contacts.Select(c => new WeightedPlace(line.Stations[from + c.Index].Id, c.Weight))]);
                }
            }
        }

        return worst!;
    }
}
