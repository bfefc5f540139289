using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Circular;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Circular;

/// <summary>No published numeric example of a circular test was found: a constructed circle, closed forms and an independent twin stand in.</summary>
public sealed class CircularTests
{
    [Fact]
    public void The_constructed_circle_has_its_deviations_lobes_and_radial_deviations()
    {
        var file = ReferenceFile.Load("acc-iso230-4-circle-constructed");
        var radius = file.Number("nominal_radius_mm");
        var result = CircularCalculation.Of(Constructed(file), radius);
        var figures = result.Figures!;

        // The file's answers come of the linearised fit; eccentricity of 13.9 µm moves the geometric one by 0.65 nm (e²/2R).
        const double linear = 0.001;
        Agreement.Near(file.Number("recomputed_um", "G_ccw_LSC"), result.CounterClockwise!.CircularUm, linear, "G ccw");
        Agreement.Near(file.Number("recomputed_um", "G_cw_LSC"), result.Clockwise!.CircularUm, linear, "G cw");
        Agreement.Near(file.Number("geometric_G_um"), result.CounterClockwise.CircularUm, 0.000006, "G ccw, geometric");
        Agreement.Near(file.Number("recomputed_um", "G_b_LSC_common_centre"), figures.BidirectionalUm!.Value, linear, "G(b)");
        foreach (var (name, path) in new[] { ("F_max_min_ccw_centred", result.CounterClockwise), ("F_max_min_cw_centred", result.Clockwise) })
        {
            Agreement.Near(file.At("recomputed_um", name)[0].GetDouble(), path.RadialMaxUm, linear, name);
            Agreement.Near(file.At("recomputed_um", name)[1].GetDouble(), path.RadialMinUm, linear, name);
        }

        Agreement.Near(file.At("recomputed_um", "F_max_min_ccw_centred")[0].GetDouble(), figures.RadialMaxUm, linear, "F max");
        Agreement.Near(file.At("recomputed_um", "F_max_min_cw_centred")[1].GetDouble(), figures.RadialMinUm, linear, "F min");
        Agreement.Near(file.Number("model_um", "ex"), figures.CentreXUm, linear, "centre x");
        Agreement.Near(file.Number("model_um", "ey"), figures.CentreYUm, linear, "centre y");
        Agreement.Near(0, figures.MeanRadiusUm!.Value, linear, "D: +2 and −2");
        Agreement.Near(file.Number("squareness_um_per_m"), figures.SquarenessUmPerM!.Value, 0.02, "squareness");
        Agreement.Near(file.Number("scale_mismatch_um_per_m"), figures.ScaleMismatchUmPerM!.Value, 0.02, "scale mismatch");
        Agreement.Near(2 * file.Number("model_um", "cos2"), figures.ScaleMismatchUm!.Value, 0.003, "scale mismatch over the radius");
        Assert.Empty(result.Remarks);

        // The two lobes alone: the narrowest ring has the same centre, and the width of the samples.
        Agreement.Near(result.CounterClockwise.CircularUm, result.CounterClockwise.NarrowestUm, linear, "narrowest ring");
        Agreement.Near(figures.BidirectionalUm.Value, figures.BidirectionalNarrowestUm!.Value, linear, "narrowest ring of both");

        // Of the continuous path, not of its samples; the samples can only be narrower.
        var exact = 2 * Math.Sqrt(45);
        Assert.Equal(file.Number("recomputed_um", "exact_G"), exact, 8);
        Assert.InRange(exact - result.Clockwise.CircularUm, 0, 0.03);
    }

    [Theory]
    [InlineData(40, 0, 0)]
    [InlineData(-55, 0, 0)]
    [InlineData(0, 80, 0)]
    [InlineData(25, -30, 0.012)]
    [InlineData(25, -30, 0.4)]
    public void Axes_out_of_square_and_of_scale_come_back_with_their_signs(double leanUmPerM, double scaleUmPerM, double offCentreMm)
    {
        // Points where the machine really stands: +Y leans towards +X by the angle, X travels too far by the scale. The instrument stands off the centre.
        const double radius = 150;
        var readings = new List<CircularReading>();
        for (var angle = 0; angle < 360; angle += 10)
        {
            double x = radius * (1 + (scaleUmPerM * 1e-6)) * Math.Cos(angle * Math.PI / 180), y = radius * Math.Sin(angle * Math.PI / 180);
            (x, y) = (x + (leanUmPerM * 1e-6 * y) - offCentreMm, y + (offCentreMm / 2));
            var seen = Math.Atan2(y, x) * 180 / Math.PI;
            readings.Add(new CircularReading(seen, 1000 * (Math.Sqrt((x * x) + (y * y)) - radius), ContouringSense.Clockwise));
        }

        var result = CircularCalculation.Of(readings, radius);
        Agreement.Near(leanUmPerM, result.Figures!.SquarenessUmPerM!.Value, 0.01, "squareness");
        Agreement.Near(scaleUmPerM, result.Figures.ScaleMismatchUmPerM!.Value, 0.01, "scale");
        Assert.Equal(offCentreMm > 0.3, result.Remarks.Any(r => r.Contains("off the centre", StringComparison.Ordinal)));
    }

    [Fact]
    public void Random_paths_agree_with_a_twin_that_fits_everything_linearly()
    {
        const ulong seed = 5201;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            var count = 16 + source.NextInt(60);
            double[] angles = [.. Enumerable.Range(0, count).Select(i => (i + (0.5 * source.NextUniform())) * 360 / count)];
            double[] deviations = [.. angles.Select(a => 3 + (2 * source.NextNormal()) + (6 * Math.Cos(2 * a * Math.PI / 180)) + (4 * Math.Cos(a * Math.PI / 180)))];
            var readings = angles.Select((a, i) => new CircularReading(a, deviations[i], ContouringSense.CounterClockwise)).ToArray();
            var result = CircularCalculation.Of(readings, 200);
            var (range, cosine2, sine2) = Linear(angles, deviations);

            // The eccentricity is below 10 µm: e²/2R is 0.25 nm.
            Agreement.Near(range, result.CounterClockwise!.CircularUm, 0.002, $"seed {seed}, trial {trial}, G");
            Agreement.Near(2 * sine2 / 0.2, result.Figures!.SquarenessUmPerM!.Value, 0.02, $"seed {seed}, trial {trial}, squareness");
            Agreement.Near(2 * cosine2 / 0.2, result.Figures.ScaleMismatchUmPerM!.Value, 0.02, $"seed {seed}, trial {trial}, scale");

            Assert.InRange(result.CounterClockwise.NarrowestUm, 0.3 * range, result.CounterClockwise.CircularUm);

            // Order and whole turns change no bit; a radius that grows all round changes no shape; a mirror about X turns the squareness and exchanges the senses.
            var order = Points.Shuffled(source, count);
            Assert.Equal(result.CounterClockwise, CircularCalculation.Of([.. order.Select(i => readings[i])], 200).CounterClockwise);
            var larger = CircularCalculation.Of([.. readings.Select(r => r with { RadiusDeviationUm = r.RadiusDeviationUm + 7 })], 200);
            Agreement.Near(result.CounterClockwise.CircularUm, larger.CounterClockwise!.CircularUm, 0.001, $"seed {seed}, trial {trial}, larger");
            Agreement.Near(result.CounterClockwise.RadiusUm + 7, larger.CounterClockwise.RadiusUm, 0.001, $"seed {seed}, trial {trial}, radius");
            var mirrored = CircularCalculation.Of([.. readings.Select(r => new CircularReading(-r.AngleDeg, r.RadiusDeviationUm, ContouringSense.Clockwise))], 200);
            Agreement.Near(-result.Figures.SquarenessUmPerM!.Value, mirrored.Figures!.SquarenessUmPerM!.Value, 1e-6, $"seed {seed}, trial {trial}, mirrored");
            Agreement.Near(result.Figures.ScaleMismatchUmPerM!.Value, mirrored.Figures.ScaleMismatchUmPerM!.Value, 1e-6, $"seed {seed}, trial {trial}, mirrored scale");
        }
    }

    [Fact]
    public void One_direction_gives_its_own_figures_and_none_of_both()
    {
        var file = ReferenceFile.Load("acc-iso230-4-circle-constructed");
        var result = CircularCalculation.Of([.. Constructed(file).Where(r => r.Sense == ContouringSense.Clockwise)], file.Number("nominal_radius_mm"));
        Assert.Null(result.CounterClockwise);
        Assert.True(result.Figures is { BidirectionalUm: null, BidirectionalNarrowestUm: null, MeanRadiusUm: null });
        Agreement.Near(13.392, result.Clockwise!.CircularUm, 0.001, "G cw");
        Assert.Contains(result.Remarks, r => r.StartsWith("One direction only", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(0, 0, CircularDefect.TooFewPoints, "no readings")]
    [InlineData(7, 360, CircularDefect.TooFewPoints, "7 readings clockwise")]
    [InlineData(1, 360, CircularDefect.TooFewPoints, "1 reading clockwise")]
    [InlineData(36, 90, CircularDefect.ArcTooShort, "between 87.5° and 0°: an arc of 87.5° is left")]
    [InlineData(9, 202.5, CircularDefect.None, null)]
    [InlineData(10, 360, CircularDefect.None, null)]
    [InlineData(8, 360, CircularDefect.None, null)]
    public void Readings_that_leave_no_circle_are_a_named_defect(int count, double arc, CircularDefect defect, string? words)
    {
        var result = CircularCalculation.Of([.. Enumerable.Range(0, count).Select(i => new CircularReading(i * arc / count, i % 3, ContouringSense.Clockwise))], 100);
        Assert.Equal(defect, result.Defect);
        Assert.Equal(defect == CircularDefect.None, result.Figures is not null);
        Assert.True(words is null ? result.DefectSentence is null : result.DefectSentence!.Contains(words, StringComparison.Ordinal), result.DefectSentence);
    }

    [Theory]
    [InlineData(40)]
    [InlineData(400)]
    [InlineData(-320)]
    public void An_angle_that_stands_twice_is_a_named_defect_also_a_turn_further_on(double again)
    {
        CircularReading[] readings = [.. Enumerable.Range(0, 9).Select(i => new CircularReading(i * 40, 0, ContouringSense.CounterClockwise))];
        var result = CircularCalculation.Of([.. readings, new CircularReading(again, 1, ContouringSense.CounterClockwise)], 100);
        Assert.Equal(CircularDefect.RepeatedAngle, result.Defect);
        Assert.Contains("40°", result.DefectSentence, StringComparison.Ordinal);
        Assert.Equal(CircularDefect.TooFewPoints, CircularCalculation.Of([.. readings, new CircularReading(again, 1, ContouringSense.Clockwise)], 100).Defect);
    }

    [Fact]
    public void A_record_of_many_thousand_readings_is_evaluated_as_a_short_one()
    {
        // A whole file of an instrument: 20 000 readings each way.
        var readings = Enumerable.Range(0, 20000).SelectMany(i =>
        {
            var (sine, cosine) = Degrees.SineAndCosine(i * 0.018);
            return new[] { ContouringSense.Clockwise, ContouringSense.CounterClockwise }.Select(s => new CircularReading(i * 0.018, 12 + (3 * 2 * sine * cosine) + (4 * cosine), s));
        }).ToArray();
        var result = CircularCalculation.Of(readings, 150);
        Agreement.Near(6, result.Clockwise!.CircularUm, 1e-3, "G");
        Agreement.Near(6, result.Figures!.BidirectionalNarrowestUm!.Value, 1e-3, "ring");
        Agreement.Near(40, result.Figures.SquarenessUmPerM!.Value, 1e-2, "squareness");
    }

    [Fact]
    public void A_perfect_circle_is_all_zero_and_no_number_is_none()
    {
        CircularReading[] readings = [.. Enumerable.Range(0, 72).Select(i => new CircularReading(i * 5, 0, i % 2 == 0 ? ContouringSense.Clockwise : ContouringSense.CounterClockwise))];
        var result = CircularCalculation.Of(readings, 300);
        foreach (var value in new[] { result.Clockwise!.CircularUm, result.Figures!.BidirectionalUm!.Value, result.Figures.RadialMaxUm, result.Figures.SquarenessUmPerM!.Value, result.Figures.ScaleMismatchUm!.Value })
            Agreement.Near(0, value, 1e-9, "perfect");
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_with_their_place()
    {
        CircularReading good = new(0, 0, ContouringSense.Clockwise);
        var refused = Assert.Throws<ArgumentException>(() => CircularCalculation.Of([good, new(10, double.NaN, ContouringSense.Clockwise)], 100));
        Assert.Contains("readings[1].RadiusDeviationUm is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => CircularCalculation.Of([new(double.PositiveInfinity, 0, ContouringSense.Clockwise)], 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => CircularCalculation.Of([new(0, 5001, ContouringSense.Clockwise)], 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => CircularCalculation.Of([new(0, 0, (ContouringSense)9)], 100));
        foreach (var radius in new[] { 0, -1, 1e6, 1e-6 })
            Assert.Throws<ArgumentOutOfRangeException>(() => CircularCalculation.Of([good], radius));
        Assert.Throws<ArgumentException>(() => CircularCalculation.Of([good], double.NaN));
    }

    private static CircularReading[] Constructed(ReferenceFile file)
    {
        double Of(string name) => file.Number("model_um", name);
        var angles = Enumerable.Range(0, 360 / (int)file.Number("step_deg")).Select(i => i * file.Number("step_deg")).ToArray();
        double At(double angle)
        {
            var t = angle * Math.PI / 180;
            return Of("mean_radius_error") + (Of("ex") * Math.Cos(t)) + (Of("ey") * Math.Sin(t)) + (Of("cos2") * Math.Cos(2 * t)) + (Of("sin2") * Math.Sin(2 * t));
        }

        return
        [
            .. angles.Select(a => new CircularReading(a, At(a), ContouringSense.CounterClockwise)),
            .. angles.Select(a => new CircularReading(a, At(a) + Of("cw_offset"), ContouringSense.Clockwise)),
        ];
    }

    /// <summary>Range of the residuals of ρ + ex cos θ + ey sin θ, and the second lobes, by the pseudo-inverse.</summary>
    private static (double Range, double Cosine2, double Sine2) Linear(double[] angles, double[] deviations)
    {
        double T(int i) => angles[i] * Math.PI / 180;
        var three = Matrix<double>.Build.Dense(angles.Length, 3, (i, c) => c switch { 0 => 1, 1 => Math.Cos(T(i)), _ => Math.Sin(T(i)) });
        var five = Matrix<double>.Build.Dense(angles.Length, 5, (i, c) => c switch { 0 => 1, 1 => Math.Cos(T(i)), 2 => Math.Sin(T(i)), 3 => Math.Cos(2 * T(i)), _ => Math.Sin(2 * T(i)) });
        var read = Vector<double>.Build.Dense(deviations);
        var rest = read - (three * (three.PseudoInverse() * read));
        var lobes = five.PseudoInverse() * read;
        return (rest.Maximum() - rest.Minimum(), lobes[3], lobes[4]);
    }
}
