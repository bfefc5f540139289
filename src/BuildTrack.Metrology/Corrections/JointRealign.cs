using System.Collections.Immutable;
using BuildTrack.Metrology.Joints;

namespace BuildTrack.Metrology.Corrections;

/// <summary>What is done at one joint of rail segments.</summary>
public enum JointAdvice
{
    /// <summary>The step is within its limit in every run.</summary>
    Leave,

    /// <summary>The later segment is set again by the amount.</summary>
    Realign,

    /// <summary>The runs differ by so much that no amount brings them all within the limit.</summary>
    MeasureAgain,
}

/// <summary>A joint and what is done there.</summary>
/// <param name="Joint">Its name.</param>
/// <param name="StepUm">Mean step now, µm; positive where the later segment is higher.</param>
/// <param name="MoveUm">How far the later segment is moved, µm; zero where it is left.</param>
/// <param name="PredictedLargestUm">Largest size of a step in any run afterwards, µm.</param>
/// <param name="Advice">What is done.</param>
/// <param name="Sentence">The advice in words, with numbers.</param>
public sealed record JointMove(string Joint, double StepUm, double MoveUm, double PredictedLargestUm, JointAdvice Advice, string Sentence);

/// <summary>Segments of a rail that are set again after the step at their joint; the running face is never ground.</summary>
/// <remarks>Rules: docs/method/corrections.md; steps: docs/method/joints.md.</remarks>
public static class JointRealign
{
    /// <summary>Calculates; joints in the order in which they were read first.</summary>
    /// <param name="readings">Steps of one or more runs.</param>
    /// <param name="limitUm">Limit of a step, µm, above zero.</param>
    /// <exception cref="ArgumentException">As for <see cref="JointCalculation.Steps"/>; a limit that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">As for <see cref="JointCalculation.Steps"/>; a limit not above zero.</exception>
    public static ImmutableArray<JointMove> Of(IReadOnlyList<StepReading> readings, double limitUm)
    {
        Guard.FinitePositive(limitUm, nameof(limitUm));
        var steps = JointCalculation.Steps(readings);
        return [.. steps.Joints.Select(j => Move(j, readings.Where(r => r.Joint == j.Joint), limitUm))];
    }

    private static JointMove Move(JointStep joint, IEnumerable<StepReading> readings, double limit)
    {
        if (joint.LargestUm <= limit)
            return new JointMove(joint.Joint, joint.MeanUm, 0, joint.LargestUm, JointAdvice.Leave,
                $"The step is {BedForm.Mm(joint.LargestUm)} at most, within {BedForm.Mm(limit)}.");
        var left = readings.Max(r => Math.Abs(r.StepUm - joint.MeanUm));
        return left > limit
            ? new JointMove(joint.Joint, joint.MeanUm, 0, joint.LargestUm, JointAdvice.MeasureAgain,
                $"The runs differ by {BedForm.Mm(joint.RangeUm)}: no move brings them all within {BedForm.Mm(limit)}. Measure again.")
            : new JointMove(joint.Joint, joint.MeanUm, -joint.MeanUm, left, JointAdvice.Realign,
                $"Set the later segment {BedForm.Mm(Math.Abs(joint.MeanUm))} {(joint.MeanUm > 0 ? "lower" : "higher")}; do not grind the running face.");
    }
}
