using System.Collections.Immutable;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.ResultSeries;
using BuildTrack.Metrology.Verdicts;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The chart of a series draws what was found, its reach and its limit, and joins only what follows.</summary>
public class SeriesChartTests
{
    private static SeriesStanding Series(params double[] values)
    {
        var characteristic = new Characteristic("c", "160-05", "H5", "Cross-level", "deviation-from-mean", ImmutableSortedDictionary<string, SourceRef>.Empty, null, "c");
        var requirement = new Requirement(new Amount(30, "µm/m"), null, null, null, DecisionRule.Guarded, "company standard", "A", null);
        var input = new EvaluationInput("6", "X-1", "M", characteristic, null, requirement, null, null, ImmutableSortedDictionary<string, Source>.Empty);
        var result = EvaluationResult.Without(ResultState.Calculated, "µm/m", "", new NextAction(NextKind.Release, "", [])) with { Upper = 30, ReachBelow = 3, ReachAbove = 4 };
        var step = new RouteStep(160, "Rails", "bay", [], ImmutableSortedDictionary<string, decimal>.Empty, []);
        ImmutableArray<SeriesPoint> points = [.. values.Select((v, i) => new SeriesPoint(
            new AgreedCharacteristic(characteristic, null, requirement), step, new StoredEvaluation(i, "160-05", $"{i}", new Instant(i), new EvaluationRecord(input, result with { Value = v })), null,
            i == 0 ? null : SeriesStanding.Change(result with { Value = values[i - 1] }, result with { Value = v }), null))];
        return new SeriesStanding(new SeriesPlan("cross-level", "Cross-level", ["c"]), points);
    }

    [Theory]
    [InlineData(18.0, 31.0)]
    [InlineData(9.0, 9.5, 18.0, 31.0)]
    [InlineData(1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0)]
    public void A_point_stands_on_its_reach_below_its_limit(params double[] values)
    {
        var drawing = SeriesChart.Of(Series(values), [.. values.Select((_, i) => $"{i}")])!;
        var rings = drawing.Marks.OfType<CircleMark>().ToArray();
        var limits = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Thick).ToArray();
        Assert.Equal((values.Length, values.Length), (rings.Length, limits.Length));

        // One scale: what a µm/m is worth follows from the first point and its limit.
        var perUnit = (rings[0].Y - limits[0].Y1) / (30 - values[0]);
        for (var i = 0; i < values.Length; i++)
        {
            Assert.Equal(limits[0].Y1 + ((30 - values[i]) * perUnit), rings[i].Y, 1e-6);
            var bar = Assert.Single(drawing.Marks.OfType<LineMark>(), l => l.Stroke == Stroke.Thin && l.X1 == rings[i].X && l.X2 == rings[i].X);
            Assert.Equal((3 + 4) * perUnit, Math.Abs(bar.Y2 - bar.Y1), 1e-6);
        }

        // 3 and 4 make 5: a rise above that is drawn through.
        Assert.Equal(values.Zip(values.Skip(1)).Count(p => p.Second - p.First > 5), drawing.Marks.OfType<LineMark>().Count(l => l.Stroke == Stroke.Mid && l.X1 != l.X2 && l.Y1 != l.Y2));
        Drawn.OnTheSheet(drawing);
        Assert.All(values, v => Assert.Contains(Shown.Text(v, "µm/m"), drawing.Description, StringComparison.Ordinal));
    }

    [Fact]
    public void One_result_is_no_series() => Assert.Null(SeriesChart.Of(Series(18), ["0"]));
}
