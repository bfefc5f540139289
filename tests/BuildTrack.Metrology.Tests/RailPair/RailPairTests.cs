using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.RailPair;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.RailPair;

public sealed class RailPairTests
{
    [Fact]
    public void The_constructed_pair_has_its_cross_level_twist_and_parallelism()
    {
        var file = ReferenceFile.Load("constructed-two-rails");
        var rows = file.At("points").EnumerateArray().ToArray();
        double[] x = Column("x_mm"), a = Column("rail_A_um"), b = Column("rail_B_um");
        var values = RailPairCalculation.Of(x, a, b, file.Number("gauge_mm"), windowMm: 500).Values!;
        var cross = values.CrossLevel;

        Assert.Equal(Expected("height_difference_B_minus_A_um"), cross.HeightDifferencesUm);
        foreach (var (expected, value) in Expected("cross_level_um_per_m").Zip(cross.CrossLevelsUmPerM))
            Agreement.Near(expected, value, 1e-9, "cross-level");
        file.Reaches(file.Number("recomputed", "twist_total_um_per_m"), cross.TwistUmPerM, "recomputed", "twist");
        Agreement.Near(Expected("twist_relative_to_first_station_um_per_m")[^1], cross.EndTwistUmPerM, 1e-9, "end twist");
        file.Reaches(file.Number("recomputed", "max_twist_change_per_500mm_um_per_m"), cross.LocalTwist!.UmPerM, "recomputed", "local twist");
        file.Reaches(file.Number("recomputed", "parallelism_B_to_minimum_zone_line_of_A_um"), values.Parallelism.MinimumZoneUm, "recomputed", "about the zone");
        file.Reaches(file.Number("recomputed", "parallelism_B_to_ls_line_of_A_um"), values.Parallelism.LeastSquaresUm, "recomputed", "about least squares");
        file.Reaches(file.Number("recomputed", "ls_direction_difference_um_per_m"), values.Parallelism.LeastSquaresDirectionUmPerM, "recomputed", "direction");

        // 22.5/7 µm/m is the mean; the station at 2000 mm with 7.5 is furthest from it: 30/7.
        Agreement.Near(30.0 / 7, cross.DeviationUmPerM, 1e-12, "cross-level deviation");
        Assert.Equal(2000, cross.DeviationAtMm);
        Agreement.Near(22.5 / 7, cross.MeanUmPerM, 1e-12, "mean cross-level");
        Assert.Equal(9, cross.LargestHeightDifferenceUm);

        // Ends of B: −12 µm over 3 m, of A −6 µm.
        Agreement.Near(4, values.LevelAlongUmPerM, 1e-12, "level along");
        Agreement.Near(-2, values.Parallelism.EndPointDirectionUmPerM, 1e-12, "direction of the ends");
        Assert.Null(values.Gauge);

        double[] Column(string name) => [.. rows.Select(r => r.GetProperty(name).GetDouble())];
        double[] Expected(string name) => [.. file.At("recomputed", name).EnumerateArray().Select(v => v.GetDouble())];
    }

    [Fact]
    public void The_worked_cross_levels_of_the_trade_notes_come_back_from_heights()
    {
        // 12.3 of the trade notes: gauge 1.75 m, cross-levels 0 4 9 13 15 12 8 3 µm/m, heights as products, twist 15 µm/m = 26.25 µm.
        double[] slopes = [0, 4, 9, 13, 15, 12, 8, 3], heights = [.. slopes.Select(s => s * 1.75)];
        var cross = RailPairCalculation.Of([.. slopes.Select((_, i) => 500.0 * i)], new double[8], heights, 1750).Values!.CrossLevel;
        foreach (var (expected, value) in slopes.Zip(cross.CrossLevelsUmPerM))
            Agreement.Near(expected, value, 1e-12, "cross-level");
        Agreement.Near(15, cross.TwistUmPerM, 1e-12, "twist");
        Agreement.Near(26.25, cross.HeightDifferencesUm.Max() - cross.HeightDifferencesUm.Min(), 1e-12, "twist in height");
        Agreement.Near(3, cross.EndTwistUmPerM, 1e-12, "end twist");
        Agreement.Near(9, cross.LocalTwist!.UmPerM, 1e-12, "over a metre: 0 4 9");
        Assert.Equal((0, 1000.0), (cross.LocalTwist.FromMm, cross.LocalTwist.ToMm));
    }

    [Fact]
    public void Random_pairs_agree_with_a_twin_of_pairs_and_keep_their_invariants()
    {
        const ulong seed = 5501;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            var count = 3 + source.NextInt(20);
            double gauge = 1400 + (1500 * source.NextUniform()), window = 300 + (1500 * source.NextUniform());
            double[] x = [.. Enumerable.Range(0, count).Select(i => (250 * i) + (100 * source.NextUniform()))];
            double[] r1 = Noise(), r2 = Noise(), gauges = Noise();
            var values = RailPairCalculation.Of(x, r1, r2, gauge, gauges, window).Values!;
            var what = $"seed {seed}, trial {trial}";
            double[] slopes = [.. r1.Zip(r2, (one, two) => (two - one) / (gauge / 1000))];

            // Every figure again as the largest of all pairs of stations.
            Agreement.Near(Pairs((i, j) => slopes[i] - slopes[j]), values.CrossLevel.TwistUmPerM, 1e-9, what);
            Agreement.Near(Pairs((i, j) => Math.Abs(x[i] - x[j]) <= window ? slopes[i] - slopes[j] : 0), values.CrossLevel.LocalTwist?.UmPerM ?? 0, 1e-9, what);
            Agreement.Near(Enumerable.Range(0, count).Max(i => Math.Abs(slopes[i] - (slopes.Sum() / count))), values.CrossLevel.DeviationUmPerM, 1e-9, what);
            var direction = Slope(x, r1);
            Agreement.Near(Pairs((i, j) => r2[i] - r2[j] - (direction * (x[i] - x[j]))), values.Parallelism.LeastSquaresUm, 1e-8, what);
            Agreement.Near(Pairs((i, j) => r2[i] - r2[j] - ((r1[^1] - r1[0]) / (x[^1] - x[0]) * (x[i] - x[j]))), values.Parallelism.EndPointUm, 1e-8, what);
            Agreement.Near(Pairs((i, j) => r2[i] - r2[j] - (ZoneSlope(x, r1) * (x[i] - x[j]))), values.Parallelism.MinimumZoneUm, 1e-8, what);
            Agreement.Near(Pairs((i, j) => gauges[i] - gauges[j]), values.Gauge!.VariationUm, 1e-9, what);
            Agreement.Near(1000 * Slope(x, gauges), values.Gauge.SlopeUmPerM, 1e-8, what);

            // Any order; a common tilt of both rails leaves everything but the level; exchanged rails turn the sign.
            var order = Points.Shuffled(source, count);
            var shuffled = RailPairCalculation.Of([.. order.Select(i => x[i])], [.. order.Select(i => r1[i])], [.. order.Select(i => r2[i])], gauge, [.. order.Select(i => gauges[i])], window).Values!;
            Assert.Equal(values.CrossLevel.TwistUmPerM, shuffled.CrossLevel.TwistUmPerM);
            Agreement.Near(values.CrossLevel.EndTwistUmPerM, shuffled.CrossLevel.EndTwistUmPerM, 1e-12, what);
            Assert.Equal(values.CrossLevel.DeviationAtMm, shuffled.CrossLevel.DeviationAtMm);
            var tilted = RailPairCalculation.Of(x, [.. r1.Select((z, i) => z + (0.2 * x[i]))], [.. r2.Select((z, i) => z + (0.2 * x[i]))], gauge, gauges, window).Values!;
            Agreement.Near(values.CrossLevel.DeviationUmPerM, tilted.CrossLevel.DeviationUmPerM, 1e-8, what);
            Agreement.Near(values.Parallelism.LeastSquaresUm, tilted.Parallelism.LeastSquaresUm, 1e-8, what);
            var exchanged = RailPairCalculation.Of(x, r2, r1, gauge, gauges, window).Values!;
            Agreement.Near(-values.CrossLevel.MeanUmPerM, exchanged.CrossLevel.MeanUmPerM, 1e-10, what);
            Agreement.Near(-values.CrossLevel.EndTwistUmPerM, exchanged.CrossLevel.EndTwistUmPerM, 1e-10, what);

            double[] Noise() => [.. x.Select(_ => 20 * source.NextNormal())];
            double Pairs(Func<int, int, double> of) => Enumerable.Range(0, count).SelectMany(i => Enumerable.Range(0, count).Select(j => of(i, j))).Max();
        }
    }

    [Fact]
    public void Stations_that_leave_nothing_are_named_and_stations_too_far_apart_leave_no_local_twist()
    {
        var few = RailPairCalculation.Of([0, 500], [0, 1], [0, 1], 1200);
        Assert.Equal(StraightnessDefect.TooFewStations, few.Defect);
        Assert.Contains("A pair of rails needs three stations", few.DefectSentence, StringComparison.Ordinal);
        Assert.Equal(StraightnessDefect.StationsTooNear, RailPairCalculation.Of([0, 500, 500], [0, 1, 2], [0, 1, 2], 1200).Defect);
        Assert.Null(RailPairCalculation.Of([0, 2000, 4000], [0, 1, 2], [0, 1, 3], 1200).Values!.CrossLevel.LocalTwist);
        Assert.False(RailPairCalculation.Of([0, 500, 4000], [0, 1, 2], [0, 1, 3], 1200).Values!.CrossLevel.LocalTwist!.Complete);
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_with_their_place()
    {
        var refused = Assert.Throws<ArgumentException>(() => RailPairCalculation.Of([0, 1, 2], [0, 0, 0], [0, double.NaN, 0], 1200));
        Assert.Contains("[1] is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => RailPairCalculation.Of([0, 1, 2], [0, 0, 0], [0, 0], 1200));
        Assert.Throws<ArgumentException>(() => RailPairCalculation.Of([0, 1, 2], [0, 0, 0], [0, 0, 0], 1200, [0, 1]));
        Assert.Throws<ArgumentException>(() => RailPairCalculation.Of([0, 1, 2], [0, 0, 0], [0, 0, 0], 1200, [0, double.PositiveInfinity, 1]));
        foreach (var gauge in new[] { double.NaN, 0, -1, 1e7 })
            Assert.ThrowsAny<ArgumentException>(() => RailPairCalculation.Of([0, 1, 2], [0, 0, 0], [0, 0, 0], gauge));
    }

    private static double Slope(double[] x, double[] z)
    {
        double mx = x.Average(), mz = z.Average();
        return x.Zip(z, (a, b) => (a - mx) * (b - mz)).Sum() / x.Sum(a => (a - mx) * (a - mx));
    }

    /// <summary>The slope of two stations that leaves the narrowest zone, of all pairs.</summary>
    private static double ZoneSlope(double[] x, double[] z)
    {
        double best = 0, width = double.PositiveInfinity;
        for (var i = 0; i < x.Length; i++)
        {
            for (var j = i + 1; j < x.Length; j++)
            {
                var slope = (z[j] - z[i]) / (x[j] - x[i]);
                double[] rest = [.. x.Select((v, k) => z[k] - (slope * v))];
                if (rest.Max() - rest.Min() < width)
                    (width, best) = (rest.Max() - rest.Min(), slope);
            }
        }

        return best;
    }
}
