using System.Collections.Immutable;

namespace BuildTrack.Metrology.Positioning;

/// <summary>From which side a target is approached.</summary>
public enum Approach
{
    /// <summary>Moving towards larger positions: ↑ of the standard, + in tables.</summary>
    Forward,

    /// <summary>Moving towards smaller positions: ↓ of the standard, − in tables.</summary>
    Backward,
}

/// <summary>One reading of a positioning test.</summary>
/// <param name="TargetMm">Commanded position, mm.</param>
/// <param name="Run">Number of the run within its direction, from 1.</param>
/// <param name="Approach">From which side the target was approached.</param>
/// <param name="DeviationUm">Actual position less target, µm.</param>
public readonly record struct PositioningReading(double TargetMm, int Run, Approach Approach, double DeviationUm);

/// <summary>Why readings give no positioning figures.</summary>
public enum PositioningDefect
{
    /// <summary>They give figures.</summary>
    None,

    /// <summary>Fewer than two targets: every figure of an axis is a range over targets.</summary>
    TooFewTargets,

    /// <summary>The same run twice at one target in one direction.</summary>
    RepeatedReading,

    /// <summary>A target has no reading of a run or of a direction that other targets have.</summary>
    MissingReading,

    /// <summary>The two directions have different numbers of runs.</summary>
    UnequalRuns,
}

/// <summary>The figures of one target. Null where they were not measured, or where one run leaves no spread; all finite, all in µm but the target.</summary>
/// <param name="TargetMm">Commanded position, mm.</param>
/// <param name="MeanForwardUm">Mean deviation approached forward, µm.</param>
/// <param name="MeanBackwardUm">Mean deviation approached backward, µm.</param>
/// <param name="MeanUm">Mean of the two means, µm.</param>
/// <param name="ReversalUm">B_i: forward mean less backward mean, signed, µm.</param>
/// <param name="StandardDeviationForwardUm">s with divisor n − 1, forward, µm.</param>
/// <param name="StandardDeviationBackwardUm">s with divisor n − 1, backward, µm.</param>
/// <param name="RepeatabilityForwardUm">4 s forward, µm.</param>
/// <param name="RepeatabilityBackwardUm">4 s backward, µm.</param>
/// <param name="RepeatabilityUm">R_i: the largest of 2 s↑ + 2 s↓ + |B_i|, 4 s↑ and 4 s↓, µm.</param>
public sealed record PositioningTarget(
    double TargetMm,
    double? MeanForwardUm,
    double? MeanBackwardUm,
    double? MeanUm,
    double? ReversalUm,
    double? StandardDeviationForwardUm,
    double? StandardDeviationBackwardUm,
    double? RepeatabilityForwardUm,
    double? RepeatabilityBackwardUm,
    double? RepeatabilityUm);

/// <summary>The figures of an axis after ISO 230-2, all in µm, finite; null where <see cref="PositioningResult"/> says why.</summary>
/// <remarks>Accuracy A is the width of a band, not half of it: "± A" is wrong by a factor of two.</remarks>
/// <param name="ReversalUm">B: largest |B_i|, µm.</param>
/// <param name="MeanReversalUm">Mean of B_i, signed, µm.</param>
/// <param name="RepeatabilityForwardUm">R↑: largest 4 s↑, µm.</param>
/// <param name="RepeatabilityBackwardUm">R↓: largest 4 s↓, µm.</param>
/// <param name="RepeatabilityUm">R: largest R_i, µm; in general more than the larger of R↑ and R↓.</param>
/// <param name="SystematicForwardUm">E↑: range of the forward means, µm.</param>
/// <param name="SystematicBackwardUm">E↓: range of the backward means, µm.</param>
/// <param name="SystematicUm">E: range of all means of both directions together, µm.</param>
/// <param name="MeanRangeUm">M: range of the means of both directions, µm.</param>
/// <param name="AccuracyForwardUm">A↑: largest mean + 2 s less smallest mean − 2 s, forward, µm.</param>
/// <param name="AccuracyBackwardUm">A↓: the same backward, µm.</param>
/// <param name="AccuracyUm">A: the same over both directions together, µm.</param>
public sealed record PositioningFigures(
    double? ReversalUm,
    double? MeanReversalUm,
    double? RepeatabilityForwardUm,
    double? RepeatabilityBackwardUm,
    double? RepeatabilityUm,
    double? SystematicForwardUm,
    double? SystematicBackwardUm,
    double? SystematicUm,
    double? MeanRangeUm,
    double? AccuracyForwardUm,
    double? AccuracyBackwardUm,
    double? AccuracyUm);

/// <summary>The positioning of one axis, or the defect that leaves none.</summary>
/// <param name="Runs">Runs in each measured direction; 0 with a defect.</param>
/// <param name="Targets">By position; empty with a defect.</param>
/// <param name="Figures">Null with a defect.</param>
/// <param name="SpreadAbsentBecause">Why there is no s, R and A: a sentence, or null where there is.</param>
/// <param name="MissingApproach">The direction that was not measured at any target; null where both were.</param>
/// <param name="Remarks">Sentences: where the layout of the test is not that of the standard. The figures stand all the same.</param>
/// <param name="Defect">What is wrong with the readings, if anything.</param>
/// <param name="DefectSentence">The defect in words; null without one.</param>
public sealed record PositioningResult(
    int Runs,
    ImmutableArray<PositioningTarget> Targets,
    PositioningFigures? Figures,
    string? SpreadAbsentBecause,
    Approach? MissingApproach,
    ImmutableArray<string> Remarks,
    PositioningDefect Defect,
    string? DefectSentence);

/// <summary>A figure of an axis that a limit is set for.</summary>
public enum PositioningFigure
{
    /// <summary>A: bi-directional accuracy.</summary>
    AccuracyA,

    /// <summary>E: bi-directional systematic deviation.</summary>
    SystematicE,

    /// <summary>R: bi-directional repeatability.</summary>
    RepeatabilityR,

    /// <summary>B: reversal value.</summary>
    ReversalB,

    /// <summary>M: range of the means of both directions.</summary>
    MeanRangeM,
}
