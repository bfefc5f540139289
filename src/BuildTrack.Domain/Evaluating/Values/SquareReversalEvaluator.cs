using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Squareness;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Squareness of the gantry by a square whose blade stands along Y, once as it lies and once turned over: its own error goes out.</summary>
/// <remarks>Method: docs/method/squareness.md, section 2, with the indicator kept. Each reading is the change of the indicator over the same length of the blade.</remarks>
public sealed class SquareReversalEvaluator : IEvaluator
{
    // Shorter, an indicator says nothing of an axis; longer squares are not made.
    private const double ShortestMm = 100, LongestMm = 2000;

    public const string Name = "square-reversal";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        new EvaluatorSource("first", ["indicator"], [PlaceKind.Whole]), new EvaluatorSource("second", ["indicator"], [PlaceKind.Whole]),
        new EvaluatorSource("blade", ["length"], [PlaceKind.Whole]),
    ];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm/m";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: square-reversal needs an upper limit.");
        var (first, second, blade) = (MeasuredValues.Of(input, "first"), MeasuredValues.Of(input, "second"), MeasuredValues.Of(input, "blade"));
        if (MeasuredValues.Lacking(input, "µm/m", first, second, blade) is { } lacking)
        {
            return lacking;
        }

        var source = first.Values[0].Source;
        if (Of(input, first, second, blade) is not { } found)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "µm/m", Refusal(blade), new NextAction(NextKind.Record, $"Correct the figures of survey {source.Survey}.", []));
        }

        return WorstValue.Of(
            input, [new Candidate("whole", "departure from square", Math.Abs(found.Angle), [], [.. source.CountedPasses], limit.Calculated, true, found.View)], "µm/m", source.Survey,
            [new Figure(DiagonalsEvaluator.AngleFigure, found.Angle, "µm/m"), new Figure("error of the square itself", found.Square, "µm/m")], signed: false,
            noAgain: "set the drive offset anew, or put the square up again and measure both ways anew");
    }

    /// <summary>Angle and square's error in µm/m with the view of the angle; null where the figures cannot be.</summary>
    internal static (double Angle, double Square, RegisterView View)? Of(EvaluationInput input, MeasuredValues first, MeasuredValues second, MeasuredValues blade)
    {
        var lengthMm = blade.Values[0].Mean / 1000;
        var (one, other) = (first.Values[0].Mean / 1000, second.Values[0].Mean / 1000);
        var largest = SquarenessCalculation.LargestAngleUmPerM * lengthMm / 1e6;
        if (!(lengthMm is >= ShortestMm and <= LongestMm && Math.Abs(one) <= largest && Math.Abs(other) <= largest))
        {
            return null;
        }

        // The half sum of two readings, over the length: each holds half of the angle, and each may be rounded the same way.
        var of = SquarenessCalculation.OfReversal(one, other, lengthMm, IndicatorSense.Kept);
        var view = WorstValue.View(input, first.Values[0].Source, 0);
        return (of.Angle.AngleUmPerM, of.SquareUmPerM, view.Of(view.Sigma / Math.Sqrt(2) / (lengthMm / 1000), view.Common / (lengthMm / 1000)));
    }

    internal static string Refusal(MeasuredValues blade) => FormattableString.Invariant(
        $"found a blade of {blade.Values[0].Mean / 1000:0.#} mm, expected {ShortestMm:0} to {LongestMm:0} mm with readings of at most {SquarenessCalculation.LargestAngleUmPerM / 1000:0} mm for each metre of it");
}

/// <summary>Whether diagonals and turned square agree on the squareness: their difference over its own U, the number E_n.</summary>
/// <remarks>Method: docs/method/two-methods.md. A sign mistaken in one method, or a square that was not turned, shows here and in neither result alone.</remarks>
public sealed class TwoMethodsEvaluator : IEvaluator
{
    private static readonly ImmutableArray<string> OfSquare = ["first", "second", "blade"];

    public string Kind => "squareness-two-methods";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        .. DiagonalsEvaluator.Names.Select(n => new EvaluatorSource(n, ["length"], [PlaceKind.Whole])), new EvaluatorSource("first", ["indicator"], [PlaceKind.Whole]),
        new EvaluatorSource("second", ["indicator"], [PlaceKind.Whole]), new EvaluatorSource("blade", ["length"], [PlaceKind.Whole]),
    ];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "1";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: squareness-two-methods needs an upper limit.");
        var lengths = DiagonalsEvaluator.Names.Select(n => MeasuredValues.Of(input, n)).ToArray();
        var square = OfSquare.Select(n => MeasuredValues.Of(input, n)).ToArray();
        if (MeasuredValues.Lacking(input, "1", [.. lengths, .. square]) is { } lacking)
        {
            return lacking;
        }

        double[] mm = [.. lengths.Select(v => v.Values[0].Mean / 1000)];
        var (source, diagonals) = (lengths[0].Values[0].Source, DiagonalsEvaluator.Angle(mm));
        if (diagonals.Angle is not { } angle || SquareReversalEvaluator.Of(input, square[0], square[1], square[2]) is not { } turned)
        {
            var why = diagonals.Angle is null ? diagonals.DefectSentence ?? "the lengths close to no quadrilateral" : SquareReversalEvaluator.Refusal(square[2]);
            return EvaluationResult.Without(ResultState.Incomplete, "1", why, new NextAction(NextKind.AddPass, "Correct the figures, or set that run aside and measure anew.", []));
        }

        var ofLengths = DiagonalsEvaluator.View(input, source, mm);
        var faults = ofLengths.Faults.Union(turned.View.Faults).ToImmutableArray();
        if (ofLengths.Expanded + turned.View.Expanded <= 0)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "1", string.Join("; ", faults.DefaultIfEmpty("neither method has an uncertainty to compare by")), new NextAction(NextKind.MendConditions, "State the uncertainty of the instruments in the register.", []));
        }

        var both = Metrology.TwoMethods.TwoMethodsCalculation.Of(angle.AngleUmPerM, ofLengths.Expanded, turned.Angle, turned.View.Expanded);
        return WorstValue.Of(
            input, [new Candidate("whole", "difference of both methods over its U", Math.Abs(both.En), [], [], limit.Calculated, true, new RegisterView(0, 2, 0, 0, faults))], "1", source.Survey,
            [
                new Figure("by diagonals", both.First, "µm/m"), new Figure("by the turned square", both.Second, "µm/m"), new Figure("difference", both.Difference, "µm/m"),
                new Figure("U of the difference", both.DifferenceU, "µm/m"),
            ],
            signed: false, noAgain: "look at the sense of the indicator and at the names of the corners, and measure both anew: one of them is wrong");
    }
}
