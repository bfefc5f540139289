using System.Collections.Immutable;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Metrology.RailPair;

/// <summary>The largest change of cross-level within a stretch of a given length.</summary>
/// <param name="LengthMm">Length of the stretch as asked, mm.</param>
/// <param name="UmPerM">Largest less smallest cross-level in the worst stretch, µm/m.</param>
/// <param name="FromMm">Position of its first station, mm; the lowest position on ties.</param>
/// <param name="ToMm">Position of its last station, mm.</param>
/// <param name="Complete">False where some stretch held one station only and could not be judged.</param>
public sealed record LocalTwist(double LengthMm, double UmPerM, double FromMm, double ToMm, bool Complete);

/// <summary>Cross-level of two rails: height of R2 less height of R1, over the gauge.</summary>
/// <param name="HeightDifferencesUm">R2 less R1 at each station in the order of the input, µm.</param>
/// <param name="LargestHeightDifferenceUm">Largest of them without its sign, µm.</param>
/// <param name="CrossLevelsUmPerM">Cross-level at each station in the order of the input, µm/m; positive where R2 is higher.</param>
/// <param name="MeanUmPerM">Mean cross-level, signed: how the pair leans, µm/m.</param>
/// <param name="DeviationUmPerM">Largest distance of a station from the mean, µm/m.</param>
/// <param name="DeviationAtMm">Position of that station, mm; the lowest on ties.</param>
/// <param name="TwistUmPerM">Largest less smallest cross-level, µm/m.</param>
/// <param name="EndTwistUmPerM">Cross-level of the last station less that of the first, signed, µm/m.</param>
/// <param name="LocalTwist">Null where no stretch holds two stations.</param>
public sealed record CrossLevel(
    ImmutableArray<double> HeightDifferencesUm, double LargestHeightDifferenceUm, ImmutableArray<double> CrossLevelsUmPerM, double MeanUmPerM,
    double DeviationUmPerM, double DeviationAtMm, double TwistUmPerM, double EndTwistUmPerM, LocalTwist? LocalTwist);

/// <summary>Largest less smallest height of R2 over the direction of R1, which is that of a reference line of R1; all in µm.</summary>
/// <param name="EndPointUm">About the line through both ends of R1, µm.</param>
/// <param name="LeastSquaresUm">About the line of least squares of R1, µm.</param>
/// <param name="MinimumZoneUm">About the direction of the narrowest zone of R1, µm.</param>
/// <param name="EndPointDirectionUmPerM">End-point slope of R2 less that of R1, µm/m.</param>
/// <param name="LeastSquaresDirectionUmPerM">Least-squares slope of R2 less that of R1, µm/m.</param>
public sealed record Parallelism(double EndPointUm, double LeastSquaresUm, double MinimumZoneUm, double EndPointDirectionUmPerM, double LeastSquaresDirectionUmPerM);

/// <summary>Variation of the distance of both rails.</summary>
/// <param name="VariationUm">Largest less smallest, µm.</param>
/// <param name="SlopeUmPerM">Slope of the line of least squares through it, µm/m; positive where the rails go apart toward +X.</param>
public sealed record GaugeVariation(double VariationUm, double SlopeUmPerM);

/// <summary>What is said of a pair of rails.</summary>
/// <param name="R1">Straightness of R1.</param>
/// <param name="R2">Straightness of R2.</param>
/// <param name="CrossLevel">From the heights of both.</param>
/// <param name="LevelAlongUmPerM">Larger of the end-point slopes of both rails without its sign, µm/m.</param>
/// <param name="Parallelism">Of R2 to R1, in height.</param>
/// <param name="Gauge">Null where no gauge was read.</param>
public sealed record RailPairValues(StraightnessValues R1, StraightnessValues R2, CrossLevel CrossLevel, double LevelAlongUmPerM, Parallelism Parallelism, GaugeVariation? Gauge);

/// <summary>A pair of rails, or the defect of its stations.</summary>
/// <param name="Stations">How many were given, a whole number, dimensionless.</param>
/// <param name="Values">Null with a defect.</param>
/// <param name="Defect">What is wrong with the stations, if anything.</param>
/// <param name="DefectSentence">The defect in words, with numbers; null without one.</param>
public sealed record RailPairResult(int Stations, RailPairValues? Values, StraightnessDefect Defect, string? DefectSentence);
