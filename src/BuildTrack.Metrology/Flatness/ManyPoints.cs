using System.Collections.Immutable;
using System.Runtime.InteropServices;

namespace BuildTrack.Metrology.Flatness;

/// <summary>Flatness of many points in three or four passes over the data.</summary>
/// <remarks>
/// <para>One pass for the least-squares plane; one for the highest and lowest point of each block above it; the zone of a small pool of the points
/// that stand out; blocks that a point outside that zone could lie in are looked at again, and what stands out joins the pool. The last pass is about
/// the plane that was found: it is the proof that the zone holds every point, independent of how it was found.</para>
/// <para>Only for flat sets that spread in both directions; any other set takes the way of <see cref="PointSet"/> with all its heights.</para>
/// </remarks>
internal static class ManyPoints
{
    /// <summary>At most so many blocks on each side give their outermost point to the first pool; of few blocks, fewer.</summary>
    private const int FirstBlocks = 48;

    /// <summary>At most so many points join at a time.</summary>
    private const int MostJoining = 128;

    private const int MostRounds = 200;

    /// <summary>Plan positions spread across less than this part of their length are left to the careful way.</summary>
    private const double LeastBreadth = 1e-4;

    /// <summary>A range of fewer roundings than this keeps too few digits for the bounds used here: all heights are taken instead.</summary>
    private const double FewestRoundings = 1024;

    private const double UmPerMm = Length.MicrometresPerMillimetre;

    /// <summary>Both values; null where the set is not flat, not wide enough in plan, or does not hold finite numbers.</summary>
    public static FlatnessResult? Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, bool deviations)
    {
        var moments = PlaneMoments.Of(x, y, z);
        if (!moments.IsFinite || moments.Breadth < LeastBreadth || FewerThanFourPlaces(x, y))
            return null;
        var plane = LeastSquares(moments);
        if (x.Length <= SomePoints.MostPoints && SomePoints.Of(x, y, z, moments, plane) is { } some)
            return Both(x, y, z, plane, some.First, Zone(x, y, z, some.Plane, some.Top, some.Bottom, some.Top - some.Bottom, some.Proof, deviations), deviations);
        var scan = BlockScan.Of(x, y, z, plane);
        var floor = Floor(scan);
        if (scan.Top - scan.Bottom <= FewestRoundings * floor || Zone(x, y, z, moments, scan, floor) is not { } found)
            return null;

        return Both(
            x, y, z, plane, new SomePoints.Heights(scan.Top, scan.Bottom, scan.SumOfSquares),
            Zone(x, y, z, found.Across.Plane, found.Across.Top, found.Across.Bottom, found.VerticalUm, found.Proof, deviations), deviations);
    }

    private static MinimumZonePlane Zone(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, double top, double bottom, double vertical, ZoneProof proof, bool deviations)
    {
        double tilt = Tilt(plane), middle = bottom + ((top - bottom) / 2);
        return new MinimumZonePlane(
            (top - bottom) * tilt, vertical, proof.Contact, proof.Contacts, deviations ? Deviations(x, y, z, plane, tilt, middle) : [], Fit(plane, middle), proof.Fault is null, proof.Fault);
    }

    private static FlatnessResult Both(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, in SomePoints.Heights heights, MinimumZonePlane zone, bool deviations)
    {
        var tilt = Tilt(plane);
        var least = new LeastSquaresPlane(
            (heights.Top - heights.Bottom) * tilt, heights.Top * tilt, -heights.Bottom * tilt, Math.Sqrt(heights.Squares / x.Length) * tilt, Fit(plane, 0),
            deviations ? Deviations(x, y, z, plane, tilt, 0) : []);
        return new FlatnessResult(x.Length, least, null, zone, FlatnessDefect.None, null);
    }

    /// <summary>The zone along z with its proof, and the last look at every point about the plane of the zone across.</summary>
    private static (double VerticalUm, BlockScan Across, ZoneProof Proof)? Zone(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlaneMoments moments, BlockScan scan, double floor)
    {
        var pool = new ZonePool(moments, scan);
        Outermost(x, y, z, scan, pool);
        for (var round = 0; round < MostRounds; round++)
        {
            if (!pool.Solve())
                return null;
            var plane = pool.Plane;
            if (Outside(x, y, z, pool, (pool.High, pool.Low), ref scan, plane, floor))
                continue;
            if (scan.Plane != plane)
            {
                // The proof: every point once more, about the plane that was found.
                scan = BlockScan.Of(x, y, z, plane);
                if (Outside(x, y, z, pool, (pool.High, pool.Low), ref scan, plane, floor))
                    continue;
            }

            var height = scan.Top - scan.Bottom;
            var width = height * Tilt(plane);
            if (TiltedZone.LargestGain(width, moments.PlanWidth * UmPerMm) > MinimumZoneFit.Nothing(width))
                return null;
            return (height, pool.IsPinned() ? scan : Across(x, y, z, pool, scan, floor), pool.Proof(x, y, z, scan, ZoneProof.Tolerance(height, floor)));
        }

        return null;
    }

    /// <summary>Where the slope is free along an edge, the narrowest across: the members' narrowest plane that holds every point.</summary>
    private static BlockScan Across(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, ZonePool pool, BlockScan scan, double floor)
    {
        var best = scan;
        var plane = scan.Plane;
        for (var round = 0; round < MostRounds; round++)
        {
            (plane, var high, var low) = pool.Turned(plane, x, y, z);
            if (plane == best.Plane)
                break;
            var turned = BlockScan.Of(x, y, z, plane);
            if ((turned.Top - turned.Bottom) * Tilt(plane) < (best.Top - best.Bottom) * Tilt(best.Plane))
                best = turned;
            if (!Outside(x, y, z, pool, (high, low), ref turned, plane, floor))
                break;
        }

        return best;
    }

    /// <summary>The outermost point of each block that stands out most joins the pool.</summary>
    private static void Outermost(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, BlockScan scan, ZonePool pool)
    {
        var most = Math.Min(FirstBlocks, (scan.Tops.Length / 4) + 4);
        foreach (var high in (ReadOnlySpan<bool>)[true, false])
        {
            foreach (var block in scan.Outermost(most, high))
            {
                var (_, at) = scan.OutermostIn(block, x, y, z, scan.Plane, high);
                pool.Join(at, x[at], y[at], z[at]);
            }
        }
    }

    /// <summary>The points that stand out most of a zone join the pool, one a block and side; all data is read again only where most blocks would be.</summary>
    /// <returns>Whether any joined.</returns>
    private static bool Outside(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, ZonePool pool, (double High, double Low) zone, ref BlockScan scan, PlanePlace plane, double floor)
    {
        var tolerance = (1e-12 * (zone.High - zone.Low)) + (4 * floor);
        double high = zone.High + tolerance, low = zone.Low - tolerance, reach = scan.Reach(plane);
        if (scan.Top + reach <= high && scan.Bottom - reach >= low)
            return false;
        if (reach > 0 && scan.Beyond(high - reach, low + reach) > scan.Tops.Length / 3)
        {
            scan = BlockScan.Of(x, y, z, plane);
            reach = 0;
        }

        var outside = new List<(double Excess, int At)>();
        for (var block = 0; block < scan.Tops.Length; block++)
        {
            if (scan.Tops[block] + reach > high && scan.OutermostIn(block, x, y, z, plane, true) is var up && up.Height > high)
                outside.Add((up.Height - high, up.At));
            if (scan.Bottoms[block] - reach < low && scan.OutermostIn(block, x, y, z, plane, false) is var down && down.Height < low)
                outside.Add((low - down.Height, down.At));
        }

        if (outside.Count > MostJoining)
        {
            outside.Sort(static (one, other) => one.Excess != other.Excess ? other.Excess.CompareTo(one.Excess) : one.At.CompareTo(other.At));
            outside.RemoveRange(MostJoining, outside.Count - MostJoining);
        }

        var before = pool.Count;
        foreach (var (_, at) in outside)
            pool.Join(at, x[at], y[at], z[at]);
        return pool.Count > before;
    }

    /// <summary>The plane of least squared perpendicular distances: that of heights, turned by what its own deviations ask for.</summary>
    /// <remarks>With C the moments in plan and F the mean square across the plane, (C − F)·slopes = moments with z. For a flat set F is 10⁻⁹ of C:
    /// a few steps of the fixed point are exact.</remarks>
    private static PlanePlace LeastSquares(in PlaneMoments m)
    {
        var (alongX, alongY) = m.Slopes();
        double turnX = 0, turnY = 0;
        for (var step = 0; step < 4; step++)
        {
            double a = alongX + turnX, b = alongY + turnY;
            var squares = Math.Max(0, m.ZZ - (alongX * m.XZ) - (alongY * m.YZ)) / (1 + (((a * a) + (b * b)) / (UmPerMm * UmPerMm))) / (UmPerMm * UmPerMm);
            var before = (turnX, turnY);
            (turnX, turnY) = m.Slopes(squares * a, squares * b);
            if ((turnX, turnY) == before)
                break;
        }

        return new PlanePlace(m.MeanX, m.MeanY, m.MeanZ, alongX + turnX, alongY + turnY);
    }

    /// <summary>What rounding of the heights themselves can pretend, µm: as <see cref="PointSet.Floor"/>, from bounds.</summary>
    private static double Floor(BlockScan scan)
    {
        var spread = (Math.Abs(scan.Plane.AlongX) * scan.ExtentX) + (Math.Abs(scan.Plane.AlongY) * scan.ExtentY) + Math.Max(scan.Top, -scan.Bottom);
        return 8 * Rounding.Unit * Math.Max(spread, (Math.Abs(scan.Plane.Z) + spread) / 8);
    }

    /// <summary>Cosine of the plane's tilt: from heights along z to distances across.</summary>
    public static double Tilt(in PlanePlace plane)
    {
        double a = plane.AlongX / UmPerMm, b = plane.AlongY / UmPerMm;
        return 1 / Math.Sqrt(1 + (a * a) + (b * b));
    }

    private static PlaneFit Fit(in PlanePlace plane, double level)
    {
        const double MmPerM = 1000;
        return new PlaneFit(plane.AlongX * MmPerM, plane.AlongY * MmPerM, plane.Z + level - (plane.AlongX * plane.X) - (plane.AlongY * plane.Y));
    }

    private static ImmutableArray<double> Deviations(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, double tilt, double level)
    {
        var deviations = new double[x.Length];
        for (var i = 0; i < deviations.Length; i++)
            deviations[i] = tilt * (plane.Above(x[i], y[i], z[i]) - level);
        return ImmutableCollectionsMarshal.AsImmutableArray(deviations);
    }

    public static bool FewerThanFourPlaces(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Span<int> seen = stackalloc int[4];
        var places = 0;
        for (var i = 0; i < x.Length; i++)
        {
            var known = false;
            for (var k = 0; k < places; k++)
                known |= x[i] == x[seen[k]] && y[i] == y[seen[k]];
            if (known)
                continue;
            seen[places++] = i;
            if (places == 4)
                return false;
        }

        return true;
    }
}
