using System.Collections.Immutable;

namespace BuildTrack.Metrology.Joints;

/// <summary>One reading over a joint of two rail segments.</summary>
/// <param name="Joint">Name of the joint.</param>
/// <param name="Run">Number of the run, from 1.</param>
/// <param name="StepUm">Height behind the joint less height before it, toward +X, µm.</param>
public readonly record struct StepReading(string Joint, int Run, double StepUm);

/// <summary>A joint of two rail segments.</summary>
/// <param name="Joint">Its name.</param>
/// <param name="Runs">How many runs, a whole number, dimensionless.</param>
/// <param name="MeanUm">Mean step, signed: positive where the later segment is higher, µm.</param>
/// <param name="LargestUm">Largest size of a step in any run, µm.</param>
/// <param name="RangeUm">Largest less smallest step of the runs, µm: how well they agree.</param>
public sealed record JointStep(string Joint, int Runs, double MeanUm, double LargestUm, double RangeUm);

/// <summary>Steps of all joints.</summary>
/// <param name="Joints">In the order of their first reading.</param>
/// <param name="LargestUm">Largest size of a step in any run at any joint, µm.</param>
/// <param name="LargestAt">Name of that joint; the first on ties.</param>
public sealed record JointSteps(ImmutableArray<JointStep> Joints, double LargestUm, string LargestAt);

/// <summary>One height of the roller near a joint of two racks.</summary>
/// <param name="Joint">Name of the joint.</param>
/// <param name="Space">Tooth space: 0 at the joint, −1, −2 … before it, 1, 2 … behind it.</param>
/// <param name="HeightUm">Height of the roller, µm, from any zero; upward out of the teeth.</param>
public readonly record struct RollerReading(string Joint, int Space, double HeightUm);

/// <summary>Pitch at a joint of two racks.</summary>
/// <param name="Joint">Its name.</param>
/// <param name="SpacesEachSide">How many tooth spaces on each side, a whole number, dimensionless.</param>
/// <param name="HeightUm">Height of the roller at the joint less mean height of its neighbours, µm.</param>
/// <param name="PitchErrorUm">Pitch over the joint less nominal pitch, along the rack, µm; positive where the gap is too wide and the roller sinks.</param>
/// <param name="StepUm">Mean height of the neighbours behind the joint less that before it, µm: how the racks differ in height.</param>
public sealed record RackJoint(string Joint, int SpacesEachSide, double HeightUm, double PitchErrorUm, double StepUm);

/// <summary>Why roller heights give no pitch.</summary>
public enum RackJointDefect
{
    /// <summary>They give one.</summary>
    None,

    /// <summary>No reading at all.</summary>
    Empty,

    /// <summary>A joint has no height in the space at the joint itself.</summary>
    NoJointSpace,

    /// <summary>A joint has none beside it, or not the same spaces before and behind: a tilt of the rack would pass for a pitch error.</summary>
    Lopsided,

    /// <summary>A space stands twice at one joint.</summary>
    RepeatedSpace,
}

/// <summary>Pitches over joints of racks, or the defect that leaves none.</summary>
/// <param name="Joints">In the order of their first reading; empty with a defect.</param>
/// <param name="FactorUmPerUm">Pitch error over fall of the roller, 2 tan α / cos β, dimensionless; 0 with a defect.</param>
/// <param name="LargestUm">Largest size of a pitch error, µm; 0 with a defect.</param>
/// <param name="LargestAt">Name of that joint; null with a defect.</param>
/// <param name="Defect">What is wrong with the readings, if anything.</param>
/// <param name="DefectSentence">The defect in words; null without one.</param>
public sealed record RackJoints(
    ImmutableArray<RackJoint> Joints, double FactorUmPerUm, double LargestUm, string? LargestAt, RackJointDefect Defect, string? DefectSentence);
