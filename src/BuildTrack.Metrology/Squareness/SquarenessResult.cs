using System.Collections.Immutable;

namespace BuildTrack.Metrology.Squareness;

/// <summary>The departure of two axes from 90°. Positive: the angle between +X and +Y is less than 90°.</summary>
/// <param name="AngleUmPerM">Departure as a ratio, µm per m.</param>
public sealed record SquarenessAngle(double AngleUmPerM)
{
    /// <summary>Arc-seconds in one µm/m: 0.648/π, dimensionless but for the units.</summary>
    public const double ArcsecPerUmPerM = 0.20626480624709636;

    /// <summary>The angle in arc-seconds; the ratio is taken as the angle (below 30 mm/m a difference of 0.015 % at most).</summary>
    public double AngleArcsec => AngleUmPerM * ArcsecPerUmPerM;

    /// <summary>How far one drive of a gantry must run ahead of the other to take the angle out, µm: angle × gauge.</summary>
    /// <param name="gaugeMm">Distance of the two drives across the machine, mm, above zero.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not above zero, or above 10⁹ mm.</exception>
    public double DriveOffsetUm(double gaugeMm)
    {
        if (Guard.FinitePositive(gaugeMm, nameof(gaugeMm)) > SquarenessCalculation.LargestLengthMm)
            Guard.ThrowOutOfRange(gaugeMm, nameof(gaugeMm), "at most 10⁹");
        return AngleUmPerM * gaugeMm / 1000;
    }
}

/// <summary>Six distances of four targets, made by the machine at the corners of a rectangle. All in mm.</summary>
/// <remarks>The first diagonal starts at the corner where both axes stand at their smaller coordinate; "near" sides meet in that corner, "far" sides in the one opposite.</remarks>
/// <param name="FirstDiagonalMm">From the start corner to the corner opposite, mm.</param>
/// <param name="SecondDiagonalMm">Between the two other corners, mm.</param>
/// <param name="LengthMm">Side along X at the start corner, mm.</param>
/// <param name="WidthMm">Side along Y at the start corner, mm.</param>
/// <param name="FarLengthMm">The other side along X, mm.</param>
/// <param name="FarWidthMm">The other side along Y, mm.</param>
public sealed record Quadrilateral(
    double FirstDiagonalMm, double SecondDiagonalMm, double LengthMm, double WidthMm, double FarLengthMm, double FarWidthMm);

/// <summary>Squareness from two diagonals, or the reason why the lengths give none.</summary>
/// <param name="Angle">Between the lines that join the middles of opposite sides: the mean of the opposite sides; null with a defect.</param>
/// <param name="CornersUmPerM">With four measured sides: departure at the start corner, at the end of the length, at the corner opposite, at the end of the width, µm/m,
/// each with the sign of <paramref name="Angle"/> (for a parallelogram all four are equal). Else empty.</param>
/// <param name="ClosureMm">With four measured sides: first diagonal as measured less first diagonal as the five other lengths give it, mm.</param>
/// <param name="DefectSentence">Why there is no angle; null where there is.</param>
public sealed record DiagonalSquareness(SquarenessAngle? Angle, ImmutableArray<double> CornersUmPerM, double? ClosureMm, string? DefectSentence);

/// <summary>How the indicator stands in the second reading of a square that has been turned over.</summary>
public enum IndicatorSense
{
    /// <summary>A reading grows towards the same side of the machine as before: axis = (r1 + r2)/2.</summary>
    Kept,

    /// <summary>The indicator was turned with the square, so that a reading grows towards the other side: axis = (r1 − r2)/2.</summary>
    Turned,
}

/// <summary>Squareness by reversal of a square.</summary>
/// <param name="Angle">Departure of the axes.</param>
/// <param name="SquareUmPerM">Departure of the square itself, µm/m, sign of the first reading.</param>
public sealed record ReversalSquareness(SquarenessAngle Angle, double SquareUmPerM);
