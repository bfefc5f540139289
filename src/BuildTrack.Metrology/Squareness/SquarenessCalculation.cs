using System.Globalization;

namespace BuildTrack.Metrology.Squareness;

/// <summary>Squareness of two axes from diagonals, from a square that is turned over, and from the slopes of two axes.</summary>
/// <remarks>Derivations, signs and limits: docs/method/squareness.md.</remarks>
public static class SquarenessCalculation
{
    /// <summary>Largest length that is taken, mm.</summary>
    public const double LargestLengthMm = 1e9;

    /// <summary>Largest departure that counts as a squareness, µm/m (30 mm/m): beyond it a length was misread, and a ratio is no longer an angle.</summary>
    public const double LargestAngleUmPerM = 30000;

    /// <summary>Largest part by which the mean diagonal may differ from that of the sides, dimensionless.</summary>
    public const double LargestMisfit = 0.01;

    private const double UmPerM = 1e6;

    /// <summary>From two diagonals of a rectangle whose sides are taken as equal in pairs: (d1² − d2²)/(4 W L), exact for a parallelogram.</summary>
    /// <param name="firstDiagonalMm">From the start corner, mm.</param>
    /// <param name="secondDiagonalMm">The other, mm.</param>
    /// <param name="lengthMm">Side along X, mm.</param>
    /// <param name="widthMm">Side along Y, mm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not above zero, or above <see cref="LargestLengthMm"/>.</exception>
    public static DiagonalSquareness OfDiagonals(double firstDiagonalMm, double secondDiagonalMm, double lengthMm, double widthMm)
    {
        Length(firstDiagonalMm, nameof(firstDiagonalMm));
        Length(secondDiagonalMm, nameof(secondDiagonalMm));
        Length(lengthMm, nameof(lengthMm));
        Length(widthMm, nameof(widthMm));
        return Misfit(firstDiagonalMm, secondDiagonalMm, Math.Sqrt((lengthMm * lengthMm) + (widthMm * widthMm))) is { } misfit
            ? Without(misfit)
            : Angle(Ratio(firstDiagonalMm, secondDiagonalMm) / (lengthMm * widthMm), null);
    }

    /// <summary>From two diagonals and all four sides: the exact angle between the two lines that join the middles of opposite sides.</summary>
    /// <param name="lengths">Six lengths in mm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not above zero, or above <see cref="LargestLengthMm"/>.</exception>
    public static DiagonalSquareness OfQuadrilateral(Quadrilateral lengths)
    {
        ArgumentNullException.ThrowIfNull(lengths);
        var (d1, d2, length, width, farLength, farWidth) = lengths;
        Length(d1, nameof(lengths.FirstDiagonalMm));
        Length(d2, nameof(lengths.SecondDiagonalMm));
        Length(length, nameof(lengths.LengthMm));
        Length(width, nameof(lengths.WidthMm));
        Length(farLength, nameof(lengths.FarLengthMm));
        Length(farWidth, nameof(lengths.FarWidthMm));

        double alongX = ((length * length) + (farLength * farLength)) / 2, alongY = ((width * width) + (farWidth * farWidth)) / 2;
        if (Misfit(d1, d2, Math.Sqrt(alongX + alongY)) is { } misfit)
            return Without(misfit);

        // Squared lengths of the two middle lines: their sum is fixed by the diagonals, their difference by the sides.
        var sum = ((d1 * d1) + (d2 * d2)) / 2;
        double middleX = (sum + alongX - alongY) / 2, middleY = (sum - alongX + alongY) / 2;
        if (middleX <= 0 || middleY <= 0 || FirstDiagonal(lengths) is not { } expected)
            return Without("These sides and diagonals close to no quadrilateral: a length was misread, or two were exchanged.");
        return Angle(Ratio(d1, d2) / Math.Sqrt(middleX * middleY), new Corners(
            [
                -Cosine(d2, length, width), Cosine(d1, length, farWidth), -Cosine(d2, farLength, farWidth), Cosine(d1, farLength, width),
            ],
            d1 - expected));
    }

    /// <summary>From two readings over a length of a square, the second with the square turned over.</summary>
    /// <param name="firstReadingMm">Change of the indicator along the blade, mm.</param>
    /// <param name="secondReadingMm">The same with the square turned over, mm.</param>
    /// <param name="lengthMm">Travel along the blade, mm.</param>
    /// <param name="sense">How the indicator stands in the second reading.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A length not above zero or too large, an unknown sense, readings beyond <see cref="LargestAngleUmPerM"/>.</exception>
    public static ReversalSquareness OfReversal(double firstReadingMm, double secondReadingMm, double lengthMm, IndicatorSense sense)
    {
        Length(lengthMm, nameof(lengthMm));
        var first = Small(Guard.Finite(firstReadingMm, nameof(firstReadingMm)) / lengthMm * UmPerM, nameof(firstReadingMm));
        var second = Small(Guard.Finite(secondReadingMm, nameof(secondReadingMm)) / lengthMm * UmPerM, nameof(secondReadingMm));
        return sense switch
        {
            IndicatorSense.Kept => new ReversalSquareness(new SquarenessAngle((first + second) / 2), (first - second) / 2),
            IndicatorSense.Turned => new ReversalSquareness(new SquarenessAngle((first - second) / 2), (first + second) / 2),
            _ => throw new ArgumentOutOfRangeException(nameof(sense), sense, "Not a sense of the indicator."),
        };
    }

    /// <summary>From the slopes of the reference lines of two axes, each measured against one arm of a square or of an optical square.</summary>
    /// <remarks>Both slopes count positive in the same turning sense, from +X towards +Y. A slope of y along X does; a slope of x along Y turns the other way and enters with its sign changed.</remarks>
    /// <param name="turnOfXUmPerM">Turn of the X line, µm/m.</param>
    /// <param name="turnOfYUmPerM">Turn of the Y line, µm/m.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Beyond <see cref="LargestAngleUmPerM"/>.</exception>
    public static SquarenessAngle OfSlopes(double turnOfXUmPerM, double turnOfYUmPerM) =>
        new(Small(turnOfXUmPerM, nameof(turnOfXUmPerM)) - Small(turnOfYUmPerM, nameof(turnOfYUmPerM)));

    /// <summary>(d1² − d2²)/4 as a product: the difference of two near numbers is taken before any squaring.</summary>
    private static double Ratio(double d1, double d2) => (d1 - d2) * (d1 + d2) / 4;

    /// <summary>(opposite² − a² − b²)/(2ab): minus the cosine of the angle between a and b.</summary>
    private static double Cosine(double opposite, double a, double b) => UmPerM * (((opposite - a) * (opposite + a)) - (b * b)) / (2 * a * b);

    /// <summary>The first diagonal that the sides and the second diagonal leave: two triangles on that diagonal.</summary>
    private static double? FirstDiagonal(Quadrilateral q)
    {
        var d2 = q.SecondDiagonalMm;
        double startAlong = Foot(d2, q.LengthMm, q.WidthMm), oppositeAlong = Foot(d2, q.FarWidthMm, q.FarLengthMm);
        double startSquare = (q.LengthMm - startAlong) * (q.LengthMm + startAlong), oppositeSquare = (q.FarWidthMm - oppositeAlong) * (q.FarWidthMm + oppositeAlong);
        if (startSquare <= 0 || oppositeSquare <= 0)
            return null;
        double along = oppositeAlong - startAlong, across = Math.Sqrt(startSquare) + Math.Sqrt(oppositeSquare);
        return Math.Sqrt((along * along) + (across * across));
    }

    private static double Foot(double d, double from, double to) => (d + ((from - to) * (from + to) / d)) / 2;

    private static string? Misfit(double d1, double d2, double expected)
    {
        var mean = (d1 + d2) / 2;
        return Math.Abs(mean - expected) <= LargestMisfit * expected
            ? null
            : string.Create(CultureInfo.InvariantCulture, $"The diagonals have a mean of {mean:G9} mm, but the sides give {expected:G9} mm: a length was misread, or two were exchanged.");
    }

    private static DiagonalSquareness Angle(double ratio, Corners? corners)
    {
        var angle = UmPerM * ratio;
        return Math.Abs(angle) <= LargestAngleUmPerM
            ? new DiagonalSquareness(new SquarenessAngle(angle), corners is null ? [] : [.. corners.AnglesUmPerM], corners?.ClosureMm, null)
            : Without(string.Create(CultureInfo.InvariantCulture, $"The diagonals give {angle / 1000:G4} mm/m; beyond {LargestAngleUmPerM / 1000} mm/m a length was misread."));
    }

    private static DiagonalSquareness Without(string sentence) => new(null, [], null, sentence);

    private static void Length(double value, string name)
    {
        if (Guard.FinitePositive(value, name) is > LargestLengthMm or < 1 / LargestLengthMm)
            Guard.ThrowOutOfRange(value, name, "between 10⁻⁹ and 10⁹");
    }

    private static double Small(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestAngleUmPerM)
            Guard.ThrowOutOfRange(value, name, "within ±30 mm/m");
        return value;
    }

    private sealed record Corners(double[] AnglesUmPerM, double ClosureMm);
}
