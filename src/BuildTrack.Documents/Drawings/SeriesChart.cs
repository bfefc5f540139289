using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.ResultSeries;

namespace BuildTrack.Documents.Drawings;

/// <summary>The results of a series one after the other, each with its reach and its limit; a line joins what follows, drawn through where a change is proven.</summary>
public static class SeriesChart
{
    private const double Width = 640, Height = 230, Left = 92, Right = 624, Top = 30, Bottom = 196;

    /// <summary>The chart; null with fewer than two results.</summary>
    /// <param name="names">What stands below each point: "310, 25 Nov".</param>
    public static Drawing? Of(SeriesStanding series, IReadOnlyList<string> names)
    {
        ArgumentNullException.ThrowIfNull(series);
        var points = series.Points;
        if (points.Length < 2)
        {
            return null;
        }

        var unit = points[0].Unit;
        double[] shown = [.. points.SelectMany(p => new[] { Low(p), High(p), Limit(p) ?? p.Value })];
        var span = Math.Max(shown.Max() - shown.Min(), 1e-9);
        var (low, high) = (shown.Min() - (0.12 * span), shown.Max() + (0.12 * span));
        if (shown.Min() >= 0 && shown.Min() < 0.6 * span)
        {
            low = 0;
        }

        double Y(double value) => Bottom - ((Bottom - Top) * (value - low) / (high - low));
        double X(int i) => Left + ((Right - Left) * (i + 0.5) / points.Length);
        var half = Math.Min(44, (Right - Left) / points.Length / 2 * 0.8);
        var marks = ImmutableArray.CreateBuilder<Mark>();
        marks.Add(new LineMark(Left, Top - 8, Left, Bottom, Stroke.Mid));
        marks.Add(new LineMark(Left, Bottom, Right, Bottom, Stroke.Mid));
        foreach (var value in Marks.RoundValues(low, high))
        {
            marks.Add(new LineMark(Left - 5, Y(value), Left, Y(value), Stroke.Thin));
            marks.Add(new TextMark(Left - 9, Y(value) + 5, Shown.Text(value, unit), Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        }

        for (var i = 1; i < points.Length; i++)
        {
            marks.Add(new LineMark(X(i - 1), Y(points[i - 1].Value), X(i), Y(points[i].Value), points[i].SinceBefore is { Proved: true } ? Stroke.Mid : Stroke.Dashed));
        }

        for (var i = 0; i < points.Length; i++)
        {
            var (p, x) = (points[i], X(i));
            if (Limit(p) is { } limit)
            {
                marks.Add(new LineMark(x - half, Y(limit), x + half, Y(limit), Stroke.Thick));
            }

            marks.Add(new LineMark(x, Y(Low(p)), x, Y(High(p)), Stroke.Thin));
            marks.Add(new LineMark(x - 6, Y(Low(p)), x + 6, Y(Low(p)), Stroke.Thin));
            marks.Add(new LineMark(x - 6, Y(High(p)), x + 6, Y(High(p)), Stroke.Thin));
            marks.Add(new CircleMark(x, Y(p.Value), 4.5, Stroke.Mid));
            // On the side that the line to the next one leaves free.
            var rises = i + 1 < points.Length && points[i + 1].Value > p.Value;
            marks.Add(new TextMark(x + (rises ? -10 : 10), Y(p.Value) - 8, Shown.Number(p.Value, unit), Drawing.Lettering, rises ? Anchor.End : Anchor.Start, Blank: true));
            marks.Add(new TextMark(x, Bottom + 22, names[i], Drawing.SmallLettering, Anchor.Middle));
        }

        return new Drawing(
            Width, Height, $"{series.Plan.Title}, one result after the other, in {unit}; thick line: limit; drawn through: change proven",
            string.Join("; ", points.Select((p, i) => $"{names[i]}: {Shown.Text(p.Value, unit)}, between {Shown.Text(Low(p), unit)} and {Shown.Text(High(p), unit)}{(Limit(p) is { } l ? $", limit {Shown.Text(l, unit)}" : "")}")) + ".",
            marks.ToImmutable());
    }

    private static double Low(SeriesPoint point) => point.Value - (point.Evaluation.Record.Result.ReachBelow ?? 0);

    private static double High(SeriesPoint point) => point.Value + (point.Evaluation.Record.Result.ReachAbove ?? 0);

    private static double? Limit(SeriesPoint point) => point.Evaluation.Record.Result.NearLimit;
}
