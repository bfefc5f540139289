using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>What the plane of the mill is chosen for.</summary>
public enum RemillGoal
{
    /// <summary>The deepest cut is as small as it can be: the minimum zone.</summary>
    SmallestDeepestCut,

    /// <summary>The pad that comes nearest its minimum thickness keeps as much as it can.</summary>
    LargestMargin,

    /// <summary>The depths of all pads together are least.</summary>
    LeastMetal,
}

/// <summary>A pad that may be milled.</summary>
/// <param name="Name">Its name; once.</param>
/// <param name="XMm">Along X, mm.</param>
/// <param name="YMm">Across, mm.</param>
/// <param name="HeightUm">Measured height, µm.</param>
/// <param name="ThicknessUm">Thickness now, µm; null where it was not measured.</param>
/// <param name="MinimumUm">Least thickness by the drawing, µm; null where there is none.</param>
public sealed record RemillPad(string Name, double XMm, double YMm, double HeightUm, double? ThicknessUm = null, double? MinimumUm = null);

/// <summary>How far the milled plane may be tilted against the frame in which the heights were measured.</summary>
/// <param name="FootTravelMm">How far each corner foot can rise and fall to level the bed again, mm; null without a bound.</param>
/// <param name="FeetLengthMm">Distance of the corner feet along X, mm; null: extent of the pads.</param>
/// <param name="FeetWidthMm">Distance of the corner feet across, mm; null: extent of the pads.</param>
/// <param name="LeastAcrossUmPerM">Smallest slope across that the height of rail over rack allows, µm/m; null without a bound.</param>
/// <param name="LargestAcrossUmPerM">Largest slope across, µm/m; null without a bound.</param>
/// <param name="LeastAlongUmPerM">Smallest slope along X, µm/m; null without a bound.</param>
/// <param name="LargestAlongUmPerM">Largest slope along X, µm/m; null without a bound.</param>
public sealed record RemillTilt(
    double? FootTravelMm = null, double? FeetLengthMm = null, double? FeetWidthMm = null,
    double? LeastAcrossUmPerM = null, double? LargestAcrossUmPerM = null, double? LeastAlongUmPerM = null, double? LargestAlongUmPerM = null);

/// <summary>What is asked of the mill.</summary>
/// <param name="Goal">What the plane is chosen for.</param>
/// <param name="CleanUpUm">Least depth that cleans a pad, µm.</param>
/// <param name="SetUpUm">Error with which that mill takes up the bed, µm; added to the clean-up.</param>
/// <param name="Tilt">Bounds of the tilt; null without any.</param>
/// <param name="PadAreaMm2">Area of one pad, square mm; null where the metal is not asked for.</param>
/// <param name="SlotHours">Hours of the mill for a bed of this class; passed on; unit h.</param>
public sealed record RemillRequest(
    RemillGoal Goal = RemillGoal.SmallestDeepestCut, double CleanUpUm = RemillPlane.UsualCleanUpUm, double SetUpUm = 0, RemillTilt? Tilt = null,
    double? PadAreaMm2 = null, double? SlotHours = null);

/// <summary>How a pad stands to its minimum.</summary>
public enum PadStanding
{
    /// <summary>Enough is left.</summary>
    Allowed,

    /// <summary>No thickness or no minimum was given.</summary>
    NotKnown,

    /// <summary>The cut would take it below its minimum.</summary>
    BelowAfterCut,

    /// <summary>It is below its minimum before any cut.</summary>
    BelowNow,
}

/// <summary>The cut at one pad.</summary>
/// <param name="Name">Its name.</param>
/// <param name="DepthUm">Depth of the cut, µm.</param>
/// <param name="HeightAfterUm">Height of the milled plane there, in the frame of the survey, µm.</param>
/// <param name="LeftUm">Thickness left, µm; null where the thickness was not given.</param>
/// <param name="MarginUm">Thickness left less minimum, µm; null where one of them was not given.</param>
/// <param name="Standing">Whether it may be cut.</param>
public sealed record PadCut(string Name, double DepthUm, double HeightAfterUm, double? LeftUm, double? MarginUm, PadStanding Standing);

/// <summary>A pad or a bound that holds the plane where it is.</summary>
/// <param name="Name">Name of the pad, or words for the bound.</param>
/// <param name="Side">"deepest" and "cleaned" for pads, "bound" for the tilt.</param>
/// <param name="Weight">Multiplier in the proof, dimensionless for pads: how much the aim would grow with a micrometre more there.</param>
public sealed record RemillHold(string Name, string Side, double Weight);

/// <summary>Why a plane may not be milled.</summary>
public enum RemillRefusal
{
    /// <summary>It may.</summary>
    None,

    /// <summary>The pads decide no plane.</summary>
    NoPlane,

    /// <summary>The bounds of the tilt contradict each other.</summary>
    NoTilt,

    /// <summary>A pad is below its minimum before any cut.</summary>
    PadBelowMinimumNow,

    /// <summary>The cut would take a pad below its minimum.</summary>
    PadBelowMinimumAfter,
}

/// <summary>The plane to be milled, the depth at each pad, and what is left.</summary>
/// <param name="Goal">What the plane was chosen for.</param>
/// <param name="Plane">The milled plane in the frame of the survey; null without one.</param>
/// <param name="Pads">In the order given; empty without a plane.</param>
/// <param name="DeepestUm">Deepest cut, µm.</param>
/// <param name="DeepestAt">Name of the pad of the deepest cut.</param>
/// <param name="TiltCostUm">How much of the deepest cut is due to the bounds of the tilt or to another goal than the smallest deepest cut, µm.</param>
/// <param name="DepthSumUm">Depths of all pads added, µm.</param>
/// <param name="MetalMm3">Depths times area, cubic mm; null without an area.</param>
/// <param name="ThinnestAt">Name of the pad that is thinnest now; null without thicknesses.</param>
/// <param name="ThinnestUm">Its thickness now, µm.</param>
/// <param name="ThinnestLessDeepestUm">Its thickness less the deepest cut, µm: what is left there whichever plane of that depth is cut.</param>
/// <param name="LeastMarginUm">Least margin over the minimum after the cut, µm.</param>
/// <param name="LeastMarginAt">Name of the pad with that margin.</param>
/// <param name="LargestMarginUm">The least margin under the plane that is best for it, µm: below zero no plane will do.</param>
/// <param name="FootMoveUm">Largest rise or fall of a corner foot that levels the new plane again, µm.</param>
/// <param name="HeldBy">Pads and bounds that prove the aim to be least.</param>
/// <param name="Before">Flatness before.</param>
/// <param name="After">Flatness of a perfect cut; what the mill adds of its own is not in it.</param>
/// <param name="SlotHours">As asked, unit h.</param>
/// <param name="Refusal">Why the plane may not be milled.</param>
/// <param name="RefusalSentence">The same in words with names and numbers; null without a refusal.</param>
public sealed record RemillResult(
    RemillGoal Goal, PlaneFit? Plane, ImmutableArray<PadCut> Pads, double DeepestUm, string? DeepestAt, double TiltCostUm, double DepthSumUm, double? MetalMm3,
    string? ThinnestAt, double? ThinnestUm, double? ThinnestLessDeepestUm, double? LeastMarginUm, string? LeastMarginAt, double? LargestMarginUm,
    double FootMoveUm, ImmutableArray<RemillHold> HeldBy, BedForm? Before, BedForm? After, double? SlotHours, RemillRefusal Refusal, string? RefusalSentence);
