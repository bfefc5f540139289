using System.Collections.Immutable;
using BuildTrack.Metrology.Joints;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Pitch over the joints of the racks, from the heights of a roller in the tooth spaces at a joint and beside it; the worst joint decides.</summary>
/// <remarks>Method: docs/method/joints.md. The reference names the teeth: 20° straight, or 20° with a helix of 19°31′42″.</remarks>
public sealed class RackJointsEvaluator : IEvaluator
{
    private const double PressureDegrees = 20, HelixDegrees = 19 + (31.0 / 60) + (42.0 / 3600);
    private const string Helical = "helical-20";

    // Source by tooth space: 0 at the joint, three before it and three behind it.
    private static readonly ImmutableArray<(string Name, int Space)> Spaces =
        [("before-3", -3), ("before-2", -2), ("before-1", -1), ("joint", 0), ("behind-1", 1), ("behind-2", 2), ("behind-3", 3)];

    public string Kind => "rack-joints";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [.. Spaces.Select(s => new EvaluatorSource(s.Name, ["indicator"]))];

    public ImmutableArray<string> References { get; } = ["straight-20", Helical];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: rack-joints needs an upper limit.")).Calculated;
        var heights = Spaces.Select(s => MeasuredValues.Of(input, s.Name)).ToArray();
        if (MeasuredValues.Lacking(input, "µm", heights) is { } lacking)
        {
            return lacking;
        }

        var source = heights[0].Values[0].Source;
        if (heights.SelectMany(h => h.Values).FirstOrDefault(v => Math.Abs(v.Mean) > JointCalculation.LargestNumber) is { } wrong)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "µm", FormattableString.Invariant($"{wrong.Label}: found {wrong.Mean / 1000:0.###} mm, expected a height of a roller within ±{JointCalculation.LargestNumber / 1000:0} mm"),
                new NextAction(NextKind.Record, $"Correct the readings of survey {source.Survey}.", []));
        }

        var found = JointCalculation.Racks(
            [.. heights.SelectMany((h, i) => h.Values.Select(v => new RollerReading(v.Label, Spaces[i].Space, v.Mean)))], PressureDegrees, input.Reference == Helical ? HelixDegrees : 0);

        // The height at the joint less the mean of six: one reading and a sixth of one; what the indicator is off by as a whole goes out.
        var view = WorstValue.View(input, source, 0);
        var ofPitch = view.Of(found.FactorUmPerUm * view.Sigma * Math.Sqrt(1 + (1.0 / (Spaces.Length - 1))), found.FactorUmPerUm * view.Digit);
        var result = WorstValue.Of(
            input, [.. found.Joints.Select(j => new Candidate(j.Joint, "pitch over the joint", Math.Abs(j.PitchErrorUm), [], [], limit, true, ofPitch))], "µm", source.Survey,
            [
                new Figure("widest joint", found.Joints.Max(j => j.PitchErrorUm), "µm"), new Figure("tightest joint", found.Joints.Min(j => j.PitchErrorUm), "µm"),
                new Figure("largest step of height between two racks", found.Joints.Max(j => Math.Abs(j.StepUm)), "µm"),
            ],
            signed: false, noAgain: "set the later rack anew with the counter-rack, and measure that joint and the next one",
            rework: joint => $"Loosen the later rack at {joint}, set it anew with the counter-rack, torque it, and measure all joints of that side anew.");
        return result with { Deviations = [.. found.Joints.Select(j => new Deviation(j.Joint, j.PitchErrorUm))] };
    }
}
