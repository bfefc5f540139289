using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Squareness;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Squareness of the gantry from both diagonals and all four sides of a rectangle that the axes themselves marked.</summary>
/// <remarks>Method: docs/method/squareness.md.</remarks>
public sealed class DiagonalsEvaluator : IEvaluator
{
    // First diagonal from the start corner, second, side along X at the start, side along Y at the start, and the two far ones.
    private static readonly ImmutableArray<string> Names = ["d1", "d2", "x1", "y1", "x2", "y2"];

    /// <summary>Step of the numeric slopes, in mm: far above rounding, far below curvature.</summary>
    private const double StepMm = 0.01;

    public const string Name = "diagonals";

    /// <summary>Name of the figure that tells the angle with its sign.</summary>
    internal const string AngleFigure = "angle, +X toward +Y";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [.. Names.Select(n => new EvaluatorSource(n, ["length"], [PlaceKind.Whole])), new EvaluatorSource("gauge", [], Kind: SourceKind.Figure, Optional: true)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm/m";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: diagonals need an upper limit.");
        var all = Names.Select(n => MeasuredValues.Of(input, n)).ToArray();
        if (MeasuredValues.Lacking(input, "µm/m", all) is { } lacking)
        {
            return lacking;
        }

        double[] lengths = [.. all.Select(v => v.Values[0].Mean / 1000)];
        var source = all[0].Values[0].Source;
        if (Angle(lengths) is not { Angle: { } angle } found)
        {
            var why = Angle(lengths).DefectSentence ?? "the lengths close to no quadrilateral";
            return EvaluationResult.Without(ResultState.Incomplete, "µm/m", why, new NextAction(NextKind.AddPass, "Set this run aside and measure the six lengths anew.", []));
        }

        // How far each length turns the axis, by a small step of it; a common error of all lengths together turns it hardly at all.
        double squares = 0, together = 0;
        for (var i = 0; i < lengths.Length; i++)
        {
            var slope = (Turned(lengths, i, StepMm) - Turned(lengths, i, -StepMm)) / (2 * StepMm);
            squares += slope * slope;
            together += slope;
        }

        var view = WorstValue.View(input, source, lengths.Max() * 1000);
        var sigma = Math.Sqrt(squares) * view.Sigma / 1000;
        var common = Math.Abs(together) * view.Common / 1000;
        view = view.Of(sigma, common);
        var passes = Enumerable.Range(0, source.CountedPasses.Count())
            .Select(p => Angle([.. all.Select(v => v.Values[0].Passes[p] / 1000)]).Angle).ToArray();
        return WorstValue.Of(
            input,
            [
                new Candidate(
                    "whole", "departure from square", Math.Abs(angle.AngleUmPerM), passes.All(p => p is not null) ? [.. passes.Select(p => p!.AngleUmPerM * Math.Sign(angle.AngleUmPerM))] : [],
                    [.. source.CountedPasses], limit.Calculated, true, view),
            ],
            "µm/m", source.Survey,
            [
                new Figure(AngleFigure, angle.AngleUmPerM, "µm/m"),
                .. input.Sources.TryGetValue("gauge", out var gauge) ? [new Figure("drive offset at the gauge", angle.DriveOffsetUm(gauge.Figure!.Micrometres / 1000), "µm")] : Array.Empty<Figure>(),
                .. found.ClosureMm is { } closure ? [new Figure("closure of the six lengths", closure * 1000, "µm")] : Array.Empty<Figure>(),
            ],
            signed: false);
    }

    private static DiagonalSquareness Angle(double[] mm) => SquarenessCalculation.OfQuadrilateral(new Quadrilateral(mm[0], mm[1], mm[2], mm[3], mm[4], mm[5]));

    private static double Turned(double[] mm, int index, double by)
    {
        double[] turned = [.. mm];
        turned[index] += by;
        return Angle(turned).Angle?.AngleUmPerM ?? throw new ArgumentException("A length was misread: a hundredth of a millimetre more leaves no quadrilateral.");
    }
}

/// <summary>A figure of ISO 230-2 over the targets of an axis; every counted pass is one run, forward and backward.</summary>
/// <remarks>Method: docs/method/positioning.md. The standard defines its figures by the procedure, so that U is the instrument's alone.</remarks>
public sealed class PositioningEvaluator : IEvaluator
{
    public string Kind => "positioning";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("forward", ["position"]), new EvaluatorSource("backward", ["position"])];

    /// <summary>Bi-directional accuracy, systematic deviation, repeatability, reversal value, range of the means; always named with the limit.</summary>
    public ImmutableArray<string> References { get; } = ["accuracy-A", "systematic-E", "repeatability-R", "reversal-B", "mean-M"];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: positioning needs an upper limit.");
        var (forward, backward) = (MeasuredValues.Of(input, "forward"), MeasuredValues.Of(input, "backward"));
        if (MeasuredValues.Lacking(input, "µm", forward, backward) is { } lacking)
        {
            return lacking;
        }

        var source = forward.Values[0].Source;
        var at = source.Stations.ToDictionary(s => s.Id, s => s.XMm);
        var result = PositioningCalculation.Of(
            [.. Readings(forward, Approach.Forward, at), .. Readings(backward, Approach.Backward, at)]);
        var value = result.Figures is not { } f ? null : input.Reference switch
        {
            "accuracy-A" => f.AccuracyUm,
            "systematic-E" => f.SystematicUm,
            "repeatability-R" => f.RepeatabilityUm,
            "reversal-B" => f.ReversalUm,
            _ => f.MeanRangeUm,
        };
        if (value is not { } figure)
        {
            var why = result.DefectSentence ?? result.SpreadAbsentBecause ?? "this figure needs both directions";
            return EvaluationResult.Without(ResultState.Incomplete, "µm", why, new NextAction(NextKind.Record, $"Record the runs of survey {source.Survey}.", []));
        }

        var view = RegisterView.Of(input, source, source.CountedPasses, "small difference", at.Values.Max() - at.Values.Min());
        var sigma = view.Expanded / view.K;
        var answer = WorstValue.Of(
            input, [new Candidate("whole", Word(input.Reference), figure, [], [], limit.Calculated, true, view with { Sigma = sigma, Common = 0 })], "µm", source.Survey,
            [
                new Figure("runs", result.Runs, "1"),
                .. Figures(result.Figures!).Where(x => x.Value is not null).Select(x => new Figure(x.Name, x.Value!.Value, "µm")),
            ],
            signed: false, noAgain: "clean, check the backlash or compensate, record that work, and repeat the whole test");
        return answer with { Deviations = [.. source.Stations.Select((s, i) => new Deviation(s.Id, result.Targets.First(t => Math.Abs(t.TargetMm - s.XMm) < 1e-9).MeanUm ?? 0))] };
    }

    private static IEnumerable<PositioningReading> Readings(MeasuredValues values, Approach approach, Dictionary<string, double> at) =>
        values.Values.SelectMany(v => v.Passes.Select((d, i) => new PositioningReading(at[v.Place], i + 1, approach, d)));

    private static IEnumerable<(string Name, double? Value)> Figures(PositioningFigures f) =>
    [
        ("accuracy A", f.AccuracyUm), ("systematic deviation E", f.SystematicUm), ("repeatability R", f.RepeatabilityUm), ("reversal B", f.ReversalUm),
        ("mean reversal", f.MeanReversalUm), ("range of means M", f.MeanRangeUm), ("A forward", f.AccuracyForwardUm), ("A backward", f.AccuracyBackwardUm),
        ("E forward", f.SystematicForwardUm), ("E backward", f.SystematicBackwardUm), ("R forward", f.RepeatabilityForwardUm), ("R backward", f.RepeatabilityBackwardUm),
    ];

    private static string Word(string? reference) => reference switch
    {
        "accuracy-A" => "bi-directional accuracy A",
        "systematic-E" => "bi-directional systematic deviation E",
        "repeatability-R" => "bi-directional repeatability R",
        "reversal-B" => "reversal value B",
        _ => "range of the means M",
    };
}
