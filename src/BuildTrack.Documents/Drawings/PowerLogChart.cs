using BuildTrack.Domain.Evaluating;
using static System.FormattableString;

namespace BuildTrack.Documents.Drawings;

/// <summary>A power log: the departure of every reading from the mean over the minutes, between the limits, with the reading that decides.</summary>
/// <remarks>The points are the stored deviations of the result; the figure on the dimension is the stored one.</remarks>
public static class PowerLogChart
{
    private const double Width = 960, Height = 340, Left = 84, Right = 824, Top = 34, Bottom = 286;

    /// <summary>Null where the evaluation is none of a power log, or has no value yet.</summary>
    public static Drawing? Of(EvaluationRecord evaluation)
    {
        ArgumentNullException.ThrowIfNull(evaluation);
        if (evaluation.Input.Characteristic.Evaluator != "power-drift" || evaluation.Result is not { Value: { } value, Upper: { } limit })
        {
            return null;
        }

        var minutes = evaluation.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().SelectMany(s => s.Stations).ToDictionary(s => s.Id, s => s.Minute!.Value, StringComparer.Ordinal);
        var log = evaluation.Result.Deviations.Select(d => (d.Place, Minute: minutes[d.Place], Percent: d.Value)).OrderBy(p => p.Minute).ToArray();
        var reach = 1.15 * Math.Max(limit, log.Max(p => Math.Abs(p.Percent)));
        var (from, to) = (log[0].Minute, log[^1].Minute);
        double X(double minute) => Left + 16 + (to > from ? (minute - from) / (to - from) * (Right - Left - 32) : 0);
        double Y(double percent) => ((Top + Bottom) / 2) - (percent / reach * (Bottom - Top) / 2);

        var marks = new List<Mark> { new LineMark(Left, Top - 10, Left, Bottom, Stroke.Mid), new LineMark(Left, Bottom, Right, Bottom, Stroke.Mid), new TextMark(8, Top - 16, "%", Drawing.SmallLettering, Ink: Ink.Note) };
        foreach (var percent in new[] { -limit, -limit / 2, 0, limit / 2, limit })
        {
            var (stroke, ink) = percent == 0 ? (Stroke.Chain, Ink.Full) : Math.Abs(percent) == limit ? (Stroke.Mid, Ink.Full) : (Stroke.Thin, Ink.Soft);
            marks.Add(new LineMark(Left, Y(percent), Right, Y(percent), stroke, ink));
            marks.Add(new TextMark(Left - 10, Y(percent) + 5, Shown.Signed(percent, 1), Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        }

        foreach (var minute in Minutes(from, to))
        {
            marks.Add(new LineMark(X(minute), Bottom, X(minute), Bottom + 6, Stroke.Thin));
            marks.Add(new TextMark(X(minute), Bottom + 22, Invariant($"{minute:0.#}"), Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
        }

        marks.Add(new TextMark(Right + 30, Bottom + 22, "min", Drawing.SmallLettering, Ink: Ink.Note));
        marks.AddRange(log.Zip(log.Skip(1)).Select(p => new LineMark(X(p.First.Minute), Y(p.First.Percent), X(p.Second.Minute), Y(p.Second.Percent), Stroke.Mid)));
        var worst = log.First(p => p.Place == evaluation.Result.Contacts[0].Place);
        marks.Add(new CircleMark(X(worst.Minute), Y(worst.Percent), 7, Stroke.Thick));
        Dimension(marks, Y(0), Y(worst.Percent), X(worst.Minute), Shown.InUnitOf(value, evaluation.Input.Requirement));

        var mean = Invariant($"{evaluation.Result.Figures.Single(f => f.Name == "mean").Value:0} W");
        marks.Add(new TextMark(Left, Height - 8, $"Zero line: the mean of the log, {mean}. Ring: the reading that decides.", Drawing.Lettering, Inclined: false));
        return new Drawing(
            Width, Height, $"{evaluation.Input.Characteristic.Title}: departure from the mean over the minutes, in %",
            Invariant($"{log.Length} readings from minute {from:0.#} to {to:0.#}, mean {mean}, from {Shown.Signed(log.Min(p => p.Percent), 2)} to {Shown.Signed(log.Max(p => p.Percent), 2)} %, limit {limit:0.##} %. Largest at minute {worst.Minute:0.#}: {Shown.Signed(worst.Percent, 2)} %."),
            [.. marks]);
    }

    private static void Dimension(List<Mark> marks, double zero, double worst, double at, string text)
    {
        const double x = Right + 26;
        marks.Add(new LineMark(at, worst, x + 6, worst, Stroke.Thin, Ink.Note));
        marks.Add(new LineMark(Right, zero, x + 6, zero, Stroke.Thin, Ink.Note));
        marks.Add(new LineMark(x, zero, x, worst, Stroke.Thin));
        if (Math.Abs(worst - zero) > 26)
        {
            marks.Add(Marks.ArrowHead(x, worst, 0, Math.Sign(worst - zero)));
            marks.Add(Marks.ArrowHead(x, zero, 0, Math.Sign(zero - worst)));
        }

        marks.Add(new TextMark(x + 10, ((zero + worst) / 2) + 6, text, Drawing.Lettering, Bold: true));
    }

    // Whole half hours where there are enough of them.
    private static IEnumerable<double> Minutes(double from, double to)
    {
        var step = new[] { 1.0, 5, 10, 30, 60, 120 }.First(s => (to - from) / s <= 10 || s == 120);
        for (var minute = Math.Ceiling(from / step) * step; minute <= to; minute += step)
        {
            yield return minute;
        }
    }
}
