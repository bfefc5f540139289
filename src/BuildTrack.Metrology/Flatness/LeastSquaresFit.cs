using System.Collections.Immutable;
using System.Runtime.InteropServices;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The plane of least squared perpendicular distances.</summary>
/// <remarks>Starts from the plane of least squared heights, which is exact in two quotients, and turns it the rest of the way by the
/// singular vectors of a 3 × 3 matrix: for a bed that rest is 10⁻¹⁰ of a radian and the deviations lose nothing by it.</remarks>
internal static class LeastSquaresFit
{
    /// <summary>Two singular values nearer than this (relative) count as equal: then no single plane is best.</summary>
    private const double EqualValues = 1e-9;

    public static (LeastSquaresPlane? Plane, string? AbsentBecause) Of(PointSet points)
    {
        var frame = points.Frame;
        var (slopeX, slopeY) = points.Slopes(points.SlopeU, points.SlopeW);
        var normal = new Vector3(-slopeX, -slopeY, 1).Unit();
        var (first, second) = normal.Across();

        // A point is u·alongU + w·alongW + rest·ez, and alongU, alongW lie in the plane: no part along the normal, exactly.
        var alongU = InPlane(points, 1, 0);
        var alongW = InPlane(points, 0, 1);
        double sumRest = 0;
        foreach (var rest in points.Rest)
            sumRest += rest * rest;
        double sizeU = Math.Sqrt(frame.SumUU), sizeW = Math.Sqrt(frame.SumWW), sizeRest = Math.Sqrt(sumRest);
        var (direction, smallest, next) = LeastDirection.Of(
            new Vector3(sizeU * alongU.Dot(first), sizeW * alongW.Dot(first), sizeRest * first.Z),
            new Vector3(sizeU * alongU.Dot(second), sizeW * alongW.Dot(second), sizeRest * second.Z),
            new Vector3(0, 0, sizeRest * normal.Z));
        if (next - smallest <= EqualValues * next)
            return (null, "The points spread alike in two directions or more: no single plane has the least squares.");
        var turned = (direction.X * first) + (direction.Y * second) + (direction.Z * normal);
        if (turned.Upward() != turned)
        {
            turned = -1 * turned;
            direction = -1 * direction;
        }

        if (points.Plane(turned, 0) is not { } plane)
            return (null, "The plane of least squares stands upright: it has no slopes and no heights above it.");

        var byU = (direction.X * alongU.Dot(first)) + (direction.Y * alongU.Dot(second));
        var byW = (direction.X * alongW.Dot(first)) + (direction.Y * alongW.Dot(second));
        var byRest = turned.Z;
        var deviations = new double[points.Count];
        double peak = 0, valley = 0, sum = 0;
        for (var i = 0; i < deviations.Length; i++)
        {
            var deviation = (byU * frame.U[i]) + (byW * frame.W[i]) + (byRest * points.Rest[i]);
            deviations[i] = deviation;
            peak = Math.Max(peak, deviation);
            valley = Math.Max(valley, -deviation);
            sum += deviation * deviation;
        }

        return (new LeastSquaresPlane(
            peak + valley, peak, valley, Math.Sqrt(sum / deviations.Length), plane, ImmutableCollectionsMarshal.AsImmutableArray(deviations)), null);
    }

    /// <summary>The vector, µm, by which a point moves in the plane when u and w grow by these steps.</summary>
    private static Vector3 InPlane(PointSet points, double u, double w)
    {
        var frame = points.Frame;
        var primary = u * frame.ScaleU * Length.MicrometresPerMillimetre;
        var secondary = ((w * frame.ScaleW) + (u * frame.ScaleU * frame.Shear)) * Length.MicrometresPerMillimetre;
        var rise = (u * points.SlopeU) + (w * points.SlopeW);
        return frame.UAlongX ? new Vector3(primary, secondary, rise) : new Vector3(secondary, primary, rise);
    }
}
