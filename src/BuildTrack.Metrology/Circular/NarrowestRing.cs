using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Circular;

/// <summary>Narrowest ring of two concentric circles that holds all points.</summary>
/// <param name="CentreXMm">Its centre, mm.</param>
/// <param name="CentreYMm">Its centre, mm.</param>
/// <param name="WidthMm">Outer less inner radius, mm.</param>
public sealed record Ring(double CentreXMm, double CentreYMm, double WidthMm);

/// <summary>The ring of the minimum zone, sought from the least-squares centre.</summary>
/// <remarks>A distance from the centre falls by u·δ where the centre moves by δ, u the direction of the point. So the best step is that of the narrowest vertical zone of
/// heights d over the places u: the exact zone of flatness. Steps are halved where the ring would widen, and end where they no longer narrow it.
/// For points all round a circle that is the narrowest ring; on an arc it is the narrowest near the least-squares centre. Method: docs/method/circular.md.</remarks>
public static class NarrowestRing
{
    private const int MostSteps = 100;

    /// <summary>One unit of a direction as the length that flatness takes, mm: slopes per metre are then steps of the centre.</summary>
    private const double UnitMm = 1000;

    /// <summary>Less than this part is no narrower.</summary>
    private const double Least = 1e-13;

    /// <summary>Seeks.</summary>
    /// <param name="xMm">Coordinates, mm.</param>
    /// <param name="yMm">Coordinates, mm.</param>
    /// <returns>Null where the points have no circle.</returns>
    /// <exception cref="ArgumentException">As for <see cref="CircleFit.LeastSquares"/>.</exception>
    public static Ring? Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm)
    {
        var start = CircleFit.LeastSquares(xMm, yMm);
        if (start.Defect != CircleDefect.None)
            return null;

        double[] x = xMm.ToArray(), y = yMm.ToArray(), distances = new double[x.Length];
        double centreX = start.CentreXMm, centreY = start.CentreYMm, scale = start.RadiusMm, width = Width(x, y, centreX, centreY, distances);
        for (var step = 0; step < MostSteps && width > 0; step++)
        {
            if (Direction(x, y, centreX, centreY, distances, scale) is not { } towards)
                break;
            var (dx, dy) = towards;
            double next;
            var halvings = 0;
            while ((next = Width(x, y, centreX + dx, centreY + dy, distances)) > width && ++halvings < 50)
                (dx, dy) = (dx / 2, dy / 2);
            if (next >= width * (1 - Least))
                break;
            (centreX, centreY, width) = (centreX + dx, centreY + dy, next);
            Width(x, y, centreX, centreY, distances);
        }

        return new Ring(centreX, centreY, width);
    }

    /// <summary>Slopes of the narrowest zone of distances over directions: the step of the centre, mm.</summary>
    private static (double Dx, double Dy)? Direction(double[] x, double[] y, double centreX, double centreY, double[] distances, double scale)
    {
        double[] ux = new double[x.Length], uy = new double[x.Length], heights = new double[x.Length];
        for (var i = 0; i < x.Length; i++)
        {
            if (distances[i] == 0)
                return null;
            (ux[i], uy[i], heights[i]) = ((x[i] - centreX) / distances[i] * UnitMm, (y[i] - centreY) / distances[i] * UnitMm, (distances[i] - distances[0]) / scale);
        }

        return FlatnessCalculation.Of(ux, uy, heights).MinimumZone?.MidPlane is { } plane ? (plane.SlopeXUmPerM * scale, plane.SlopeYUmPerM * scale) : null;
    }

    private static double Width(double[] x, double[] y, double centreX, double centreY, double[] distances)
    {
        double largest = double.NegativeInfinity, smallest = double.PositiveInfinity;
        for (var i = 0; i < x.Length; i++)
        {
            double dx = x[i] - centreX, dy = y[i] - centreY;
            distances[i] = Math.Sqrt((dx * dx) + (dy * dy));
            (largest, smallest) = (Math.Max(largest, distances[i]), Math.Min(smallest, distances[i]));
        }

        return largest - smallest;
    }
}
