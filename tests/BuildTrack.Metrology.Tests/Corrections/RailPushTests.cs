using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>Polynomials against certified data sets and a twin; pushes against a bow that is known.</summary>
public sealed class RailPushTests
{
    [Theory]
    [InlineData("nist-strd-pontius", 2)]
    [InlineData("nist-strd-wampler1", 5)]
    [InlineData("nist-strd-wampler4", 5)]
    public void Certified_polynomials_are_fitted(string name, int degree)
    {
        var file = ReferenceFile.Load(name);
        var rows = file.At("points").EnumerateArray().Select(p => (Y: p[0].GetDouble(), X: p[1].GetDouble())).ToArray();
        double[] x = [.. rows.Select(r => r.X)], y = [.. rows.Select(r => r.Y)], fitted = PolynomialFit.Of(x, y, degree);
        var residual = 0.0;
        for (var i = 0; i < x.Length; i++)
        {
            var certified = Enumerable.Range(0, degree + 1).Reverse().Aggregate(0.0, (sum, k) => (sum * x[i]) + file.Number("published", "estimates", "B" + k));

            // Digits are counted on the scale of the data: a polynomial may pass near zero.
            file.Reaches(certified + y.Max(), fitted[i] + y.Max(), degree == 2 ? "residual_sd" : "fitted", $"x {x[i]:R}");
            residual += (y[i] - fitted[i]) * (y[i] - fitted[i]);
        }

        var certifiedSd = file.Number("published", "residual_standard_deviation");
        var sd = Math.Sqrt(residual / (x.Length - degree - 1));
        if (certifiedSd > 0)
            file.Reaches(certifiedSd, sd, "residual_sd", "residual standard deviation");
        else
            Agreement.Near(0, sd, 1e-7, "residual standard deviation of an exact polynomial");
    }

    [Fact]
    public void Fitted_values_are_those_of_the_normal_equations()
    {
        var source = new SeededSource(5501);
        for (var trial = 0; trial < 50; trial++)
        {
            var degree = 1 + source.NextInt(4);
            double[] x = [.. Enumerable.Range(0, 12).Select(i => (250.0 * i) + (20 * source.NextUniform()))], y = [.. x.Select(_ => 20 * source.NextNormal())];
            double[] u = [.. x.Select(v => v / 3000)], twin = MathNet.Numerics.Fit.Polynomial(u, y, degree), fitted = PolynomialFit.Of(x, y, degree);
            for (var i = 0; i < x.Length; i++)
                Agreement.Near(MathNet.Numerics.Polynomial.Evaluate(u[i], twin), fitted[i], 1e-8, $"trial {trial}, degree {degree}");
        }
    }

    [Theory]
    [InlineData(LineReference.EndPoint)]
    [InlineData(LineReference.LeastSquares)]
    [InlineData(LineReference.MinimumZone)]
    public void A_pure_bow_is_taken_out_whole_about_any_line(LineReference reference)
    {
        // An arc of 25 µm over 4 m on a slope.
        double[] x = [.. Enumerable.Range(0, 17).Select(i => 250.0 * i)], z = [.. x.Select(p => (25 * p * (4000 - p) / 4e6) + (0.02 * p) + 3)];
        var push = RailPush.Of(x, z, 30, reference);
        Assert.Equal((RailPushRefusal.None, null), (push.Refusal, push.RefusalSentence));
        Agreement.Near(25, push.BeforeUm, 1e-9, "before");
        Agreement.Near(0, push.AfterUm, 1e-9, "after");
        Agreement.Near(0, push.WaveAfterUm!.Value, 1e-9, "wave");
        Assert.All(push.Stations, s => Agreement.Near(-s.DeviationUm, s.PushUm, 1e-9, "push"));
        var middle = push.Stations[8];
        Agreement.Near(reference switch { LineReference.EndPoint => 25, LineReference.MinimumZone => 12.5, _ => middle.DeviationUm }, middle.DeviationUm, 1e-9,
            "middle");
        Assert.Equal([8, 7, 9, 6, 10], push.Order.Take(5));
        Assert.Equal(17, push.Order.Distinct().Count());
    }

    [Fact]
    public void The_rail_of_the_worked_readings_is_pushed_to_what_a_bow_leaves()
    {
        // Trade notes, 12.1: end-point 11.58 µm. Limit 0.03 is kept by far; against a limit of 0.015 mm the bow is taken out and 8.3 µm stay, more than half.
        var file = ReferenceFile.Load("worked-level-3000mm");
        double[] z = [.. file.At("heights_um").EnumerateArray().Select(h => h.GetDouble())], x = [.. z.Select((_, i) => 250.0 * i)];
        Assert.Equal(RailPushRefusal.NothingToPush, RailPush.Of(x, z, 30).Refusal);
        var push = RailPush.Of(x, z, 15);
        Agreement.Near(139 / 12.0, push.BeforeUm, 1e-9, "end-point straightness");
        var twin = MathNet.Numerics.Fit.Polynomial([.. x.Select(p => p / 1000)], [.. push.Stations.Select(s => s.DeviationUm)], 2);
        double[] left = [.. x.Select((p, i) => push.Stations[i].DeviationUm - MathNet.Numerics.Polynomial.Evaluate(p / 1000, twin))];
        double[] about = [.. left.Select((v, i) => v - left[0] - ((left[^1] - left[0]) * i / 12))];
        Agreement.Near(about.Max() - about.Min(), push.AfterUm, 1e-9, "after");
        Assert.Equal(8.3, Math.Round(push.AfterUm, 1));
        Assert.Equal(RailPushRefusal.TooMuchLeft, push.Refusal);
        Assert.Equal(RailPushRefusal.None, RailPush.Of(x, z, 15, degree: 3).Refusal);
        Assert.True(push.MinimumZoneAfterUm <= push.AfterUm);
    }

    [Fact]
    public void Waves_few_stations_and_bad_numbers_are_refused()
    {
        double[] x = [.. Enumerable.Range(0, 17).Select(i => 250.0 * i)], wavy = [.. x.Select((_, i) => i % 2 == 0 ? 0.0 : 25)];
        var push = RailPush.Of(x, wavy, 30);
        Assert.Equal(RailPushRefusal.Wavy, push.Refusal);
        Assert.Contains("0.025 mm stay within 500 mm", push.RefusalSentence, StringComparison.Ordinal);
        Assert.Equal(RailPushRefusal.TooMuchLeft, RailPush.Of(x, [.. wavy.Select(z => 0.7 * z)], 30).Refusal);
        Assert.Equal(RailPushRefusal.NoLine, RailPush.Of(x.AsSpan(0, 2), wavy.AsSpan(0, 2), 30).Refusal);
        Assert.Contains("needs 4 stations", RailPush.Of(x.AsSpan(0, 3), wavy.AsSpan(0, 3), 30).RefusalSentence, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => RailPush.Of([0, 1, 2, double.NaN], [0, 0, 0, 0], 30));
        Assert.Throws<ArgumentOutOfRangeException>(() => RailPush.Of(x, wavy, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => RailPush.Of(x, wavy, 30, degree: 7));
    }
}
