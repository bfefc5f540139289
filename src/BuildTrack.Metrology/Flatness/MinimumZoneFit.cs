using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.InteropServices;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The minimum zone of a set of points with its proof. Steps and bounds: docs/method/flatness.md.</summary>
internal static class MinimumZoneFit
{
    /// <summary>The bound on what another direction could gain counts as nothing below this, µm (half the unit of storage) …</summary>
    private const double NothingUm = 0.0005;

    /// <summary>… or below this part of the zone.</summary>
    private const double NothingRelative = 1e-5;

    private const int LargestTurns = 30;

    /// <summary>What counts as nothing against a zone of this width, µm.</summary>
    public static double Nothing(double width) => Math.Max(NothingUm, NothingRelative * width);

    public static MinimumZonePlane Of(PointSet points)
    {
        var vertical = new VerticalZone();
        vertical.Solve(points.Frame.U, points.Frame.W, points.Rest);
        if (vertical.Width <= 2 * points.Floor)
            return Even(points);

        var (slopeX, slopeY) = points.Slopes(points.SlopeU + vertical.SlopeU, points.SlopeW + vertical.SlopeW);
        var zone = Turn(points, TiltedZone.Of(points, vertical, new Vector3(-slopeX, -slopeY, 1)));
        var gain = zone.LargestGain(points);
        var flat = gain <= Nothing(zone.Width);
        string? because = vertical.Finished ? null : "The exchange of contacts did not come to its end.";
        if (!flat && points.Count <= DirectWidth.LargestCount)
        {
            var (normal, width) = DirectWidth.Of(points);

            // The direction found already is one of those tried; it is replaced only by a better one.
            if (width < zone.Width * (1 - 1e-12))
                zone = Turn(points, TiltedZone.Of(points, normal));
        }
        else if (!flat)
        {
            because ??= string.Create(CultureInfo.InvariantCulture,
                $"{points.Count} points that are thick against their width: another direction could be narrower by {gain:G3} µm, and directions are tried one by one only up to {DirectWidth.LargestCount} points.");
        }

        // A flat set proves its zone by heights along z, in the frame of the input; a bulky one by heights across its own zone.
        var proof = flat
            ? ZoneProof.Of(points.Frame, points.Rest, vertical, points.Floor)
            : ZoneProof.Across(zone, points.Floor);
        because ??= proof.Fault;
        if (ManyPoints.FewerThanFourPlaces(points.X, points.Y))
            because ??= "Fewer than four different places: any three heights lie on one plane, they cannot decide.";
        return new MinimumZonePlane(
            zone.Width,
            Math.Max(vertical.Width, zone.Width),
            proof.Contact,
            proof.Contacts,
            ImmutableCollectionsMarshal.AsImmutableArray(zone.Heights),
            points.Plane(zone.Normal, zone.Shift),
            because is null,
            because);
    }

    /// <summary>Three points, or points on one plane to the last digit: nothing stands out.</summary>
    public static MinimumZonePlane Even(PointSet points)
    {
        var (slopeX, slopeY) = points.Slopes(points.SlopeU, points.SlopeW);
        var because = ManyPoints.FewerThanFourPlaces(points.X, points.Y)
            ? "Fewer than four different places: any three heights lie on one plane, they cannot decide."
            : null;
        return new MinimumZonePlane(
            0, 0, null, [], ImmutableCollectionsMarshal.AsImmutableArray(new double[points.Count]),
            points.Plane(new Vector3(-slopeX, -slopeY, 1).Unit(), 0), because is null, because);
    }

    /// <summary>Takes heights across the present zone, solves again, turns, until nothing is gained: a least width among near directions.</summary>
    private static TiltedZone Turn(PointSet points, TiltedZone zone)
    {
        var vertical = new VerticalZone();
        for (var turn = 0; turn < LargestTurns; turn++)
        {
            vertical.Solve(zone.Frame.U, zone.Frame.W, zone.Heights);
            var better = zone.Turned(points, vertical);
            if (better.Width >= zone.Width * (1 - (64 * Rounding.Unit)))
                break;
            zone = better;
        }

        return zone;
    }
}
