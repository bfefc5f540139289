using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Squareness;

public sealed class SquarenessTests
{
    [Fact]
    public void The_table_of_diagonal_differences_comes_out_to_every_printed_digit()
    {
        var file = ReferenceFile.Load("squareness-diagonals");
        double length = file.Number("rectangle", "length_mm"), width = file.Number("rectangle", "width_mm"), gauge = file.Number("rectangle", "gauge_mm");
        foreach (var row in file.At("differences").EnumerateArray())
        {
            var angle = Diagonals(row.GetProperty("d1_less_d2_mm").GetDouble(), length, width);
            Assert.Equal(row.GetProperty("angle_um_per_m").GetDouble(), Math.Round(angle.AngleUmPerM));

            // The drive offsets of the table are products of the rounded angle: half a micrometre per metre of it is 0.9 µm.
            Agreement.Near(row.GetProperty("drive_offset_mm").GetDouble(), angle.DriveOffsetUm(gauge) / 1000, 0.0009, "drive offset");
            if (row.TryGetProperty("angle_arcsec", out var arcsec))
                Assert.Equal(arcsec.GetDouble(), Math.Round(angle.AngleArcsec, 1));
        }

        foreach (var row in file.At("sensitivity").EnumerateArray())
        {
            // The difference is printed to 1 µm; a whole step of it is below 0.6 µm/m in every class.
            var angle = Diagonals(row.GetProperty("d1_less_d2_mm").GetDouble(), row.GetProperty("length_mm").GetDouble(), row.GetProperty("width_mm").GetDouble());
            Agreement.Near(file.Number("sensitivity_for_um_per_m"), angle.AngleUmPerM, 0.3, row.GetProperty("class").GetString()!);
        }
    }

    [Fact]
    public void One_longer_side_shows_as_a_mean_of_two_corners_and_the_corners_tell_it_from_a_leaning_axis()
    {
        var file = ReferenceFile.Load("squareness-diagonals");
        var excess = file.Number("one_side", "side_excess_mm");
        var leaning = file.Number("one_side", "angle_um_per_m");
        var result = SquarenessCalculation.OfQuadrilateral(Of((0, 0), (3000, 0), (3000 + excess, 1500), (0, 1500)));
        Assert.Equal(leaning, Math.Round(result.Angle!.AngleUmPerM));
        double[] expected = [0, 2 * leaning, 2 * leaning, 0];
        foreach (var (e, c) in expected.Zip(result.CornersUmPerM))
            Agreement.Near(e, c, 1, "corner");
        Agreement.Near(0, result.ClosureMm!.Value, 1e-9, "closure");
    }

    [Fact]
    public void The_squareness_of_two_published_axes_comes_from_their_slopes()
    {
        var file = ReferenceFile.Load("squareness-two-axes");
        foreach (var line in new[] { "end_point", "least_squares" })
        {
            var slopes = file.At("slopes_um_per_m", line);
            var angle = SquarenessCalculation.OfSlopes(slopes[0].GetDouble(), slopes[1].GetDouble());

            // The handbook counts an angle above 90° as positive.
            file.Reaches(file.Number("recomputed", "squareness_arcsec", line), -angle.AngleArcsec, "recomputed", line);
            Assert.Equal(file.Number("published", "squareness_arcsec", line), Math.Round(-angle.AngleArcsec, 1));
        }
    }

    [Fact]
    public void A_known_axis_and_a_known_square_come_back_from_the_reversal_in_both_senses()
    {
        const ulong seed = 4101;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 50; trial++)
        {
            double axis = 100 * source.NextNormal(), square = 30 * source.NextNormal(), length = 100 + (900 * source.NextUniform());
            double first = (axis + square) * length / 1e6, second = (axis - square) * length / 1e6;
            foreach (var (sense, r2) in new[] { (IndicatorSense.Kept, second), (IndicatorSense.Turned, -second) })
            {
                var result = SquarenessCalculation.OfReversal(first, r2, length, sense);
                Agreement.Near(axis, result.Angle.AngleUmPerM, 1e-10, $"seed {seed}, trial {trial}, axis {sense}");
                Agreement.Near(square, result.SquareUmPerM, 1e-10, $"seed {seed}, trial {trial}, square {sense}");
            }
        }
    }

    [Fact]
    public void A_leaning_parallelogram_gives_its_angle_with_two_sides_and_with_four()
    {
        const ulong seed = 4102;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            double length = 500 + (6000 * source.NextUniform()), width = 500 + (3000 * source.NextUniform()), lean = 200e-6 * source.NextNormal();
            var up = width * Math.Sqrt(1 - (lean * lean));
            var q = Of((0, 0), (length, 0), (length + (lean * width), up), (lean * width, up));
            var two = SquarenessCalculation.OfDiagonals(q.FirstDiagonalMm, q.SecondDiagonalMm, q.LengthMm, q.WidthMm);
            var four = SquarenessCalculation.OfQuadrilateral(q);

            // Distances of metres keep 10⁻¹² m: 10⁻⁵ µm/m at worst.
            Agreement.Near(1e6 * lean, two.Angle!.AngleUmPerM, 1e-5, $"seed {seed}, trial {trial}, two sides");
            Agreement.Near(1e6 * lean, four.Angle!.AngleUmPerM, 1e-5, $"seed {seed}, trial {trial}, four sides");
            Assert.All(four.CornersUmPerM, c => Agreement.Near(1e6 * lean, c, 1e-5, $"seed {seed}, trial {trial}, corner"));
        }
    }

    [Fact]
    public void Any_quadrilateral_gives_the_angle_of_its_middle_lines_and_of_its_corners()
    {
        const ulong seed = 4103;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            double length = 500 + (6000 * source.NextUniform()), width = 500 + (3000 * source.NextUniform());
            (double X, double Y) a = Near(0, 0), b = Near(length, 0), c = Near(length, width), d = Near(0, width);
            var q = Of(a, b, c, d);
            var result = SquarenessCalculation.OfQuadrilateral(q);

            // The twin has coordinates: the middle lines themselves, and the sides at each corner.
            Agreement.Near(Sine(Middle(b, c), Middle(a, d), Middle(d, c), Middle(a, b)), result.Angle!.AngleUmPerM, 1e-5, $"seed {seed}, trial {trial}");
            double[] corners = [Sine(b, a, d, a), -Sine(a, b, c, b), Sine(d, c, b, c), -Sine(c, d, a, d)];
            foreach (var (expected, corner) in corners.Zip(result.CornersUmPerM))
                Agreement.Near(expected, corner, 1e-5, $"seed {seed}, trial {trial}, corner");
            Agreement.Near(0, result.ClosureMm!.Value, 1e-8, $"seed {seed}, trial {trial}, closure");

            // Mirror (d1 and d2 change places, corners move on by one): the sign turns. Scale: nothing changes. A misread diagonal shows in the closure.
            var mirrored = SquarenessCalculation.OfQuadrilateral(new(q.SecondDiagonalMm, q.FirstDiagonalMm, q.LengthMm, q.FarWidthMm, q.FarLengthMm, q.WidthMm));
            Agreement.Near(-result.Angle.AngleUmPerM, mirrored.Angle!.AngleUmPerM, 1e-9, $"seed {seed}, trial {trial}, mirrored");
            var scaled = SquarenessCalculation.OfQuadrilateral(new(2 * q.FirstDiagonalMm, 2 * q.SecondDiagonalMm, 2 * q.LengthMm, 2 * q.WidthMm, 2 * q.FarLengthMm, 2 * q.FarWidthMm));
            Agreement.Near(result.Angle.AngleUmPerM, scaled.Angle!.AngleUmPerM, 1e-9, $"seed {seed}, trial {trial}, scaled");
            Agreement.Near(0.4, SquarenessCalculation.OfQuadrilateral(q with { FirstDiagonalMm = q.FirstDiagonalMm + 0.4 }).ClosureMm!.Value, 1e-8, $"seed {seed}, trial {trial}, misread");

            (double, double) Near(double x, double y) => (x + (0.3 * source.NextNormal()), y + (0.3 * source.NextNormal()));
        }
    }

    [Theory]
    [InlineData(3354.2, 3354.1, 3000, 1200)]
    [InlineData(3.3542, 3.3541, 3000, 1500)]
    [InlineData(3420, 3287, 3000, 1500)]
    public void Lengths_that_do_not_belong_together_give_a_sentence_and_no_angle(double d1, double d2, double length, double width)
    {
        foreach (var result in new[] { SquarenessCalculation.OfDiagonals(d1, d2, length, width), SquarenessCalculation.OfQuadrilateral(new(d1, d2, length, width, length, width)) })
        {
            Assert.Null(result.Angle);
            Assert.Contains("misread", result.DefectSentence, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Sides_that_close_to_no_quadrilateral_give_a_sentence()
    {
        var result = SquarenessCalculation.OfQuadrilateral(new(3000, 3000, 10, 3000, 4242, 10));
        Assert.Null(result.Angle);
        Assert.NotNull(result.DefectSentence);
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_at_the_door()
    {
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -1, 1e300, 1e-300 })
        {
            Assert.ThrowsAny<ArgumentException>(() => SquarenessCalculation.OfDiagonals(bad, 1, 1, 1));
            Assert.ThrowsAny<ArgumentException>(() => SquarenessCalculation.OfDiagonals(1, 1, bad, 1));
            Assert.ThrowsAny<ArgumentException>(() => SquarenessCalculation.OfQuadrilateral(new(1.4, 1.4, 1, 1, 1, bad)));
            Assert.ThrowsAny<ArgumentException>(() => SquarenessCalculation.OfReversal(0, 0, bad, IndicatorSense.Kept));
            if (bad is not 1e-300)
                Assert.True(bad is 0 or -1 || Throws(() => SquarenessCalculation.OfReversal(bad, 0, 100, IndicatorSense.Kept)));
        }

        Assert.Throws<ArgumentException>(() => SquarenessCalculation.OfSlopes(double.NaN, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => SquarenessCalculation.OfSlopes(0, 30001));
        Assert.Throws<ArgumentOutOfRangeException>(() => SquarenessCalculation.OfReversal(0, 0, 1, (IndicatorSense)5));
        Assert.Throws<ArgumentOutOfRangeException>(() => new SquarenessAngle(1).DriveOffsetUm(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => new SquarenessAngle(1).DriveOffsetUm(1e300));

        static bool Throws(Action act)
        {
            Assert.ThrowsAny<ArgumentException>(act);
            return true;
        }
    }

    private static SquarenessAngle Diagonals(double difference, double length, double width)
    {
        var diagonal = Math.Sqrt((length * length) + (width * width));
        return SquarenessCalculation.OfDiagonals(diagonal + (difference / 2), diagonal - (difference / 2), length, width).Angle!;
    }

    private static Quadrilateral Of((double X, double Y) start, (double X, double Y) alongX, (double X, double Y) opposite, (double X, double Y) alongY) =>
        new(Distance(start, opposite), Distance(alongX, alongY), Distance(start, alongX), Distance(start, alongY), Distance(alongY, opposite), Distance(alongX, opposite));

    private static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));

    private static (double X, double Y) Middle((double X, double Y) a, (double X, double Y) b) => ((a.X + b.X) / 2, (a.Y + b.Y) / 2);

    /// <summary>Cosine of the angle between two directions, 10⁻⁶.</summary>
    private static double Sine((double X, double Y) to, (double X, double Y) from, (double X, double Y) otherTo, (double X, double Y) otherFrom) =>
        1e6 * (((to.X - from.X) * (otherTo.X - otherFrom.X)) + ((to.Y - from.Y) * (otherTo.Y - otherFrom.Y))) / (Distance(to, from) * Distance(otherTo, otherFrom));
}
