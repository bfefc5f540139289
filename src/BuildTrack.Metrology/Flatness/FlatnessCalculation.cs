using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Flatness;

/// <summary>Flatness of a set of points: least squares and minimum zone in one call.</summary>
public static class FlatnessCalculation
{
    /// <summary>A spread across a line, as a share of the spread along it, below which points count as lying on the line: what rounding leaves.</summary>
    internal const double LineShare = 1e-9;

    /// <summary>Calculates both flatness values of points given by x, y and height.</summary>
    /// <param name="xMm">Position along x, mm.</param>
    /// <param name="yMm">Position along y, mm.</param>
    /// <param name="heightsUm">Height along z, µm.</param>
    /// <returns>A value for three points and more (none can decide below four), a named defect otherwise; never NaN.</returns>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite.</exception>
    public static FlatnessResult Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)
    {
        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.Finite(heightsUm, nameof(heightsUm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), xMm.Length, nameof(xMm));
        var count = xMm.Length;
        if (count < 3)
        {
            return Defect(count, FlatnessDefect.TooFewPoints, string.Create(CultureInfo.InvariantCulture, $"{count} points; a plane needs at least three."));
        }

        var cloud = new Cloud(xMm, yMm, heightsUm);
        var start = Spread(cloud.X, cloud.Y);
        if (start is null)
        {
            return OnOneLine(cloud)
                ? Defect(count, FlatnessDefect.Collinear, string.Create(CultureInfo.InvariantCulture, $"All {count} points lie on one line; no plane is fixed."))
                : Defect(count, FlatnessDefect.OneVerticalPlane, string.Create(CultureInfo.InvariantCulture, $"All {count} points lie on one line in plan; heights say nothing across it."));
        }

        var (leastSquares, absent, normal) = LeastSquares.Of(cloud);
        var zone = MinimumZoneSearch.Of(cloud, start.Value, normal);
        return new FlatnessResult(count, leastSquares, absent, zone, FlatnessDefect.None, null);
    }

    /// <summary>Three points that span the plan: one far out, the one farthest from it, the one farthest from their line; null when all are on a line.</summary>
    internal static (int A, int B, int C)? Spread(double[] x, double[] y)
    {
        var a = Farthest(x.Length, i => (x[i] * x[i]) + (y[i] * y[i]));
        var b = Farthest(x.Length, i => Square(x[i] - x[a]) + Square(y[i] - y[a]));
        var length = Math.Sqrt(Square(x[b] - x[a]) + Square(y[b] - y[a]));
        if (length == 0)
        {
            return null;
        }

        double Across(int i) => Math.Abs(((x[b] - x[a]) * (y[i] - y[a])) - ((y[b] - y[a]) * (x[i] - x[a]))) / length;
        var c = Farthest(x.Length, Across);
        return Across(c) > LineShare * length ? (a, b, c) : null;
    }

    private static bool OnOneLine(Cloud cloud)
    {
        var a = Farthest(cloud.Count, i => Square(cloud.X[i]) + Square(cloud.Y[i]) + Square(cloud.Z[i]));
        Vector3 From(int i) => new(cloud.X[i] - cloud.X[a], cloud.Y[i] - cloud.Y[a], cloud.Z[i] - cloud.Z[a]);
        var b = Farthest(cloud.Count, i => From(i).Length);
        var along = From(b);
        return along.Length == 0 || From(Farthest(cloud.Count, i => along.Cross(From(i)).Length)).Cross(along).Length <= LineShare * along.Length * along.Length;
    }

    private static int Farthest(int count, Func<int, double> distance)
    {
        var (best, index) = (-1.0, 0);
        for (var i = 0; i < count; i++)
        {
            if (distance(i) is var d && d > best)
            {
                (best, index) = (d, i);
            }
        }

        return index;
    }

    private static double Square(double value) => value * value;

    private static FlatnessResult Defect(int count, FlatnessDefect defect, string sentence) => new(count, null, sentence, null, defect, sentence);
}

/// <summary>The plane of least squared perpendicular distances.</summary>
internal static class LeastSquares
{
    /// <summary>Two spreads nearer to each other than this share of the largest are equal: then no single plane is best.</summary>
    private const double EqualShare = 1e-10;

    /// <summary>The fit, or why there is none; and the normal from which a search may start.</summary>
    public static (LeastSquaresPlane? Plane, string? Absent, Vector3 Normal) Of(Cloud cloud)
    {
        double xx = 0, xy = 0, xz = 0, yy = 0, yz = 0, zz = 0;
        for (var i = 0; i < cloud.Count; i++)
        {
            var (x, y, z) = (cloud.X[i], cloud.Y[i], cloud.Z[i]);
            xx += x * x;
            xy += x * y;
            xz += x * z;
            yy += y * y;
            yz += y * z;
            zz += z * z;
        }

        var (values, vectors) = Symmetric3.Solve(xx, xy, xz, yy, yz, zz);
        var normal = vectors[0].Upward();
        if (values[1] - values[0] <= EqualShare * values[2])
        {
            return (null, "Two spreads of the points are equal; no single plane is best.", normal);
        }

        var deviations = cloud.Along(normal);
        double peak = 0, valley = 0, squares = 0;
        foreach (var d in deviations)
        {
            peak = Math.Max(peak, d);
            valley = Math.Max(valley, -d);
            squares += d * d;
        }

        return (new LeastSquaresPlane(
            peak + valley, peak, valley, Math.Sqrt(squares / cloud.Count), PlaneOf(cloud, normal, 0), ImmutableArray.Create(deviations)), null, normal);
    }

    /// <summary>The plane square to a normal at a distance above the centroid, in the coordinates of the survey; null where it stands upright.</summary>
    public static PlaneFit? PlaneOf(Cloud cloud, Vector3 normal, double distance)
    {
        if (Math.Abs(normal.Z) < 1e-9)
        {
            return null;
        }

        var (a, b) = (-normal.X / normal.Z, -normal.Y / normal.Z);
        return new PlaneFit(a * 1e6, b * 1e6, cloud.MeanZ + (distance / normal.Z) - (a * cloud.MeanX) - (b * cloud.MeanY));
    }
}
