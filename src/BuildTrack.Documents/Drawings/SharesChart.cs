using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Documents.Drawings;

/// <summary>A check over the machines: each result as a share of its limit, in order, with the limit, the centre and the three-sigma lines of an individuals chart.</summary>
public static class SharesChart
{
    private const double Width = 960, Height = 300, Left = 64, Right = 880, Top = 28, Bottom = 250;

    /// <summary>The chart; null without one.</summary>
    /// <param name="shares">Names and shares of the limit, in order.</param>
    public static Drawing? Of(IReadOnlyList<(string Name, double Share)> shares, IndividualsChartResult? chart)
    {
        if (chart is not { DefectSentence: null } || shares.Count < 2)
        {
            return null;
        }

        var signals = chart.Signals.Select(s => s.Point - 1).Concat(chart.MovingRangeSignals.Select(p => p - 1)).ToHashSet();
        var high = new[] { 1.15, chart.UpperLimit * 1.05, shares.Max(s => s.Share) * 1.1 }.Max();
        var low = Math.Min(0, Math.Max(chart.LowerLimit, -0.2 * high));
        double X(int i) => Left + ((Right - Left) * (i + 0.5) / shares.Count);
        double Y(double share) => Bottom - ((Bottom - Top) * (share - low) / (high - low));
        var marks = ImmutableArray.CreateBuilder<Mark>();
        void Line(double share, Stroke stroke, string text)
        {
            marks.Add(new LineMark(Left, Y(share), Right, Y(share), stroke));
            marks.Add(new TextMark(Right + 8, Y(share) + 5, text, Drawing.SmallLettering, Ink: Ink.Note));
        }

        Line(1, Stroke.Thick, "limit");
        Line(chart.Centre, Stroke.Chain, "mean");
        Line(Math.Min(high, chart.UpperLimit), Stroke.Thin, "+3 s");
        if (chart.LowerLimit > low)
        {
            Line(chart.LowerLimit, Stroke.Thin, "−3 s");
        }

        foreach (var (share, i) in shares.Select((s, i) => (s.Share, i)))
        {
            if (i > 0)
            {
                marks.Add(new LineMark(X(i - 1), Y(shares[i - 1].Share), X(i), Y(share), Stroke.Thin));
            }
        }

        foreach (var ((name, share), i) in shares.Select((s, i) => (s, i)))
        {
            marks.AddRange(Marks.Balloon(X(i), Y(share), 11, (i + 1).ToString(CultureInfo.InvariantCulture), Drawing.SmallLettering, signals.Contains(i)));
            marks.Add(new TextMark(X(i), Y(share) - 17, Percent(share), Drawing.SmallLettering, Anchor.Middle, Blank: true));
        }

        marks.Add(new TextMark(Left - 8, Y(0) + 5, "0 %", Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        marks.Add(new TextMark(Left - 8, Y(1) + 5, "100 %", Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        return new Drawing(
            Width, Height, "First results as shares of their limits, in order",
            $"{string.Join(", ", shares.Select((s, i) => $"{i + 1} {s.Name} {Percent(s.Share)}"))}; mean {Percent(chart.Centre)}, three sigma up to {Percent(chart.UpperLimit)}. A second ring marks what a run rule notices.",
            [.. marks]);
    }

    /// <summary>The same as inline SVG.</summary>
    public static string? Svg(IReadOnlyList<(string Name, double Share)> shares, IndividualsChartResult? chart, string id = "shares") => Of(shares, chart) is { } drawing ? SvgText.Of(drawing, id) : null;

    private static string Percent(double share) => (100 * share).ToString("0", CultureInfo.InvariantCulture).Replace('-', '−') + " %";
}
