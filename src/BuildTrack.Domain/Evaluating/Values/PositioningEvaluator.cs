using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>A figure of ISO 230-2 over the targets of an axis; every counted pass is one run, forward and backward.</summary>
/// <remarks>Method: docs/method/positioning.md. The standard defines its figures by the procedure, so that U is the instrument's alone.</remarks>
public sealed class PositioningEvaluator : IEvaluator, IPlanned
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
        var asked = FigureOf(input.Reference);
        var result = PositioningCalculation.Of([.. Readings(forward, backward)]);
        var value = result.Figures is not { } f ? null : asked switch
        {
            PositioningFigure.AccuracyA => f.AccuracyUm,
            PositioningFigure.SystematicE => f.SystematicUm,
            PositioningFigure.RepeatabilityR => f.RepeatabilityUm,
            PositioningFigure.ReversalB => f.ReversalUm,
            _ => f.MeanRangeUm,
        };
        if (value is not { } figure)
        {
            var why = result.DefectSentence ?? result.SpreadAbsentBecause ?? "this figure needs both directions";
            return EvaluationResult.Without(ResultState.Incomplete, "µm", why, new NextAction(NextKind.Record, $"Record the runs of survey {source.Survey}.", []));
        }

        var view = View(input, source);
        var sigma = view.Expanded / view.K;
        var answer = WorstValue.Of(
            input, [new Candidate("whole", Word(asked), figure, [], [], limit.Calculated, true, view with { Sigma = sigma, Common = 0 })], "µm", source.Survey,
            [
                new Figure("runs", result.Runs, "1"),
                .. Figures(result.Figures!).Where(x => x.Value is not null).Select(x => new Figure(x.Name, x.Value!.Value, "µm")),
            ],
            signed: false, noAgain: "clean, check the backlash or compensate, record that work, and repeat the whole test");
        return answer with { Deviations = [.. source.Stations.Select((s, i) => new Deviation(s.Id, result.Targets.First(t => Math.Abs(t.TargetMm - s.XMm) < 1e-9).MeanUm ?? 0))] };
    }

    // Another number of runs is another figure: s of two runs says less than s of five, and one run has none.
    bool IPlanned.PassesAreFixed => true;

    string? IPlanned.Granted(EvaluationInput input) =>
        "A true value is the figure that the same runs would have with an instrument without error: the standard defines it by the procedure. Other runs of the same axis may have another.";

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var source = MeasuredLine.SourcesOf(input, "forward").First();
        var figure = FigureOf(input.Reference);
        if (source.Stations.Length < 2)
        {
            throw new ArgumentException("Positioning needs two targets or more: state the travel of the model in the checklists.");
        }

        if (source.PassesPlanned < 2 && figure is PositioningFigure.AccuracyA or PositioningFigure.RepeatabilityR)
        {
            throw new ArgumentException("One run in each direction has no spread: no repeatability and no accuracy. Plan more runs.");
        }

        // What the instrument adds to every length alike is the same from both sides of a target: it goes out of reversal and repeatability (docs/method/positioning.md, section 6).
        var view = View(input, source);
        var common = figure is PositioningFigure.ReversalB or PositioningFigure.RepeatabilityR ? 0 : view.Common;
        var zone = PlannedZone.Positioning(source.Stations.Length, source.PassesPlanned, figure);
        return new PlannedParts(
            zone, 0, view.Sigma * Math.Sqrt(source.PassesPlanned), common, view.Expanded, view.K, view.Faults, Quantiles.OneSided95(view.Degrees) * view.Expanded / view.K) { Degrees = view.Degrees };
    }

    private static RegisterView View(EvaluationInput input, SurveySource source)
    {
        var view = RegisterView.Of(input, source, source.CountedPasses, "small difference", source.Stations.Max(s => s.XMm) - source.Stations.Min(s => s.XMm));
        return view.Plus(view.Digit);
    }

    private static PositioningFigure FigureOf(string? reference) => reference switch
    {
        "accuracy-A" => PositioningFigure.AccuracyA,
        "systematic-E" => PositioningFigure.SystematicE,
        "repeatability-R" => PositioningFigure.RepeatabilityR,
        "reversal-B" => PositioningFigure.ReversalB,
        _ => PositioningFigure.MeanRangeM,
    };

    /// <summary>What the figures are calculated from: every counted reading at its target, deviations in µm.</summary>
    public static IEnumerable<PositioningReading> ReadingsOf(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        return Readings(MeasuredValues.Of(input, "forward"), MeasuredValues.Of(input, "backward"));
    }

    private static IEnumerable<PositioningReading> Readings(MeasuredValues forward, MeasuredValues backward)
    {
        var at = forward.Values[0].Source.Stations.ToDictionary(s => s.Id, s => s.XMm);
        return Of(forward, Approach.Forward).Concat(Of(backward, Approach.Backward));

        IEnumerable<PositioningReading> Of(MeasuredValues values, Approach approach) =>
            values.Values.SelectMany(v => v.Passes.Select((d, i) => new PositioningReading(at[v.Place], i + 1, approach, d)));
    }

    private static IEnumerable<(string Name, double? Value)> Figures(PositioningFigures f) =>
    [
        ("accuracy A", f.AccuracyUm), ("systematic deviation E", f.SystematicUm), ("repeatability R", f.RepeatabilityUm), ("reversal B", f.ReversalUm),
        ("mean reversal", f.MeanReversalUm), ("range of means M", f.MeanRangeUm), ("A forward", f.AccuracyForwardUm), ("A backward", f.AccuracyBackwardUm),
        ("E forward", f.SystematicForwardUm), ("E backward", f.SystematicBackwardUm), ("R forward", f.RepeatabilityForwardUm), ("R backward", f.RepeatabilityBackwardUm),
    ];

    private static string Word(PositioningFigure figure) => figure switch
    {
        PositioningFigure.AccuracyA => "bi-directional accuracy A",
        PositioningFigure.SystematicE => "bi-directional systematic deviation E",
        PositioningFigure.RepeatabilityR => "bi-directional repeatability R",
        PositioningFigure.ReversalB => "reversal value B",
        _ => "range of the means M",
    };
}
