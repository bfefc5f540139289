using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Metrology.Positioning;
using static System.FormattableString;

namespace BuildTrack.Documents.Drawings;

/// <summary>An axis after ISO 230-2: every reading over its target, the means of both directions, and the result as a dimension.</summary>
/// <remarks>The means are those that the result was calculated from; the figure on the dimension is the stored one.</remarks>
public static class PositioningChart
{
    private const double Width = 960, Height = 400, Left = 84, Right = 824, Top = 34, Bottom = 330;

    /// <summary>Null where the evaluation is none of an axis, or has no value yet.</summary>
    public static Drawing? Of(EvaluationRecord evaluation)
    {
        ArgumentNullException.ThrowIfNull(evaluation);
        if (evaluation.Input.Characteristic.Evaluator != "positioning" || evaluation.Result.Value is not { } value)
        {
            return null;
        }

        PositioningReading[] readings = [.. PositioningEvaluator.ReadingsOf(evaluation.Input)];
        var axis = PositioningCalculation.Of(readings);
        var (means, spread) = (axis.Targets.SelectMany(t => new[] { t.MeanForwardUm, t.MeanBackwardUm }).OfType<double>().ToArray(), BandOf(axis, evaluation.Input.Reference));
        double[] shown = [.. readings.Select(r => r.DeviationUm), .. means, spread.Low, spread.High];
        var span = Math.Max(shown.Max() - shown.Min(), 1e-9);
        var view = new View(axis.Targets.Min(t => t.TargetMm), axis.Targets.Max(t => t.TargetMm), shown.Min() - (0.06 * span), shown.Max() + (0.06 * span));

        var marks = new List<Mark>();
        Frame(marks, view, axis);
        foreach (var reading in readings)
        {
            var (x, y, side) = (view.X(reading.TargetMm), view.Y(reading.DeviationUm), reading.Approach == Approach.Forward ? 1 : -1);
            marks.Add(new LineMark(x, y, x - (side * 7), y, Stroke.Thin));
        }

        Means(marks, view, [.. axis.Targets.Select(t => (t.TargetMm, t.MeanForwardUm))], 1);
        Means(marks, view, [.. axis.Targets.Select(t => (t.TargetMm, t.MeanBackwardUm))], -1);
        Dimension(marks, view, spread, Shown.InUnitOf(value, evaluation.Input.Requirement));
        Legend(marks);
        var name = evaluation.Input.Characteristic.Title;
        return new Drawing(
            Width, Height, $"{name}: deviations over the targets, in µm",
            Invariant($"{axis.Targets.Length} targets, {axis.Runs} {(axis.Runs == 1 ? "run" : "runs")} each way. {Words(evaluation.Input.Reference)} {Shown.InUnitOf(value, evaluation.Input.Requirement)}. ")
            + string.Join("; ", axis.Targets.Select(t => Invariant($"{t.TargetMm:0.#} mm forward {Shown.Signed(t.MeanForwardUm ?? 0, 1)}, back {Shown.Signed(t.MeanBackwardUm ?? 0, 1)}"))) + ".",
            [.. marks]);
    }

    /// <summary>Between which deviations the figure that is judged lies: the height of the dimension is the figure.</summary>
    private static (double Low, double High, double? AtMm) BandOf(PositioningResult axis, string? figure)
    {
        var targets = axis.Targets;
        (double Mean, double Two)[] all = [.. targets.SelectMany(t => new[] { (t.MeanForwardUm!.Value, 2 * (t.StandardDeviationForwardUm ?? 0)), (t.MeanBackwardUm!.Value, 2 * (t.StandardDeviationBackwardUm ?? 0)) })];
        switch (figure)
        {
            case "accuracy-A":
                return (all.Min(m => m.Mean - m.Two), all.Max(m => m.Mean + m.Two), null);
            case "systematic-E":
                return (all.Min(m => m.Mean), all.Max(m => m.Mean), null);
            case "reversal-B":
                var turned = targets.MaxBy(t => Math.Abs(t.ReversalUm!.Value))!;
                return (Math.Min(turned.MeanForwardUm!.Value, turned.MeanBackwardUm!.Value), Math.Max(turned.MeanForwardUm.Value, turned.MeanBackwardUm.Value), turned.TargetMm);
            case "repeatability-R":
                var wide = targets.MaxBy(t => t.RepeatabilityUm)!;
                return (wide.MeanUm!.Value - (wide.RepeatabilityUm!.Value / 2), wide.MeanUm.Value + (wide.RepeatabilityUm.Value / 2), wide.TargetMm);
            default:
                return (targets.Min(t => t.MeanUm!.Value), targets.Max(t => t.MeanUm!.Value), null);
        }
    }

    private static string Words(string? figure) => figure switch
    {
        "accuracy-A" => "Accuracy A",
        "systematic-E" => "Systematic deviation E",
        "repeatability-R" => "Repeatability R",
        "reversal-B" => "Reversal value B",
        _ => "Range of the means M",
    };

    private static void Frame(List<Mark> marks, View view, PositioningResult axis)
    {
        marks.Add(new LineMark(Left, Top - 10, Left, Bottom, Stroke.Mid));
        marks.Add(new LineMark(Left, Bottom, Right, Bottom, Stroke.Mid));
        foreach (var value in Marks.RoundValues(view.Low, view.High, least: 1))
        {
            marks.Add(new LineMark(Left - 6, view.Y(value), Left, view.Y(value), Stroke.Thin));
            marks.Add(new LineMark(Left, view.Y(value), Right, view.Y(value), value == 0 ? Stroke.Chain : Stroke.Thin, value == 0 ? Ink.Full : Ink.Soft));
            marks.Add(new TextMark(Left - 10, view.Y(value) + 5, Shown.Signed(value, 0), Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        }

        marks.Add(new TextMark(8, Top - 16, "µm", Drawing.SmallLettering, Ink: Ink.Note));
        var right = double.NegativeInfinity;
        foreach (var target in axis.Targets)
        {
            var (x, text) = (view.X(target.TargetMm), Invariant($"{target.TargetMm:0.#}"));
            var half = Marks.WidthOf(text, Drawing.SmallLettering) / 2;
            marks.Add(new LineMark(x, Bottom, x, Bottom + 6, Stroke.Thin));
            if (x - half > right)
            {
                marks.Add(new TextMark(x, Bottom + 22, text, Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
                right = x + half + 10;
            }
        }

        marks.Add(new TextMark(Right + 42, Bottom + 22, "mm", Drawing.SmallLettering, Ink: Ink.Note));
    }

    // The means of a direction are joined, forward by an outline, back by the line of what belongs together; the arrow heads say which way.
    private static void Means(List<Mark> marks, View view, (double At, double? Mean)[] means, int way)
    {
        var points = means.Where(m => m.Mean is not null).Select(m => (X: view.X(m.At), Y: view.Y(m.Mean!.Value))).ToArray();
        marks.AddRange(points.Zip(points.Skip(1)).Select(p => new LineMark(p.First.X, p.First.Y, p.Second.X, p.Second.Y, way > 0 ? Stroke.Mid : Stroke.DoubleDotted)));
        foreach (var (x, y) in points)
        {
            marks.Add(Marks.ArrowHead(x + (way * 5), y, way, 0, 10, 4));
        }
    }

    private static void Dimension(List<Mark> marks, View view, (double Low, double High, double? AtMm) band, string text)
    {
        var (top, bottom, x) = (view.Y(band.High), view.Y(band.Low), Right + 26);
        foreach (var y in new[] { top, bottom })
        {
            marks.Add(new LineMark(band.AtMm is { } at ? view.X(at) : Left, y, x + 6, y, Stroke.Thin, Ink.Note));
        }

        marks.Add(new LineMark(x, top, x, bottom, Stroke.Thin));
        if (bottom - top > 26)
        {
            marks.Add(Marks.ArrowHead(x, top, 0, -1));
            marks.Add(Marks.ArrowHead(x, bottom, 0, 1));
        }

        marks.Add(new TextMark(x + 10, ((top + bottom) / 2) + 6, text, Drawing.Lettering, Bold: true));
    }

    private static void Legend(List<Mark> marks)
    {
        const double y = Height - 12;
        marks.Add(new LineMark(Left, y - 5, Left + 44, y - 5, Stroke.Mid));
        marks.Add(Marks.ArrowHead(Left + 28, y - 5, 1, 0, 10, 4));
        marks.Add(new TextMark(Left + 54, y, "mean going forward", Drawing.Lettering, Inclined: false));
        marks.Add(new LineMark(Left + 230, y - 5, Left + 274, y - 5, Stroke.DoubleDotted));
        marks.Add(Marks.ArrowHead(Left + 246, y - 5, -1, 0, 10, 4));
        marks.Add(new TextMark(Left + 284, y, "mean coming back", Drawing.Lettering, Inclined: false));
        marks.Add(new LineMark(Left + 452, y - 5, Left + 459, y - 5, Stroke.Thin));
        marks.Add(new TextMark(Left + 468, y, "a reading, on the side it came from", Drawing.Lettering, Inclined: false));
    }

    private readonly record struct View(double From, double To, double Low, double High)
    {
        public double X(double mm) => Left + 16 + ((mm - From) / (To - From) * (Right - Left - 32));

        public double Y(double um) => Bottom - ((um - Low) / (High - Low) * (Bottom - Top));
    }
}
