using System.Collections.Immutable;

namespace BuildTrack.Metrology.Flatness;

/// <summary>A plane z = slopeX·x + slopeY·y + offset with z in micrometres and x, y in metres, in the coordinates of the survey.</summary>
/// <param name="SlopeXUmPerM">Rise along x, µm per metre; finite.</param>
/// <param name="SlopeYUmPerM">Rise along y, µm per metre; finite.</param>
/// <param name="OffsetUm">Height at x = y = 0, µm; finite. Far from the stations this is an extrapolation.</param>
public sealed record PlaneFit(double SlopeXUmPerM, double SlopeYUmPerM, double OffsetUm);

/// <summary>Flatness about the plane of least squared perpendicular distances (ISO 12781-1: FLTt, FLTp, FLTv, FLTq of the LS plane).</summary>
/// <remarks>
/// <para>Method and sources: docs/method/flatness.md. Accurate to rounding: 12 digits, or the digits the input holds if those are fewer.</para>
/// <para>Not to be mistaken for <see cref="MinimumZonePlane"/>, which is never larger.</para>
/// </remarks>
/// <param name="FlatnessUm">Peak plus valley, µm.</param>
/// <param name="PeakUm">Largest deviation above the plane, µm, zero or more.</param>
/// <param name="ValleyUm">Largest deviation below the plane, µm, given as a positive number.</param>
/// <param name="RmsUm">√(Σd²/n), divisor n, µm.</param>
/// <param name="Plane">The plane, in the coordinates of the survey.</param>
/// <param name="DeviationsUm">Signed perpendicular distance of each point, in the order of the input; above is positive.</param>
public sealed record LeastSquaresPlane(
    double FlatnessUm, double PeakUm, double ValleyUm, double RmsUm, PlaneFit Plane, ImmutableArray<double> DeviationsUm);

/// <summary>A point that touches one of the two planes of the minimum zone, with its weight in the proof.</summary>
/// <param name="Index">Index of the point in the input.</param>
/// <param name="Weight">Dimensionless: positive for a high contact, negative for a low one. The positive ones add to 1, the negative ones to −1.</param>
public sealed record ContactPlace(int Index, double Weight);

/// <summary>Flatness deviation: the smallest distance between two parallel planes that hold every point (ISO 1101, ISO 12781-1 MZ).</summary>
/// <remarks>
/// <para>Contacts: the points that fix the zone. While they stand no narrower zone exists. Σc = 0, and Σc·x = Σc·y = 0 in the frame in which
/// heights are taken: the frame of the input for a flat set (heights along z, Σc·z is <paramref name="VerticalUm"/>), the frame of the zone
/// for a bulky set. Where several sets of contacts prove the same zone, the one with the lowest indices is given.</para>
/// <para>Method, proof and limits: docs/method/flatness.md. Exact to rounding (12 digits) where <paramref name="ZoneProved"/>;
/// else FlatnessUm is a width that holds all points, and a narrower one may exist.</para>
/// <para>Not to be mistaken for <see cref="LeastSquaresPlane"/>, which is never smaller. Invariant under tilt, offset and order of points.</para>
/// </remarks>
/// <param name="FlatnessUm">Perpendicular width of the zone, µm.</param>
/// <param name="VerticalUm">Smallest width measured along z, µm; never below the perpendicular one.</param>
/// <param name="Contact">"3-1", "2-2" or "2-1": how many touch on one side and on the other; null where there are none or one on each side.</param>
/// <param name="Contacts">High contacts first, each side by index; empty for three points and for a zone of width zero.</param>
/// <param name="DeviationsUm">Signed perpendicular distance of each point from the mid plane, µm, in the order of the input.</param>
/// <param name="MidPlane">The plane halfway between; null where it stands upright, so that it has no slopes.</param>
/// <param name="ZoneProved">Whether a verdict may rest on the zone.</param>
/// <param name="NotProvedBecause">A sentence where it may not.</param>
public sealed record MinimumZonePlane(
    double FlatnessUm,
    double VerticalUm,
    string? Contact,
    ImmutableArray<ContactPlace> Contacts,
    ImmutableArray<double> DeviationsUm,
    PlaneFit? MidPlane,
    bool ZoneProved,
    string? NotProvedBecause);

/// <summary>Why a set of points has no flatness.</summary>
public enum FlatnessDefect
{
    /// <summary>The points have a flatness.</summary>
    None,

    /// <summary>Fewer than three points.</summary>
    TooFewPoints,

    /// <summary>All points lie on one line, or at one place.</summary>
    Collinear,

    /// <summary>All points lie on one vertical plane: in plan they are on one line, and heights say nothing across it.</summary>
    OneVerticalPlane,
}

/// <summary>Both flatness values of one set of points, or the defect that leaves none.</summary>
/// <param name="Points">How many points were given.</param>
/// <param name="LeastSquares">Null with a defect, and where no single plane is best.</param>
/// <param name="LeastSquaresAbsentBecause">A sentence where <paramref name="LeastSquares"/> is null.</param>
/// <param name="MinimumZone">Null with a defect.</param>
/// <param name="Defect">What is wrong with the points, if anything.</param>
/// <param name="DefectSentence">The defect in words, with numbers; null without one.</param>
public sealed record FlatnessResult(
    int Points,
    LeastSquaresPlane? LeastSquares,
    string? LeastSquaresAbsentBecause,
    MinimumZonePlane? MinimumZone,
    FlatnessDefect Defect,
    string? DefectSentence);
