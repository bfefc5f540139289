using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

public sealed class ContactsAgainTests
{
    [Fact]
    public void The_contacts_of_a_measurement_reproduce_its_own_zone_and_are_blind_to_tilt_and_offset()
    {
        var source = new SeededSource(41);
        for (var trial = 0; trial < 20; trial++)
        {
            var points = Points.Random(source, 30);
            var zone = points.Flatness().MinimumZone!;
            double[] weights = [.. zone.Contacts.Select(c => c.Weight)];
            Agreement.Near(zone.VerticalUm, ContactsAgain.Value(weights, At(points)), 1e-10, "own zone");
            Agreement.Near(zone.VerticalUm, ContactsAgain.Value(weights, At(points.Tilted(50, -20).Shifted(0, 0, 1000))), 1e-9, "other datum");

            double[] At(Points p) => [.. zone.Contacts.Select(c => p.Z[c.Index])];
        }
    }

    [Fact]
    public void The_value_of_any_truth_is_never_above_its_zone()
    {
        var source = new SeededSource(42);
        for (var trial = 0; trial < 50; trial++)
        {
            Points measured = Points.Random(source, 25), truth = measured.WithZ(_ => 10 * source.NextNormal());
            var flatness = truth.Flatness();
            var contacts = measured.Flatness().MinimumZone!.Contacts;
            var byContacts = ContactsAgain.Value([.. contacts.Select(c => c.Weight)], [.. contacts.Select(c => truth.Z[c.Index])]);
            Assert.True(byContacts <= flatness.MinimumZone!.VerticalUm + 1e-9);
            var rows = ContactsAgain.LeastSquaresRangeWeights(measured.X, measured.Y, measured.Z);
            Assert.True(ContactsAgain.Value(rows.AsSpan(), truth.Z) <= flatness.LeastSquares!.FlatnessUm * (1 + 1e-8));
            var means = ContactsAgain.LeastSquaresRangeWeights(measured.X, measured.Y, measured.Z, 5);
            Assert.True(ContactsAgain.Value(means.AsSpan(), truth.Z) <= flatness.LeastSquares!.FlatnessUm * (1 + 1e-8));
        }
    }

    [Fact]
    public void The_least_squares_weights_give_the_range_of_their_own_measurement_and_are_blind_to_any_plane()
    {
        var points = Points.Random(new SeededSource(43), 40);
        var weights = ContactsAgain.LeastSquaresRangeWeights(points.X, points.Y, points.Z);
        Agreement.Near(points.Flatness().LeastSquares!.FlatnessUm, ContactsAgain.Value(weights.AsSpan(), points.Z), 1e-6, "range");
        Agreement.Near(0, weights.Sum(), 1e-13, "Σc");
        Agreement.Near(0, weights.Zip(points.X, (c, x) => c * x).Sum(), 1e-9, "Σcx");
        Agreement.Near(0, weights.Zip(points.Y, (c, y) => c * y).Sum(), 1e-9, "Σcy");
    }

    /// <summary>
    /// What is maximised is concave: a plane that touches it where the weights stand lies above it, and is largest over all means at a single station each (M. Frank, P. Wolfe 1956).
    /// So the gap between both bounds what any other weights could gain. Twin: every mean of so many highest and so many lowest.
    /// </summary>
    [Fact]
    public void With_a_band_no_other_means_prove_more()
    {
        var source = new SeededSource(44);
        for (var trial = 0; trial < 200; trial++)
        {
            var count = 4 + (int)(60 * source.NextUniform());
            double[] m = [.. Enumerable.Range(0, count).Select(i => i % 3 == 0 && trial % 2 == 0 ? 20 + source.NextNormal() : (trial % 5 + 1) * source.NextNormal())];
            var band = 0.01 + (6 * source.NextUniform());
            var (high, low) = ContactsAgain.MeansThatProveMost(m, band);
            Assert.All(high.Concat(low), w => Assert.True(w >= 0));
            Agreement.Near(1, high.Sum(), 1e-12, "high");
            Agreement.Near(1, low.Sum(), 1e-12, "low");
            var proves = Proves(m, high, low, band);

            var length = Math.Sqrt(high.Concat(low).Sum(w => w * w));
            var bestHigh = Enumerable.Range(0, count).Max(i => m[i] - (band * high[i] / length));
            var bestLow = Enumerable.Range(0, count).Max(i => -m[i] - (band * low[i] / length));
            Agreement.Near(bestHigh + bestLow, proves, 1e-6 * Math.Max(1, Math.Abs(proves)), $"{count} stations, band {band:R}");

            int[] order = [.. Enumerable.Range(0, count).OrderByDescending(i => m[i])];
            for (var h = 1; h <= count / 2; h++)
            {
                for (var l = 1; l <= count / 2; l++)
                    Assert.True(Proves(m, Mean(order[..h]), Mean(order[^l..]), band) <= proves + 1e-9);
            }

            double[] Mean(int[] of) => [.. Enumerable.Range(0, count).Select(i => of.Contains(i) ? 1.0 / of.Length : 0)];
        }
    }

    private static double Proves(double[] m, double[] high, double[] low, double band) =>
        m.Select((v, i) => v * (high[i] - low[i])).Sum() - (band * Math.Sqrt(high.Concat(low).Sum(w => w * w)));

    [Fact]
    public void The_weights_of_means_are_what_a_plane_of_least_squares_leaves_of_them()
    {
        var source = new SeededSource(45);
        var points = Points.Random(source, 30);
        points = points.WithZ(_ => 10 * source.NextNormal());
        double[] deviations = [.. points.Flatness().LeastSquares!.DeviationsUm];
        var (high, low) = ContactsAgain.MeansThatProveMost(deviations, 5);
        var expected = Residuals(points, [.. high.Zip(low, (h, l) => h - l)]);
        var weights = ContactsAgain.LeastSquaresRangeWeights(points.X, points.Y, points.Z, 5);
        for (var i = 0; i < expected.Length; i++)
            Agreement.Near(expected[i], weights[i], 1e-9, $"station {i}");
    }

    /// <summary>A gauge that shows the same everywhere, exactly or after a plane was taken off: means of all stations are equal, and their difference weighs nothing.</summary>
    [Theory]
    [InlineData(0.0)]
    [InlineData(0.3)]
    public void A_bed_without_any_deviation_has_weights_that_see_one(double tilt)
    {
        foreach (var points in new[] { Points.Random(new SeededSource(46), 24), Points.Random(new SeededSource(47), 4) })
        {
            var flat = points.WithZ(_ => 12.5).Tilted(tilt, -tilt);
            foreach (var band in (double[])[0, 5, 50])
            {
                var weights = ContactsAgain.LeastSquaresRangeWeights(flat.X, flat.Y, flat.Z, band);
                Agreement.Near(0, ContactsAgain.Value(weights.AsSpan(), flat.Z), 1e-6, "nothing to see");
                Assert.True(ContactsAgain.RejectBandUm(weights.AsSpan(), 3, 0, 1) > 0);
                double[] bent = [.. flat.Z.Zip(weights, (z, w) => z + (100 * w))];
                Assert.True(ContactsAgain.Value(weights.AsSpan(), bent) > 1);
            }
        }
    }

    /// <summary>What a plane of least squared values leaves, by the general library.</summary>
    private static double[] Residuals(Points points, double[] values)
    {
        var design = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(values.Length, 3, (i, j) => j == 0 ? 1 : j == 1 ? points.X[i] / 1000 : points.Y[i] / 1000);
        var right = MathNet.Numerics.LinearAlgebra.Vector<double>.Build.DenseOfArray(values);
        return [.. right - (design * design.QR().Solve(right))];
    }

    [Fact]
    public void The_band_is_the_weights_length_times_the_uncertainty_of_one_run_and_the_common_part()
    {
        Assert.Equal((2.79590 * 3 * Math.Sqrt(1.5)) + 0.5, ContactsAgain.RejectBandUm([1, -0.5, -0.5], 3, 0.5, 1), 12);
        Assert.Equal((1.39795 * 3 * Math.Sqrt(1.5)) + 0.5, ContactsAgain.RejectBandUm([1, -0.5, -0.5], 3, 0.5, 2), 12);
        Assert.Equal(ContactsAgain.RejectBandUm([1, -1], 3, 0.5, 2), ContactsAgain.RejectBandUm([1, -1], 3, 0.5, 7));
        Assert.Equal(0.25, ContactsAgain.RejectBandUm([1, -1], 0, 0.25, 1), 12);
    }

    /// <summary>Origin: O'Brien and Fleming 1979, table of Jennison and Turnbull 2000 (from memory): 1.977 for two looks at 2.5 % on one side. Here the two normals are integrated.</summary>
    [Fact]
    public void Both_looks_together_are_wrong_in_one_of_forty()
    {
        // Second look only where the first, x, did not pass: 1 − ∫ φ(x) Φ(1.977 √2 − x) dx up to the first bound.
        double first = Quantiles.OfLook(1), sum = 2 * Quantiles.OfLook(2);
        const int steps = 20_000;
        var from = -9.0;
        var kept = Enumerable.Range(0, steps).Sum(i =>
        {
            var x = from + ((i + 0.5) * (first - from) / steps);
            return MathNet.Numerics.Distributions.Normal.PDF(0, 1, x) * MathNet.Numerics.Distributions.Normal.CDF(0, 1, sum - x);
        }) * (first - from) / steps;
        Assert.InRange(1 - kept, 0.02495, 0.02505);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    [InlineData(30)]
    public void Few_degrees_of_freedom_take_the_place_of_the_normal_in_either_look(int degrees)
    {
        foreach (var runs in (int[])[1, 2])
        {
            var normal = Quantiles.OfLook(runs) * Math.Sqrt(runs);
            var probability = MathNet.Numerics.Distributions.Normal.CDF(0, 1, normal);
            var student = Quantiles.OfLook(runs, degrees) * Math.Sqrt(runs);
            Assert.Equal(probability, MathNet.Numerics.Distributions.StudentT.CDF(0, 1, degrees, student), 5);
            Assert.True(student > normal);
        }
    }

    [Fact]
    public void Weights_that_do_not_add_to_zero_and_numbers_that_are_none_are_refused()
    {
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -0.5], [1, 2]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([], []));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -1], [1, 2, 3]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -1], [1, double.NaN]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.RejectBandUm([1, -1], double.NaN, 0, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => ContactsAgain.RejectBandUm([1, -1], 1, 0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => ContactsAgain.RejectBandUm([1, -1], 1, 0, 1, 0.5));
        Assert.Throws<ArgumentException>(() => ContactsAgain.LeastSquaresRangeWeights([0, 1, 2, 3], [0, 1, 2, 3], [0, 0, 0, 1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => ContactsAgain.LeastSquaresRangeWeights([0, 1, 0, 1], [0, 0, 1, 1], [0, 0, 0, 1], -1));
    }
}
