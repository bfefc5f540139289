using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The narrowest pair of parallel planes that holds all points, with its proof.</summary>
/// <remarks>
/// <para>The zone along the height axis is a linear programme and proved by its dual weights. Turning the axis to that zone's normal and solving
/// again leads to a zone that is narrowest for all near directions. For a flat set all directions that could be better are so near that nothing
/// is left to gain: with v the zone and ω the least width in plan, the perpendicular width lies between v/√(1 + s²) and v,
/// s = 2ωv/(ω² − v²). A bulky set is settled by trying every normal that a narrowest pair can have: square to the face of three points or to
/// two lines of two (Houle and Toussaint, IEEE PAMI 10(5), 1988).</para>
/// </remarks>
internal static class MinimumZoneSearch
{
    /// <summary>What the perpendicular width may be off before a zone counts as not proved, µm: a nanometre.</summary>
    private const double ProofUm = 0.001;

    /// <summary>Largest set for which every possible normal is tried.</summary>
    private const int MostToEnumerate = 60;

    private const int MostTurns = 40;

    /// <summary>A zone in the frame of one axis.</summary>
    private sealed record Framed(Vector3 Axis, double WidthUm, double Slope, Vector3 Normal, List<ContactPlace> Contacts, double[] Across, double[] Along, bool Checked);

    public static MinimumZonePlane Of(Cloud cloud, (int A, int B, int C) plan, Vector3 normal)
    {
        var vertical = Solve(cloud, new Vector3(0, 0, 1)) ?? throw new InvalidOperationException("The vertical zone of points that span the plan was not found.");
        var best = Turn(cloud, vertical, normal);
        var bulky = false;
        var proved = vertical.Checked && best.Checked;
        string? because = proved ? null : "the weights of the contacts do not add up";
        if (proved && Gap(best) > ProofUm)
        {
            if (cloud.Count <= MostToEnumerate)
            {
                best = Enumerate(cloud, best);
                bulky = true;
            }
            else
            {
                proved = false;
                because = string.Create(CultureInfo.InvariantCulture,
                    $"{cloud.Count} points in a set {best.WidthUm:0.###} µm thick are too bulky to prove that no other direction gives a narrower zone");
            }
        }

        var contacts = cloud.Count == 3 || best.WidthUm == 0 ? [] : (bulky ? best : vertical).Contacts;
        var deviations = cloud.Along(best.Normal);
        var middle = (deviations.Max() + deviations.Min()) / 2;
        for (var i = 0; i < deviations.Length; i++)
        {
            deviations[i] -= middle;
        }

        var highs = contacts.Where(c => c.Weight > 0).OrderBy(c => c.Index).ToList();
        var lows = contacts.Where(c => c.Weight < 0).OrderBy(c => c.Index).ToList();
        var (more, fewer) = (Math.Max(highs.Count, lows.Count), Math.Min(highs.Count, lows.Count));
        var kind = (more, fewer) is (2, 1) or (3, 1) or (2, 2) ? string.Create(CultureInfo.InvariantCulture, $"{more}-{fewer}") : null;
        return new MinimumZonePlane(
            best.WidthUm, vertical.WidthUm, kind, [.. highs, .. lows], ImmutableArray.Create(deviations), LeastSquares.PlaneOf(cloud, best.Normal, middle), proved, because);
    }

    /// <summary>Turns the axis to the zone's normal until nothing is gained.</summary>
    private static Framed Turn(Cloud cloud, Framed vertical, Vector3 normal)
    {
        var best = vertical;
        foreach (var start in new[] { vertical.Normal, normal })
        {
            var axis = start;
            for (var turn = 0; turn < MostTurns && Solve(cloud, axis) is { } framed; turn++)
            {
                var gained = framed.WidthUm < best.WidthUm;
                best = gained || (framed.WidthUm == best.WidthUm && framed.Slope < best.Slope) ? framed : best;
                if (framed.Slope < 1e-15 || (!gained && turn > 1))
                {
                    break;
                }

                axis = framed.Normal;
            }
        }

        return best;
    }

    private static Framed? Solve(Cloud cloud, Vector3 axis)
    {
        var (u, v) = axis.Across();
        var (x, y, z) = (cloud.Along(u), cloud.Along(v), cloud.Along(axis));
        if (FlatnessCalculation.Spread(x, y) is not { } start)
        {
            return null;
        }

        // Level first and scale: the programme then sees numbers of about 1.
        var (a, b) = Level(x, y, z);
        var (extent, height) = (0.0, 0.0);
        for (var i = 0; i < x.Length; i++)
        {
            z[i] -= (a * x[i]) + (b * y[i]);
            extent = Math.Max(extent, Math.Max(Math.Abs(x[i]), Math.Abs(y[i])));
            height = Math.Max(height, Math.Abs(z[i]));
        }

        if (height <= 1e-15 * extent)
        {
            return new Framed(axis, 0, 0, Normal(axis, u, v, a, b), [], x, y, true);
        }

        double[] sx = [.. x.Select(p => p / extent)], sy = [.. y.Select(p => p / extent)], sz = [.. z.Select(p => p / height)];
        if (VerticalZone.Solve(sx, sy, sz, start) is not { } zone)
        {
            return null;
        }

        var contacts = LowestContacts.Of(sx, sy, sz, zone.Contacts, zone.SlopeX, zone.SlopeY, zone.Middle, zone.Zone);
        var (slopeX, slopeY) = (a + (zone.SlopeX * height / extent), b + (zone.SlopeY * height / extent));
        var slope = Math.Sqrt((slopeX * slopeX) + (slopeY * slopeY));
        var width = zone.Zone * height;
        return new Framed(
            axis, axis == new Vector3(0, 0, 1) ? width : width / Math.Sqrt(1 + (slope * slope)), slope, Normal(axis, u, v, slopeX, slopeY), contacts, x, y,
            Check(sx, sy, sz, contacts, zone.Zone, zone.SlopeX, zone.SlopeY, zone.Middle));
    }

    /// <summary>The proof, looked at anew: the weights balance and give the zone, and no point lies outside it. However the zone was found.</summary>
    private static bool Check(double[] x, double[] y, double[] z, List<ContactPlace> contacts, double zone, double slopeX, double slopeY, double middle)
    {
        double up = 0, down = 0, sumX = 0, sumY = 0, value = 0;
        foreach (var c in contacts)
        {
            up += Math.Max(0, c.Weight);
            down += Math.Min(0, c.Weight);
            sumX += c.Weight * x[c.Index];
            sumY += c.Weight * y[c.Index];
            value += c.Weight * z[c.Index];
        }

        const double Rounding = 1e-9;
        var inside = true;
        for (var i = 0; i < x.Length && inside; i++)
        {
            inside = Math.Abs(z[i] - (slopeX * x[i]) - (slopeY * y[i]) - middle) <= (zone / 2) + Rounding;
        }

        return inside && Math.Abs(up - 1) < Rounding && Math.Abs(down + 1) < Rounding && Math.Abs(sumX) < Rounding && Math.Abs(sumY) < Rounding
            && Math.Abs(value - zone) < Rounding;
    }

    private static double Gap(Framed zone)
    {
        var lateral = PlanWidth.Of(zone.Across, zone.Along);
        var v = zone.WidthUm;
        if (lateral <= v)
        {
            return double.PositiveInfinity;
        }

        var s = 2 * lateral * v / ((lateral * lateral) - (v * v));
        // v − v/√(1+s²) without cancellation
        var root = Math.Sqrt(1 + (s * s));
        return v * s * s / (root * (1 + root));
    }

    private static Framed Enumerate(Cloud cloud, Framed best)
    {
        var n = cloud.Count;
        var points = new Vector3[n];
        for (var i = 0; i < n; i++)
        {
            points[i] = new Vector3(cloud.X[i], cloud.Y[i], cloud.Z[i]);
        }

        var scale = points.Max(p => p.Length);
        var (width, normal) = (best.WidthUm, best.Normal);
        void Try(Vector3 first, Vector3 second)
        {
            var cross = first.Cross(second);
            if (cross.Length > 1e-10 * scale * scale)
            {
                var unit = cross.Unit();
                if (Width(points, unit, width) is { } w && w < width)
                {
                    (width, normal) = (w, unit);
                }
            }
        }

        var edges = new List<Vector3>(n * (n - 1) / 2);
        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++)
            {
                edges.Add(Minus(points[j], points[i]));
            }
        }

        // Two edges with a common end span a face: every pair of edges covers both kinds of contact.
        for (var i = 0; i < edges.Count; i++)
        {
            for (var j = i + 1; j < edges.Count; j++)
            {
                Try(edges[i], edges[j]);
            }
        }

        normal = normal.Upward();
        return Solve(cloud, normal) is { } framed
            ? framed with { WidthUm = Math.Min(width, framed.WidthUm), Normal = framed.WidthUm < width ? framed.Normal : normal }
            : best;
    }

    private static double? Width(Vector3[] points, Vector3 normal, double most)
    {
        var (low, high) = (double.PositiveInfinity, double.NegativeInfinity);
        foreach (var p in points)
        {
            var d = (p.X * normal.X) + (p.Y * normal.Y) + (p.Z * normal.Z);
            low = Math.Min(low, d);
            high = Math.Max(high, d);
            if (high - low >= most)
            {
                return null;
            }
        }

        return high - low;
    }

    private static Vector3 Normal(Vector3 axis, Vector3 u, Vector3 v, double a, double b) => new Vector3(
        axis.X - (a * u.X) - (b * v.X), axis.Y - (a * u.Y) - (b * v.Y), axis.Z - (a * u.Z) - (b * v.Z)).Unit().Upward();

    private static (double A, double B) Level(double[] x, double[] y, double[] z)
    {
        double xx = 0, xy = 0, yy = 0, xz = 0, yz = 0;
        for (var i = 0; i < x.Length; i++)
        {
            xx += x[i] * x[i];
            xy += x[i] * y[i];
            yy += y[i] * y[i];
            xz += x[i] * z[i];
            yz += y[i] * z[i];
        }

        var det = (xx * yy) - (xy * xy);
        return (((xz * yy) - (yz * xy)) / det, ((yz * xx) - (xz * xy)) / det);
    }

    private static Vector3 Minus(Vector3 a, Vector3 b) => new(a.X - b.X, a.Y - b.Y, a.Z - b.Z);
}
