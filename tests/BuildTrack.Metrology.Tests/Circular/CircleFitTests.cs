using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Circular;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Circular;

public sealed class CircleFitTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void Published_points_have_their_geometric_circle_to_every_digit(int set)
    {
        var file = ReferenceFile.Load("circle-least-squares");
        var data = file.At("sets")[set];
        var (x, y) = Coordinates(data);
        var circle = CircleFit.LeastSquares(x, y);
        var (expected, published) = (data.GetProperty("recomputed").GetProperty("geometric"), data.GetProperty("published").GetProperty("geometric"));
        var decimals = file.Digits($"published_decimals_set_{set + 1}");

        foreach (var (values, digits) in new[] { (expected, "recomputed"), (data.GetProperty("exact"), "exact") })
        {
            file.Reaches(values.GetProperty("centre")[0].GetDouble(), circle.CentreXMm, digits, "centre x");
            file.Reaches(values.GetProperty("centre")[1].GetDouble(), circle.CentreYMm, digits, "centre y");
            file.Reaches(values.GetProperty("radius").GetDouble(), circle.RadiusMm, digits, "radius");
            file.Reaches(values.GetProperty("sum_squares").GetDouble(), circle.SumOfSquaresMm2, digits, "sum of squares");
            file.Reaches(values.GetProperty("radial_range_about_LS_centre").GetDouble(), circle.LargestMm - circle.SmallestMm, digits, "range");
        }

        Assert.Equal(published.GetProperty("centre")[0].GetDouble(), Math.Round(circle.CentreXMm, decimals));
        Assert.Equal(published.GetProperty("centre")[1].GetDouble(), Math.Round(circle.CentreYMm, decimals));
        Assert.Equal(published.GetProperty("radius").GetDouble(), Math.Round(circle.RadiusMm, decimals));
        if (published.TryGetProperty("std_of_radii", out var spread))
            Assert.Equal(spread.GetDouble(), Math.Round(Math.Sqrt(circle.SumOfSquaresMm2 / x.Length), 6));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void The_narrowest_ring_by_trying_all_contacts_is_the_published_one_and_never_wider_than_about_the_least_squares_centre(int set)
    {
        var file = ReferenceFile.Load("circle-least-squares");
        var data = file.At("sets")[set];
        var (x, y) = Coordinates(data);
        var (width, ring) = (Ring(x, y), NarrowestRing.Of(x, y)!);
        var expected = data.GetProperty("recomputed").GetProperty("minimum_zone");
        file.Reaches(expected.GetProperty("width").GetDouble(), ring.WidthMm, "recomputed", "width");
        file.Reaches(expected.GetProperty("centre")[0].GetDouble(), ring.CentreXMm, "recomputed", "centre x");
        file.Reaches(expected.GetProperty("centre")[1].GetDouble(), ring.CentreYMm, "recomputed", "centre y");
        Agreement.Near(width, ring.WidthMm, 1e-10, "all contacts");
        file.Reaches(expected.GetProperty("width").GetDouble(), width, "recomputed", "all contacts");
        var circle = CircleFit.LeastSquares(x, y);
        Assert.True(width <= circle.LargestMm - circle.SmallestMm);
    }

    [Fact]
    public void The_narrowest_ring_of_random_paths_is_that_of_all_contacts()
    {
        const ulong seed = 5102;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 40; trial++)
        {
            var count = 8 + source.NextInt(8);
            double[] x = new double[count], y = new double[count];
            for (var i = 0; i < count; i++)
            {
                var (sine, cosine) = Degrees.SineAndCosine((i + (0.5 * source.NextUniform())) * 360 / count);
                var radius = 150 + (0.02 * source.NextNormal());
                (x[i], y[i]) = (3 + (radius * cosine), (radius * sine) - 2);
            }

            var ring = NarrowestRing.Of(x, y)!;
            Agreement.Near(Ring(x, y), ring.WidthMm, 1e-9, $"seed {seed}, trial {trial}");
        }

        Assert.Null(NarrowestRing.Of([0, 1, 2], [0, 1, 2]));
        Agreement.Near(0, NarrowestRing.Of([0, 6, 0], [0, 0, 8])!.WidthMm, 1e-12, "three points");
    }

    [Fact]
    public void No_step_of_the_centre_makes_the_sum_smaller_and_the_circle_moves_turns_and_grows_with_its_points()
    {
        const ulong seed = 5101;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            var count = 4 + source.NextInt(30);
            double[] x = new double[count], y = new double[count];
            for (var i = 0; i < count; i++)
            {
                var (sine, cosine) = Degrees.SineAndCosine((i * 300.0 / count) + (5 * source.NextUniform()));
                var radius = 150 + (0.5 * source.NextNormal());
                (x[i], y[i]) = (40 + (radius * cosine), -70 + (radius * sine));
            }

            var circle = CircleFit.LeastSquares(x, y);
            Agreement.Near(Squares(x, y, circle.CentreXMm, circle.CentreYMm), circle.SumOfSquaresMm2, 1e-9, $"seed {seed}, trial {trial}, sum");
            foreach (var (dx, dy) in new[] { (1e-3, 0.0), (-1e-3, 0), (0, 1e-3), (0, -1e-3) })
                Assert.True(Squares(x, y, circle.CentreXMm + dx, circle.CentreYMm + dy) > circle.SumOfSquaresMm2, $"seed {seed}, trial {trial}");

            var moved = CircleFit.LeastSquares([.. y.Select(v => (2 * v) + 1000)], [.. x.Select(v => (-2 * v) - 500)]);
            Agreement.Near((2 * circle.CentreYMm) + 1000, moved.CentreXMm, 1e-8, $"seed {seed}, trial {trial}, moved x");
            Agreement.Near((-2 * circle.CentreXMm) - 500, moved.CentreYMm, 1e-8, $"seed {seed}, trial {trial}, moved y");
            Agreement.Near(2 * circle.RadiusMm, moved.RadiusMm, 1e-8, $"seed {seed}, trial {trial}, radius");
        }
    }

    [Fact]
    public void Points_that_have_no_circle_are_a_named_defect()
    {
        Assert.Equal(CircleDefect.TooFewPoints, CircleFit.LeastSquares([], []).Defect);
        Assert.Equal(CircleDefect.TooFewPoints, CircleFit.LeastSquares([0, 1], [0, 1]).Defect);
        Assert.Equal(CircleDefect.OnOneLine, CircleFit.LeastSquares([5, 5, 5], [2, 2, 2]).Defect);
        Assert.Equal(CircleDefect.OnOneLine, CircleFit.LeastSquares([0, 1, 2, 7], [1, 3, 5, 15]).Defect);
        Assert.Equal(CircleDefect.OnOneLine, CircleFit.LeastSquares([0, 1, 2, 3], [0, 0, 1e-12, 0]).Defect);
        Assert.Equal(CircleDefect.None, CircleFit.LeastSquares([0, 1, 0], [0, 0, 1]).Defect);
    }

    [Fact]
    public void Three_points_lie_on_their_circle()
    {
        var circle = CircleFit.LeastSquares([0, 6, 0], [0, 0, 8]);
        Agreement.Near(3, circle.CentreXMm, 1e-12, "x");
        Agreement.Near(4, circle.CentreYMm, 1e-12, "y");
        Agreement.Near(5, circle.RadiusMm, 1e-12, "radius");
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_with_their_place()
    {
        var refused = Assert.Throws<ArgumentException>(() => CircleFit.LeastSquares([0, 1, 2], [0, double.NaN, 1]));
        Assert.Contains("yMm[1] is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => CircleFit.LeastSquares([0, 1, 2], [0, 1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => CircleFit.LeastSquares([0, 1e300, 2], [0, 1, 1]));
    }

    [Fact]
    public void Sines_agree_with_the_platform_and_are_exact_at_quarter_turns()
    {
        for (var angle = -1000.0; angle <= 1000; angle += 0.37)
        {
            var (sine, cosine) = Degrees.SineAndCosine(angle);
            Agreement.Near(Math.Sin(angle % 360 * Math.PI / 180), sine, 2e-15, $"sine of {angle}");
            Agreement.Near(Math.Cos(angle % 360 * Math.PI / 180), cosine, 2e-15, $"cosine of {angle}");
        }

        Assert.Equal([(0, 1), (1, 0), (0, -1), (-1, 0), (0, 1)], new[] { 0.0, 90, 180, 270, 360 }.Select(Degrees.SineAndCosine));
        Agreement.Near(1, Degrees.Tangent(45), 1e-15, "tangent");
        Assert.Throws<ArgumentException>(() => Degrees.SineAndCosine(double.NaN));
    }

    private static (double[] X, double[] Y) Coordinates(JsonElement data)
    {
        var points = data.GetProperty("points").EnumerateArray().ToArray();
        return ([.. points.Select(p => p[0].GetDouble())], [.. points.Select(p => p[1].GetDouble())]);
    }

    private static double Squares(double[] x, double[] y, double centreX, double centreY)
    {
        double[] distances = [.. x.Select((v, i) => Math.Sqrt(((v - centreX) * (v - centreX)) + ((y[i] - centreY) * (y[i] - centreY))))];
        var mean = distances.Average();
        return distances.Sum(d => (d - mean) * (d - mean));
    }

    /// <summary>Narrowest ring: its centre is as far from two points outside as they are from each other, and likewise for two inside.</summary>
    internal static double Ring(double[] x, double[] y)
    {
        var best = double.PositiveInfinity;
        var count = x.Length;
        for (var i = 0; i < count; i++)
        {
            for (var j = i + 1; j < count; j++)
            {
                for (var k = 0; k < count; k++)
                {
                    for (var l = k + 1; l < count; l++)
                    {
                        double a = x[j] - x[i], b = y[j] - y[i], c = x[l] - x[k], d = y[l] - y[k], determinant = (a * d) - (b * c);
                        if (Math.Abs(determinant) < 1e-9)
                            continue;
                        double p = ((x[j] * x[j]) + (y[j] * y[j]) - (x[i] * x[i]) - (y[i] * y[i])) / 2, q = ((x[l] * x[l]) + (y[l] * y[l]) - (x[k] * x[k]) - (y[k] * y[k])) / 2;
                        double centreX = ((p * d) - (b * q)) / determinant, centreY = ((a * q) - (p * c)) / determinant;
                        double[] distances = [.. x.Select((v, m) => Math.Sqrt(((v - centreX) * (v - centreX)) + ((y[m] - centreY) * (y[m] - centreY))))];
                        best = Math.Min(best, distances.Max() - distances.Min());
                    }
                }
            }
        }

        return best;
    }
}
