using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Circular;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Circular;

/// <summary>Circular tests over a part of the circle: closed forms and a twin; no published numeric example was found.</summary>
public sealed class CircularArcTests
{
    private const double Radius = 150;

    [Theory]
    [InlineData(90, 5, 0)]
    [InlineData(180, 10, 77)]
    [InlineData(220, 5, 340)]
    [InlineData(300, 20, 123)]
    public void A_circle_off_the_centre_comes_back_from_its_arc_alone(double length, double step, double from)
    {
        // Closed form: the distance from the set-up to a circle of radius 150.004 mm about (0.03, −0.02) mm along each ray.
        const double grown = Radius + 0.004, x = 0.03, y = -0.02;
        var result = CircularCalculation.Of([.. Angles(from, length, step).Select(a =>
        {
            double cosine = Math.Cos(a * Math.PI / 180), sine = Math.Sin(a * Math.PI / 180), along = (x * cosine) + (y * sine), across = (x * sine) - (y * cosine);
            return new CircularReading(a, 1000 * (along + Math.Sqrt((grown * grown) - (across * across)) - Radius), ContouringSense.CounterClockwise);
        })], Radius);

        var path = result.CounterClockwise!;
        Agreement.Near(0, path.CircularUm, 1e-6, "G");
        Agreement.Near(0, path.NarrowestUm, 1e-6, "narrowest ring");
        Agreement.Near(4, path.RadiusUm, 1e-6, "radius");
        Agreement.Near(30, path.CentreXUm, 1e-6, "centre x");
        Agreement.Near(-20, path.CentreYUm, 1e-6, "centre y");
        Agreement.Near(length, path.Arc!.LengthDeg, 1e-9, "length");
        Agreement.Near(from, path.Arc.FromDeg, 1e-9, "from");
        Agreement.Near((from + length) % 360, path.Arc.ToDeg, 1e-9, "to");
        Assert.Contains(result.Remarks, r => r.Contains("Counter-clockwise an arc of", StringComparison.Ordinal));
    }

    [Fact]
    public void Squareness_on_half_a_circle_leaves_the_deviation_of_the_closed_form()
    {
        // b sin 2θ on 0 to 180° by N steps. The centre takes c·cos θ out of it, c = (cot(3π/2N) + cot(π/2N))/(N + 2), from the sums Σ sin kθ = cot(kπ/2N), k odd, Σ cos²θ = (N + 2)/2.
        // What is left is largest at the ends, where it is b·c: G = 2bc, and with many steps 16b/3π. The circle is geometric: e²/2R is 0.02 nm.
        const int steps = 36;
        const double b = 3;
        static double Cot(double angle) => 1 / Math.Tan(angle);
        var c = (Cot(3 * Math.PI / (2 * steps)) + Cot(Math.PI / (2 * steps))) / (steps + 2);
        var result = CircularCalculation.Of([.. Angles(0, 180, 180.0 / steps).Select(a => new CircularReading(a, b * Math.Sin(2 * a * Math.PI / 180), ContouringSense.Clockwise))], Radius);

        Agreement.Near(2 * b * c, result.Clockwise!.CircularUm, 1e-4, "G");
        Agreement.Near(16 * b / (3 * Math.PI), result.Clockwise.CircularUm, 0.4, "G of a continuous record");
        Agreement.Near(b * c, result.Clockwise.CentreXUm, 1e-4, "centre");
        Agreement.Near(2 * b / 0.15, result.Clockwise.SquarenessUmPerM!.Value, 1e-3, "squareness");
        Assert.Null(result.Clockwise.ScaleMismatchUmPerM);
        Assert.Contains("the scale 4.", result.Clockwise.ScaleAbsentBecause, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0, 180, true, false)]
    [InlineData(45, 180, false, true)]
    [InlineData(90, 220, true, true)]
    [InlineData(35, 220, true, true)]
    [InlineData(0, 270, true, true)]
    [InlineData(0, 120, false, false)]
    [InlineData(20, 90, false, false)]
    public void Lobes_are_told_where_the_arc_carries_them_and_absent_with_the_reason_elsewhere(double from, double length, bool squareness, bool scale)
    {
        var result = CircularCalculation.Of(Both([.. Angles(from, length, 5)], a => (6 * Math.Cos(2 * a)) + (3 * Math.Sin(2 * a)) + (4 * Math.Cos(a)) - 1), Radius);
        foreach (var path in new[] { result.Clockwise!, result.CounterClockwise! })
        {
            Assert.Equal((squareness, scale), (path.SquarenessUmPerM is not null, path.ScaleMismatchUmPerM is not null));
            Assert.Equal((squareness, scale), (path.SquarenessAbsentBecause is null, path.ScaleAbsentBecause is null));
        }

        var figures = result.Figures!;
        Assert.Equal((squareness, scale, scale), (figures.SquarenessUmPerM is not null, figures.ScaleMismatchUmPerM is not null, figures.ScaleMismatchUm is not null));
        Assert.True(figures.SquarenessUmPerM is null || Math.Abs(figures.SquarenessUmPerM.Value - 40) < 0.05, $"{figures.SquarenessUmPerM}");
        Assert.True(figures.ScaleMismatchUmPerM is null || Math.Abs(figures.ScaleMismatchUmPerM.Value - 80) < 0.05, $"{figures.ScaleMismatchUmPerM}");
    }

    [Fact]
    public void Random_arcs_agree_with_a_twin_that_fits_everything_linearly_and_inverts_the_normal_equations()
    {
        const ulong seed = 5301;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            var (from, length, count) = (360 * source.NextUniform(), 90 + (220 * source.NextUniform()), 12 + source.NextInt(50));
            double[] angles = [.. Enumerable.Range(0, count).Select(i => from + ((i + (0.4 * source.NextUniform())) * length / (count - 1)))];
            length = angles[^1] - angles[0];
            if (length is < 90 or > 314)
                continue;
            double[] deviations = [.. angles.Select(a => (0.5 * source.NextNormal()) + (3 * Math.Sin(2 * a * Math.PI / 180)))];
            var what = $"seed {seed}, trial {trial}, {length:F0}° from {from:F0}°";
            var path = CircularCalculation.Of([.. angles.Select((a, i) => new CircularReading(a, deviations[i], ContouringSense.Clockwise))], 200).Clockwise!;

            Matrix<double> three = Columns(angles, 3), five = Columns(angles, 5), inverse = (five.Transpose() * five).Inverse();
            var read = Vector<double>.Build.Dense(deviations);
            var (circle, lobes) = (three.PseudoInverse() * read, five.PseudoInverse() * read);
            var rest = read - (three * circle);

            // The centre lies within 60 µm even on the shortest arc: e²/2R is 9 nm there.
            Agreement.Near(rest.Maximum() - rest.Minimum(), path.CircularUm, 0.01, what + ", G");
            Agreement.Near(circle[0], path.RadiusUm, 0.02, what + ", radius");
            Agreement.Near(circle[1], path.CentreXUm, 0.02, what + ", centre x");
            Agreement.Near(circle[2], path.CentreYUm, 0.02, what + ", centre y");
            Assert.True(path.NarrowestUm <= path.CircularUm, what);
            var factors = (Cosine: Math.Sqrt(inverse[3, 3] * count / 2), Sine: Math.Sqrt(inverse[4, 4] * count / 2));
            Agreement.Near(Math.Sqrt((three.Transpose() * three).Inverse()[0, 0] * count), path.Arc!.RadiusNoiseFactor, 0.02, what + ", factor");
            foreach (var (factor, lobe, found) in new[] { (factors.Cosine, lobes[3], path.ScaleMismatchUmPerM), (factors.Sine, lobes[4], path.SquarenessUmPerM) })
            {
                if (Math.Abs(factor - CircularCalculation.LargestNoiseFactor) < 0.01)
                    continue;
                Assert.Equal(factor < CircularCalculation.LargestNoiseFactor, found is not null);
                if (found is { } value)
                    Agreement.Near(2 * lobe / 0.2, value, 0.05, what + ", lobe");
            }
        }
    }

    [Fact]
    public void The_narrowest_ring_of_an_arc_is_that_of_all_contacts()
    {
        const ulong seed = 5302;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 30; trial++)
        {
            var (from, length, count) = (360 * source.NextUniform(), 100 + (200 * source.NextUniform()), 9 + source.NextInt(7));
            double[] angles = [.. Enumerable.Range(0, count).Select(i => from + (i * length / (count - 1)))];
            double[] x = new double[count], y = new double[count];
            for (var i = 0; i < count; i++)
            {
                var (sine, cosine) = Degrees.SineAndCosine(angles[i]);
                var radius = Radius + (0.005 * source.NextNormal());
                (x[i], y[i]) = (radius * cosine, radius * sine);
            }

            Agreement.Near(CircleFitTests.Ring(x, y), NarrowestRing.Of(x, y)!.WidthMm, 1e-8, $"seed {seed}, trial {trial}, {length:F0}°");
        }
    }

    [Theory]
    [InlineData("0 10 20 30 40 50 60 70 80", CircularDefect.ArcTooShort, "an arc of 80° is left; 90° or more")]
    [InlineData("0 5 10 15 20 25 30 35 90", CircularDefect.GapInPath, "between 35° and 90°")]
    [InlineData("0 5 10 15 20 25 30 35 60 75 90", CircularDefect.GapInPath, "an arc of 90° in every 22.5°")]
    [InlineData("0 15 30 45 60 75 90 180 200 220 240 260", CircularDefect.GapInPath, "between 90° and 180°")]
    [InlineData("0 30 60 90 120 150 180", CircularDefect.TooFewPoints, "7 readings")]
    [InlineData("300 320 340 0 20 40 60 80", CircularDefect.None, null)]
    [InlineData("0 12.5 25 37.5 50 62.5 75 90", CircularDefect.None, null)]
    public void Layouts_that_leave_no_arc_are_a_named_defect(string angles, CircularDefect defect, string? words)
    {
        var result = CircularCalculation.Of([.. angles.Split(' ').Select(a => new CircularReading(double.Parse(a, System.Globalization.CultureInfo.InvariantCulture), 1, ContouringSense.Clockwise))], Radius);
        Assert.Equal(defect, result.Defect);
        Assert.True(words is null ? result.DefectSentence is null : result.DefectSentence!.Contains(words, StringComparison.Ordinal), result.DefectSentence);
    }

    [Theory]
    [InlineData(0, 180, 0, 180, true)]
    [InlineData(0, 180, 10, 180, true)]
    [InlineData(355, 180, 5, 180, true)]
    [InlineData(0, 180, 25, 180, false)]
    [InlineData(0, 180, 180, 180, false)]
    [InlineData(0, 180, 0, 350, false)]
    public void Both_directions_cover_the_same_part_within_a_step(double from, double length, double otherFrom, double otherLength, bool same)
    {
        var result = CircularCalculation.Of(
            [
                .. Angles(from, length, 10).Select(a => new CircularReading(a, 1, ContouringSense.Clockwise)),
                .. Angles(otherFrom, otherLength, 10).Select(a => new CircularReading(a, -1, ContouringSense.CounterClockwise)),
            ],
            Radius);
        Assert.Equal(same ? CircularDefect.None : CircularDefect.ArcsDiffer, result.Defect);
        Assert.True(same || result.DefectSentence!.Contains("same part", StringComparison.Ordinal), result.DefectSentence);
    }

    private static IEnumerable<double> Angles(double from, double length, double step) => Enumerable.Range(0, (int)Math.Round(length / step) + 1).Select(i => from + (i * step));

    private static CircularReading[] Both(double[] angles, Func<double, double> deviation) =>
        [.. angles.SelectMany(a => new[] { ContouringSense.Clockwise, ContouringSense.CounterClockwise }.Select(s => new CircularReading(a, deviation(a * Math.PI / 180), s)))];

    private static Matrix<double> Columns(double[] angles, int count) => Matrix<double>.Build.Dense(angles.Length, count, (i, c) =>
    {
        var t = angles[i] * Math.PI / 180;
        return c switch { 0 => 1, 1 => Math.Cos(t), 2 => Math.Sin(t), 3 => Math.Cos(2 * t), _ => Math.Sin(2 * t) };
    });
}
