using System.Collections.Immutable;

namespace BuildTrack.Metrology.Circular;

/// <summary>Which way round the path was driven, seen from the side where +X turns counter-clockwise into +Y.</summary>
public enum ContouringSense
{
    /// <summary>From +Y towards +X.</summary>
    Clockwise,

    /// <summary>From +X towards +Y.</summary>
    CounterClockwise,
}

/// <summary>One reading of a circular test.</summary>
/// <param name="AngleDeg">Angle of the place on the path about its centre, degrees, counter-clockwise from the first axis (+X).</param>
/// <param name="RadiusDeviationUm">Measured radius less nominal radius, µm; positive outward.</param>
/// <param name="Sense">Which way round.</param>
public readonly record struct CircularReading(double AngleDeg, double RadiusDeviationUm, ContouringSense Sense);

/// <summary>Why readings give no circular figures.</summary>
public enum CircularDefect
{
    /// <summary>They give figures.</summary>
    None,

    /// <summary>Fewer points in a measured direction than <see cref="CircularCalculation.FewestPoints"/>.</summary>
    TooFewPoints,

    /// <summary>The same angle twice in one direction; whole turns do not count as a difference.</summary>
    RepeatedAngle,

    /// <summary>An arc shorter than <see cref="CircularCalculation.SmallestArcDeg"/>.</summary>
    ArcTooShort,

    /// <summary>A part within the path without a reading, wider than <see cref="CircularCalculation.LargestGapDeg"/>; on an arc wider than a quarter of it.</summary>
    GapInPath,

    /// <summary>The two directions cover different parts of the circle.</summary>
    ArcsDiffer,
}

/// <summary>The part of the circle that was measured.</summary>
/// <param name="FromDeg">Its beginning, degrees; it runs counter-clockwise from here, whichever way it was driven.</param>
/// <param name="ToDeg">Its end, degrees.</param>
/// <param name="LengthDeg">Its length, degrees.</param>
/// <param name="RadiusNoiseFactor">Noise of the readings enters the radius this many times as much as that of a full circle with as many readings, dimensionless.</param>
public sealed record CircularArc(double FromDeg, double ToDeg, double LengthDeg, double RadiusNoiseFactor);

/// <summary>The figures of one direction.</summary>
/// <param name="Points">Readings, a whole number, dimensionless.</param>
/// <param name="CircularUm">G: largest less smallest distance from the least-squares centre of this direction, µm.</param>
/// <param name="NarrowestUm">Width of the narrowest ring of two concentric circles about this direction, µm; never more than G about the least-squares centre.</param>
/// <param name="RadiusUm">Radius of the least-squares circle less the nominal radius, µm.</param>
/// <param name="CentreXUm">Least-squares centre of this direction from the centre of the set-up, µm.</param>
/// <param name="CentreYUm">The same along Y, µm.</param>
/// <param name="RadialMaxUm">F: largest deviation from the nominal radius about the common centre, µm.</param>
/// <param name="RadialMinUm">F: smallest deviation from the nominal radius about the common centre, µm.</param>
/// <param name="SquarenessUmPerM">Departure of the two axes from 90°, µm/m; positive where the angle between +X and +Y is below 90°. Null where an arc does not carry it.</param>
/// <param name="ScaleMismatchUmPerM">Scale of X less scale of Y, µm/m; positive where X travels too far against Y. Null where an arc does not carry it.</param>
/// <param name="Arc">The part that was measured; null for a full circle.</param>
/// <param name="SquarenessAbsentBecause">A sentence; null where there is a squareness.</param>
/// <param name="ScaleAbsentBecause">A sentence; null where there is a scale mismatch.</param>
public sealed record CircularPath(
    int Points, double CircularUm, double NarrowestUm, double RadiusUm, double CentreXUm, double CentreYUm, double RadialMaxUm, double RadialMinUm, double? SquarenessUmPerM, double? ScaleMismatchUmPerM,
    CircularArc? Arc, string? SquarenessAbsentBecause, string? ScaleAbsentBecause);

/// <summary>The figures of both directions together; of the one that was measured where it was one. The centre is that of least squares through all readings.</summary>
/// <param name="CentreXUm">Common centre from the centre of the set-up, µm.</param>
/// <param name="CentreYUm">The same along Y, µm.</param>
/// <param name="BidirectionalUm">G(b): largest less smallest distance of both directions from the common centre, µm; null from one direction.</param>
/// <param name="BidirectionalNarrowestUm">Width of the narrowest ring about both directions, µm; null from one direction.</param>
/// <param name="RadialMaxUm">F max: largest deviation from the nominal radius about the common centre, µm.</param>
/// <param name="RadialMinUm">F min: smallest such deviation, µm.</param>
/// <param name="SetUpRadialMaxUm">Largest deviation about the centre of the set-up, as read, µm.</param>
/// <param name="SetUpRadialMinUm">Smallest such deviation, µm.</param>
/// <param name="MeanRadiusUm">D: mean of the radii of both directions less the nominal radius, µm; null from one direction.</param>
/// <param name="SquarenessUmPerM">Mean of both directions, µm/m; positive where the angle between +X and +Y is below 90°. Null where a direction has none.</param>
/// <param name="ScaleMismatchUmPerM">Scale of X less scale of Y, mean of both directions, µm/m. Null where a direction has none.</param>
/// <param name="ScaleMismatchUm">The same over the nominal radius: by so much the radius along X exceeds that along Y, µm. Null where a direction has none.</param>
public sealed record CircularFigures(
    double CentreXUm, double CentreYUm, double? BidirectionalUm, double? BidirectionalNarrowestUm, double RadialMaxUm, double RadialMinUm, double SetUpRadialMaxUm, double SetUpRadialMinUm,
    double? MeanRadiusUm, double? SquarenessUmPerM, double? ScaleMismatchUmPerM, double? ScaleMismatchUm);

/// <summary>A circular test, or the defect that leaves none.</summary>
/// <param name="Clockwise">Null where it was not measured, or with a defect.</param>
/// <param name="CounterClockwise">Null where it was not measured, or with a defect.</param>
/// <param name="Figures">Null with a defect.</param>
/// <param name="Remarks">Sentences about the set-up and the layout. The figures stand all the same.</param>
/// <param name="Defect">What is wrong with the readings, if anything.</param>
/// <param name="DefectSentence">The defect in words, with the numbers; null without one.</param>
public sealed record CircularResult(
    CircularPath? Clockwise, CircularPath? CounterClockwise, CircularFigures? Figures, ImmutableArray<string> Remarks, CircularDefect Defect, string? DefectSentence);
