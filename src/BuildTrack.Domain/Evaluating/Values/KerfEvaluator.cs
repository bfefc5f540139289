using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Kerf of the samples along X against along Y: one tool offset serves both only where the cut is as wide in both.</summary>
/// <remarks>Method: docs/method/commissioning.md, section 8. The worst sample decides; what the gauge is off by as a whole goes out of a difference.</remarks>
public sealed class KerfEvaluator : IEvaluator, IPlanned
{
    // A cut wider than this is a slot.
    private const double WidestUm = 10_000;

    public string Kind => "kerf";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("along-x", ["length"], [PlaceKind.Whole]), new EvaluatorSource("along-y", ["length"], [PlaceKind.Whole])];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: kerf needs an upper limit.")).Calculated;
        var (x, y) = (MeasuredValues.Of(input, "along-x"), MeasuredValues.Of(input, "along-y"));
        if (MeasuredValues.Lacking(input, "µm", x, y) is { } lacking)
        {
            return lacking;
        }

        if (x.Values.Concat(y.Values).FirstOrDefault(v => v.Mean is not (> 0 and <= WidestUm)) is { } wrong)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "µm", FormattableString.Invariant($"{wrong.Label}: found a kerf of {wrong.Mean / 1000:0.###} mm, expected a width above 0, at most {WidestUm / 1000:0} mm"),
                new NextAction(NextKind.Record, $"Correct the kerf of {wrong.Label} in survey {wrong.Source.Survey}.", []));
        }

        var pairs = x.Values.Select(v => (X: v, Y: y.At(v.Label))).ToArray();
        return WorstValue.Of(
            input,
            [
                .. pairs.Select(p => new Candidate(
                    p.X.Label, "kerf along X against along Y", Math.Abs(p.X.Mean - p.Y.Mean), [.. p.X.Passes.Zip(p.Y.Passes, (a, b) => Math.Abs(a - b))], [.. p.X.Source.CountedPasses], limit, true,
                    DifferenceEvaluator.View(input, p.X, p.Y))),
            ],
            "µm", pairs[0].X.Source.Survey, [.. pairs.Select(p => new Figure($"tool offset of {p.X.Label}, half the mean kerf", (p.X.Mean + p.Y.Mean) / 4, "µm"))], signed: false,
            noAgain: "centre the nozzle, look at the symmetry of the focus, record that work, and cut the sample again");
    }

    // As wide as a cut is at most; U of a gauge grows with a length, if at all.
    double IPlanned.StandIn(string source, MachineModel model, Requirement requirement) => 1000;

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var (x, y) = (MeasuredValues.Of(input, "along-x").Values, MeasuredValues.Of(input, "along-y").Values);
        return PlannedParts.OfUnsigned(x[0].Source.PassesPlanned, DifferenceEvaluator.View(input, x[0], y[0]), x.Length);
    }
}
