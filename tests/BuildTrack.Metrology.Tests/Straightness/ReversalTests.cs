using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Straightness;

/// <summary>Reversals, and stretches by other lines than that of their ends.</summary>
public sealed class ReversalTests
{
    [Fact]
    public void A_known_guide_and_a_known_straightedge_come_back_in_both_senses()
    {
        const ulong seed = 5701;
        var source = new SeededSource(seed);
        double[] guide = [.. Enumerable.Range(0, 15).Select(_ => 10 * source.NextNormal())], edge = [.. guide.Select(_ => 3 * source.NextNormal())];
        double[] first = [.. guide.Zip(edge, (m, s) => m + s)], second = [.. guide.Zip(edge, (m, s) => m - s)];
        foreach (var (sense, turned) in new[] { (IndicatorSense.Kept, second), (IndicatorSense.Turned, [.. second.Select(v => -v)]) })
        {
            var parted = Reversals.OfStraightedge(first, turned, sense);
            for (var i = 0; i < guide.Length; i++)
            {
                Agreement.Near(guide[i], parted.GuideUm[i], 1e-12, $"{sense}, guide");
                Agreement.Near(edge[i], parted.StraightedgeUm[i], 1e-12, $"{sense}, straightedge");
            }
        }
    }

    [Fact]
    public void The_setting_of_the_straightedge_tilts_both_lines_and_leaves_their_straightness()
    {
        double[] x = [0, 100, 200, 300, 400], guide = [0, 4, 6, 4, 0], edge = [0, -1, 2, -1, 0];
        var parted = Reversals.OfStraightedge(
            [.. x.Select((v, i) => guide[i] + edge[i] + (0.05 * v))], [.. x.Select((v, i) => guide[i] - edge[i] - (0.02 * v) + 30)], IndicatorSense.Kept);
        Agreement.Near(6, StraightnessCalculation.Of(x, parted.GuideUm.AsSpan()).Values!.EndPointUm, 1e-12, "guide");
        Agreement.Near(3, StraightnessCalculation.Of(x, parted.StraightedgeUm.AsSpan()).Values!.EndPointUm, 1e-12, "straightedge");
    }

    [Fact]
    public void The_worked_level_has_its_zero_and_its_slope()
    {
        // 12.5 of the trade notes: +14 and −6 end for end give a zero error of +4 and a slope of +10 µm/m.
        Assert.Equal(new LevelZero(4, 10), Reversals.OfLevel(14, -6));
        Assert.Throws<ArgumentException>(() => Reversals.OfLevel(double.NaN, 0));
    }

    [Fact]
    public void Readings_that_are_none_are_refused_with_their_place()
    {
        var refused = Assert.Throws<ArgumentException>(() => Reversals.OfStraightedge([0, 1], [0, double.NaN], IndicatorSense.Kept));
        Assert.Contains("[1] is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => Reversals.OfStraightedge([0, 1], [0], IndicatorSense.Kept));
        Assert.Throws<ArgumentOutOfRangeException>(() => Reversals.OfStraightedge([0], [0], (IndicatorSense)7));
        Assert.Throws<ArgumentOutOfRangeException>(() => StraightnessCalculation.Of([0, 1, 2], [0, 1, 2], 1000, (LineReference)7));
    }

    [Fact]
    public void The_worst_stretch_by_each_line_is_that_of_every_window_taken_alone()
    {
        const ulong seed = 5702;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            var count = 3 + source.NextInt(25);
            var window = 200 + (2000 * source.NextUniform());
            double[] x = [.. Enumerable.Range(0, count).Select(i => (100 * i) + (60 * source.NextUniform()))], z = [.. x.Select(_ => 10 * source.NextNormal())];
            foreach (var reference in new[] { LineReference.EndPoint, LineReference.LeastSquares, LineReference.MinimumZone })
            {
                var alone = new List<double>();
                for (var from = 0; from < count; from++)
                {
                    for (var to = from + 2; to < count && x[to] - x[from] <= window; to++)
                    {
                        // Only the longest from each station, where it is not a part of the one before: shorter ones can be worse about their own ends.
                        if ((to + 1 < count && x[to + 1] - x[from] <= window) || (from > 0 && x[to] - x[from - 1] <= window))
                            continue;
                        var values = StraightnessCalculation.Of(x.AsSpan(from, to - from + 1), z.AsSpan(from, to - from + 1)).Values!;
                        alone.Add(reference switch { LineReference.EndPoint => values.EndPointUm, LineReference.LeastSquares => values.LeastSquaresUm, _ => values.MinimumZoneUm });
                    }
                }

                var worst = StraightnessCalculation.Of(x, z, window, reference).Values!.WorstLocal;
                Assert.Equal(alone.Count == 0, worst is null);
                if (worst is not null)
                    Agreement.Near(alone.Max(), worst.ValueUm, 1e-9, $"seed {seed}, trial {trial}, {reference}");
            }
        }
    }

    [Fact]
    public void The_zone_has_its_slope_also_where_it_is_zero()
    {
        // Nineteen points of a textbook problem: minimax line 0.625 x − 0.4, here 1 is 1 mm along and 1 µm in height.
        var file = ReferenceFile.Load("cheb-williams-curve-fitting");
        double[] x = [0, 0.5, 1, 1.5, 1.9, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.6, 7, 7.6, 8.5, 9, 10];
        double[] y = [1, 0.9, 0.7, 1.5, 2, 2.4, 3.2, 2, 2.7, 3.5, 1, 4, 3.6, 2.7, 5.7, 4.6, 6, 6.8, 7.3];
        var values = StraightnessCalculation.Of(x, y).Values!;
        Agreement.Near(625, values.MinimumZoneSlopeUmPerM, 1e-9, file.Origin);
        Agreement.Near(3.45, values.MinimumZoneUm, 1e-12, file.Origin);
        Agreement.Near(40, StraightnessCalculation.Of([0, 1, 2], [0, 0.04, 0.08]).Values!.MinimumZoneSlopeUmPerM, 1e-9, "straight");
    }
}
