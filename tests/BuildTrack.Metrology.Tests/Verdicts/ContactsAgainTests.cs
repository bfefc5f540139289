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

    /// <summary>Twin: of every choice of highest and lowest stations, the projector by elimination instead of its rows.</summary>
    [Fact]
    public void With_a_band_the_weights_are_those_of_all_means_that_prove_most()
    {
        var source = new SeededSource(44);
        for (var trial = 0; trial < 40; trial++)
        {
            var count = 8 + (int)(20 * source.NextUniform());
            var points = Points.Random(source, count);
            points = points.WithZ(i => i % 3 == 0 ? 20 + source.NextNormal() : source.NextNormal());
            var band = 4 * source.NextUniform();
            var deviations = points.Flatness().LeastSquares!.DeviationsUm;
            int[] order = [.. Enumerable.Range(0, count).OrderByDescending(i => deviations[i])];
            var best = double.NegativeInfinity;
            for (var high = 1; high <= count / 2; high++)
            {
                for (var low = 1; low <= count / 2; low++)
                {
                    var pair = new double[count];
                    foreach (var i in order[..high])
                        pair[i] += 1.0 / high;
                    foreach (var i in order[^low..])
                        pair[i] -= 1.0 / low;
                    var rest = Residuals(points, pair);
                    best = Math.Max(best, pair.Zip(deviations, (p, d) => p * d).Sum() - (band * Math.Sqrt(rest.Sum(r => r * r))));
                }
            }

            var weights = ContactsAgain.LeastSquaresRangeWeights(points.X, points.Y, points.Z, band);
            var proves = ContactsAgain.Value(weights.AsSpan(), points.Z) - (band * Math.Sqrt(weights.Sum(c => c * c)));
            Agreement.Near(best, proves, 1e-6 * Math.Abs(best), $"{count} stations, band {band:R}");
            Agreement.Near(0, weights.Zip(points.X, (c, x) => c * x).Sum(), 1e-9, "Σcx");
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
        Assert.Equal((1.960 * 3 * Math.Sqrt(1.5)) + 0.5, ContactsAgain.RejectBandUm([1, -0.5, -0.5], 3, 0.5), 12);
        Assert.Equal(2.22814 * Math.Sqrt(2), ContactsAgain.RejectBandUm([1, -1], 1, 0, 10), 12);
        Assert.Equal(0.25, ContactsAgain.RejectBandUm([1, -1], 0, 0.25), 12);
    }

    [Fact]
    public void Weights_that_do_not_add_to_zero_and_numbers_that_are_none_are_refused()
    {
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -0.5], [1, 2]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([], []));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -1], [1, 2, 3]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.Value([1, -1], [1, double.NaN]));
        Assert.Throws<ArgumentException>(() => ContactsAgain.RejectBandUm([1, -1], double.NaN, 0));
        Assert.Throws<ArgumentException>(() => ContactsAgain.LeastSquaresRangeWeights([0, 1, 2, 3], [0, 1, 2, 3], [0, 0, 0, 1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => ContactsAgain.LeastSquaresRangeWeights([0, 1, 0, 1], [0, 0, 1, 1], [0, 0, 0, 1], -1));
    }
}
