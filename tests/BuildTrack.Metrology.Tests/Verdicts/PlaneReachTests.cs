using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

public sealed class PlaneReachTests
{
    private static readonly double[] CornersX = [0, 3000, 0, 3000];
    private static readonly double[] CornersY = [0, 0, 1500, 1500];

    [Theory]
    [InlineData(PlaneReference.LeastSquares)]
    [InlineData(PlaneReference.MinimumZone)]
    public void Four_corners_have_the_half_normal_law(PlaneReference reference)
    {
        var file = ReferenceFile.Load("acc-normal-range");
        var law = file.At("zone_laws_constructed", "four_corners_of_a_rectangle");
        foreach (var (name, probability) in new[] { ("q95", 0.95), ("q99", 0.99) })
        {
            var expected = law.GetProperty(name).GetDouble();

            // The file's own tolerance: 3 √(p(1−p)/M)/density, density of the half-normal law.
            var density = 2 * 0.3989422804 * Math.Exp(-expected * expected / 2);
            var actual = PlaneReach.NoiseQuantile(CornersX, CornersY, reference, probability, trials: 40_000);
            Agreement.Near(expected, actual, 3 * Math.Sqrt(probability * (1 - probability) / 40_000) / density, name);
        }

        var reach = PlaneReach.Of(CornersX, CornersY, 3, 1, reference);

        // r = ±(z1 − z2 − z3 + z4)/4: two residuals differ by half the combination, whose standard deviation is 1.
        Assert.Equal(3, reach.PairSigmaUm, 12);
        Assert.Equal((1.6449 * 3) + 1, reach.AboveUm, 12);
        Assert.Equal(reach.NoiseQuantileUm + 1, reach.BelowUm, 12);
        Agreement.Near(3 * 2.2414, reach.NoiseQuantileUm, 0.15, "97.5 % of the half-normal law");
    }

    [Fact]
    public void Many_places_read_at_the_corners_have_the_range_law_of_their_readings()
    {
        // Stations in clusters far apart whose planes are fixed by many readings: about one plane hardly fitted, the least-squares
        // range of n readings tends to the range of n independent normals; the published law bounds it from above.
        var file = ReferenceFile.Load("acc-normal-range");
        var row = file.At("recomputed", "table").EnumerateArray().Single(r => r.GetProperty("n").GetInt32() == 20);
        var points = Points.Random(new SeededSource(31), 20);
        var quantile = PlaneReach.NoiseQuantile(points.X, points.Y, PlaneReference.LeastSquares, 0.95);
        var independent = row.GetProperty("quantiles").GetProperty("0.95").GetDouble();
        Assert.InRange(quantile, independent * Math.Sqrt(17.0 / 20) * 0.94, independent * 1.01);
    }

    [Fact]
    public void The_pair_sigma_is_the_largest_over_all_pairs_of_the_residual_matrix()
    {
        var source = new SeededSource(32);
        for (var trial = 0; trial < 20; trial++)
        {
            var points = Points.Random(source, 4 + source.NextInt(20));
            var design = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(points.Count, 3, (i, c) => c == 0 ? 1 : (c == 1 ? points.X[i] : points.Y[i]) / 1000);
            var m = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.DenseIdentity(points.Count) - (design * design.PseudoInverse());
            double largest = 0;
            for (var i = 0; i < points.Count; i++)
            {
                for (var j = 0; j < i; j++)
                    largest = Math.Max(largest, m[i, i] + m[j, j] - (2 * m[i, j]));
            }

            var reach = PlaneReach.Of(points.X, points.Y, 2, 0, PlaneReference.LeastSquares, trials: 100);
            Assert.Equal(2 * Math.Sqrt(largest), reach.PairSigmaUm, 9);
        }
    }

    [Fact]
    public void The_noise_quantile_of_the_minimum_zone_is_that_of_the_flatness_calculation()
    {
        var points = Points.Random(new SeededSource(33), 25);
        const int trials = 400;
        var source = new SeededSource(77);
        var zones = new double[trials];
        for (var t = 0; t < trials; t++)
            zones[t] = points.WithZ(_ => source.NextNormal()).Flatness().MinimumZone!.VerticalUm;
        Array.Sort(zones);
        Agreement.Near(zones[389], PlaneReach.NoiseQuantile(points.X, points.Y, PlaneReference.MinimumZone, 0.975, 77, trials), 1e-5, "390th of 400");
    }

    [Fact]
    public void The_same_layout_has_the_same_figure_to_six_digits_and_sigma_only_scales_it()
    {
        var points = Points.Random(new SeededSource(34), 30);
        var one = PlaneReach.Of(points.X, points.Y, 1, 0, PlaneReference.MinimumZone, trials: 2000);
        var three = PlaneReach.Of(points.X, points.Y, 3, 0, PlaneReference.MinimumZone, trials: 2000);
        Assert.Equal(3 * one.NoiseQuantileUm, three.NoiseQuantileUm);
        Assert.Equal(one, PlaneReach.Of(points.X, points.Y, 1, 0, PlaneReference.MinimumZone, trials: 2000));
        Assert.Equal(one.NoiseQuantileUm, double.Parse(one.NoiseQuantileUm.ToString("G6", System.Globalization.CultureInfo.InvariantCulture), System.Globalization.CultureInfo.InvariantCulture));
        Assert.Equal(0, PlaneReach.Of(points.X, points.Y, 0, 2, PlaneReference.MinimumZone).NoiseQuantileUm);
    }

    [Fact]
    public void An_uncertainty_known_from_few_readings_reaches_further()
    {
        var file = ReferenceFile.Load("acc-t-coverage-table");
        foreach (var row in file.Root.GetProperty("table").EnumerateArray())
        {
            if (row.GetProperty("nu").ValueKind == System.Text.Json.JsonValueKind.Null)
                continue;
            var nu = row.GetProperty("nu").GetDouble();

            // Two-sided 90 % and 95 % are one-sided 95 % and 97.5 %.
            file.Reaches(row.GetProperty("recomputed")[1].GetDouble(), Quantiles.OneSided95(nu), "published", $"t 95 %, {nu}");
            file.Reaches(row.GetProperty("recomputed")[2].GetDouble(), Quantiles.OneSided975(nu), "published", $"t 97.5 %, {nu}");
            Agreement.Near(row.GetProperty("recomputed")[1].GetDouble(), Quantiles.OneSided95(nu), 6e-5, "six digits");
        }

        // Four corners: the half-normal law over an estimate is Student's, two-sided.
        var reach = PlaneReach.Of(CornersX, CornersY, 1, 0, PlaneReference.LeastSquares, trials: 40_000, degreesOfFreedom: 10);
        Assert.Equal(Quantiles.OneSided95(10), reach.AboveUm, 12);
        Agreement.Near(MathNet.Numerics.Distributions.StudentT.InvCDF(0, 1, 10, 0.9875), reach.NoiseQuantileUm, 0.06, "t at 98.75 %");
        Assert.Equal(Quantiles.OneSided95(10), Quantiles.OneSided95(10.9));
        Assert.Throws<ArgumentOutOfRangeException>(() => Quantiles.OneSided95(0.5));
        Assert.Throws<ArgumentException>(() => Quantiles.OneSided95(double.NaN));
    }

    [Fact]
    public void A_layout_that_cannot_decide_is_refused()
    {
        Assert.Throws<ArgumentException>(() => PlaneReach.Of([0, 1, 0], [0, 0, 1], 1, 0, PlaneReference.LeastSquares));
        Assert.Throws<ArgumentException>(() => PlaneReach.Of([0, 1, 2, 3], [0, 1, 2, 3], 1, 0, PlaneReference.LeastSquares));
        Assert.Throws<ArgumentException>(() => PlaneReach.Of(CornersX, CornersY, double.NaN, 0, PlaneReference.LeastSquares));
        Assert.Throws<ArgumentOutOfRangeException>(() => PlaneReach.Of(CornersX, CornersY, -1, 0, PlaneReference.LeastSquares));
        Assert.Throws<ArgumentOutOfRangeException>(() => PlaneReach.Of(CornersX, CornersY, 1, -1, PlaneReference.LeastSquares));
        Assert.Throws<ArgumentOutOfRangeException>(() => PlaneReach.Of(CornersX, CornersY, 1, 0, PlaneReference.LeastSquares, trials: 3));
        Assert.Throws<ArgumentOutOfRangeException>(() => PlaneReach.Of(CornersX, CornersY, 1, 0, (PlaneReference)7));
    }
}
