using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Straightness;

/// <summary>The line from which deviations are counted.</summary>
public enum LineReference
{
    /// <summary>Through the first and the last station.</summary>
    EndPoint,

    /// <summary>Of least squared heights.</summary>
    LeastSquares,

    /// <summary>Along the narrowest zone that holds every station, along the height.</summary>
    MinimumZone,
}

/// <summary>The worst stretch of a line, judged alone: by the line through its own two ends, or by another where that was asked.</summary>
/// <param name="LengthMm">Length of the window as asked, mm.</param>
/// <param name="ValueUm">Largest straightness of a window about its own reference line, µm.</param>
/// <param name="FromMm">Position of the first station of that window, mm; the lowest position on ties.</param>
/// <param name="ToMm">Position of its last station, mm.</param>
/// <param name="Complete">False where some window held fewer than three stations and could not be judged.</param>
public sealed record WorstLocal(double LengthMm, double ValueUm, double FromMm, double ToMm, bool Complete);

/// <summary>Straightness of one line of stations about three reference lines; all along the height, but for the perpendicular zone.</summary>
/// <remarks>Method, sources and limits: docs/method/straightness.md. Always: minimum zone ≤ least squares and ≤ end-point.</remarks>
/// <param name="EndPointUm">Largest minus smallest deviation from the line through the first and the last station, µm.</param>
/// <param name="LeastSquaresUm">The same from the line of least squared heights, µm (ISO 12780-1: STRt of the LS line).</param>
/// <param name="MinimumZoneUm">Smallest width along the height of two parallel lines that hold every station, µm.</param>
/// <param name="PerpendicularMinimumZoneUm">Smallest width across two parallel lines that hold every station, in any direction, µm.</param>
/// <param name="SlopeUmPerM">Slope of the line of least squares, µm/m.</param>
/// <param name="EndPointSlopeUmPerM">Slope of the line through both ends, µm/m.</param>
/// <param name="MinimumZoneSlopeUmPerM">Slope of the narrowest zone along the height, µm/m; where several zones are as narrow, that of the first edge found; of least squares for a zone of zero.</param>
/// <param name="EndPointDeviationsUm">Signed deviation of each station, in the order of the input; above is positive; µm.</param>
/// <param name="LeastSquaresDeviationsUm">The same about the line of least squares, µm.</param>
/// <param name="Contacts">Two stations on one side and one between them on the other, high ones first; empty for a zone of zero.
/// Σc = Σcx = 0 and Σcz is the vertical minimum zone.</param>
/// <param name="WorstLocal">Null where no window holds three stations.</param>
public sealed record StraightnessValues(
    double EndPointUm,
    double LeastSquaresUm,
    double MinimumZoneUm,
    double PerpendicularMinimumZoneUm,
    double SlopeUmPerM,
    double EndPointSlopeUmPerM,
    double MinimumZoneSlopeUmPerM,
    ImmutableArray<double> EndPointDeviationsUm,
    ImmutableArray<double> LeastSquaresDeviationsUm,
    ImmutableArray<ContactPlace> Contacts,
    WorstLocal? WorstLocal);

/// <summary>Why stations have no straightness.</summary>
public enum StraightnessDefect
{
    /// <summary>They have one.</summary>
    None,

    /// <summary>Fewer than three: any two lie on a line.</summary>
    TooFewStations,

    /// <summary>Two stations less than a micrometre apart.</summary>
    StationsTooNear,
}

/// <summary>Straightness of a set of stations, or the defect that leaves none.</summary>
/// <param name="Stations">How many were given.</param>
/// <param name="Values">Null with a defect.</param>
/// <param name="Defect">What is wrong with the stations, if anything.</param>
/// <param name="DefectSentence">The defect in words, with numbers; null without one.</param>
public sealed record StraightnessResult(int Stations, StraightnessValues? Values, StraightnessDefect Defect, string? DefectSentence);
