using System.Globalization;

namespace BuildTrack.Metrology.Flatness;

/// <summary>Flatness of a set of points: least squares and minimum zone in one call.</summary>
public static class FlatnessCalculation
{
    /// <summary>Largest position that is taken, mm, and a thousand times it the largest height, µm: beyond, squares of squares leave the range of numbers.</summary>
    public const double LargestMm = 1e9;

    /// <summary>Calculates both flatness values of points given by x, y and height.</summary>
    /// <remarks>Method, sources and limits: docs/method/flatness.md. Accurate to rounding: 12 digits, or what the digits of the input
    /// leave (a feature of 1 µm at 10⁶ mm from the origin keeps 9). Pure: the same input gives the same bits.</remarks>
    /// <param name="xMm">Position along x, mm.</param>
    /// <param name="yMm">Position along y, mm.</param>
    /// <param name="heightsUm">Height along z, µm.</param>
    /// <param name="deviations">False where nobody asks for the deviation of each point: those lists may then be empty, and ten million points take
    /// little more than reading them four times.</param>
    /// <returns>Values in µm for three points and more (none can decide below four), a named defect otherwise; never NaN.</returns>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A position or a height of a set of up to 60 points, or of one that is not flat, beyond <see cref="LargestMm"/>.</exception>
    public static FlatnessResult Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm, bool deviations = true)
    {
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), xMm.Length, nameof(xMm));
        if (xMm.Length > DirectWidth.LargestCount && ManyPoints.Of(xMm, yMm, heightsUm, deviations) is { } many)
            return many;

        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.Finite(heightsUm, nameof(heightsUm));
        Within(xMm, LargestMm, "xMm", "within ±10⁹ mm");
        Within(yMm, LargestMm, "yMm", "within ±10⁹ mm");
        Within(heightsUm, LargestMm * Length.MicrometresPerMillimetre, "heightsUm", "within ±10¹² µm");
        if (xMm.Length < 3)
            return Without(xMm.Length, FlatnessDefect.TooFewPoints, $"A plane needs three points; there {(xMm.Length == 1 ? "is" : "are")} {Count(xMm.Length)}.");

        var points = PointSet.Of(xMm, yMm, heightsUm);
        if (points.Frame.Shape != PlanShape.Plane)
            return OnOneLine(points);
        if (xMm.Length == 3)
        {
            var (x, y) = points.Slopes(points.SlopeU, points.SlopeW);
            var zone = MinimumZoneFit.Even(points);
            return points.Plane(new Vector3(-x, -y, 1).Unit(), 0) is { } plane
                ? new FlatnessResult(3, new LeastSquaresPlane(0, 0, 0, 0, plane, [0, 0, 0]), null, zone, FlatnessDefect.None, null)
                : new FlatnessResult(3, null, "The plane through the three points stands upright: it has no slopes.", zone, FlatnessDefect.None, null);
        }

        var (leastSquares, absentBecause) = LeastSquaresFit.Of(points);
        return new FlatnessResult(points.Count, leastSquares, absentBecause, MinimumZoneFit.Of(points), FlatnessDefect.None, null);
    }

    private static void Within(ReadOnlySpan<double> values, double largest, string name, string expected)
    {
        for (var i = 0; i < values.Length; i++)
        {
            if (Math.Abs(values[i]) > largest)
                Guard.ThrowOutOfRange(values[i], string.Create(CultureInfo.InvariantCulture, $"{name}[{i}]"), expected);
        }
    }

    private static FlatnessResult OnOneLine(PointSet points)
    {
        if (points.Frame.Shape == PlanShape.OnePlace)
            return Without(points.Count, FlatnessDefect.Collinear, $"All {Count(points.Count)} points lie at one place in plan; a plane needs three that are not on one line.");

        double largest = 0, spread = 0;
        for (var i = 0; i < points.Count; i++)
        {
            largest = Math.Max(largest, Math.Abs(points.Rest[i]));
            spread = Math.Max(spread, Math.Abs(points.Z[i]));
        }

        return largest <= Math.Max(points.Floor * 4, PlanFrame.LineTolerance * spread)
            ? Without(points.Count, FlatnessDefect.Collinear, $"All {Count(points.Count)} points lie on one line; a plane needs three that do not.")
            : Without(points.Count, FlatnessDefect.OneVerticalPlane,
                $"All {Count(points.Count)} points lie on one line in plan, so on one vertical plane; heights along one line are straightness, not flatness.");
    }

    private static string Count(int count) => count.ToString(CultureInfo.InvariantCulture);

    private static FlatnessResult Without(int count, FlatnessDefect defect, string sentence) =>
        new(count, null, sentence, null, defect, sentence);
}
