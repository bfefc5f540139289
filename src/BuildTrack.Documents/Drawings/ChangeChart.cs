using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Documents.Drawings;

/// <summary>Two results of each machine, before and after: a ring, and an arrow from it to what was found later.</summary>
public static class ChangeChart
{
    private const double Width = 960, Height = 300, Left = 84, Right = 940, Top = 28, Bottom = 250;

    /// <summary>The chart; null without machines.</summary>
    /// <param name="values">Names with both values, in order; calculated unit.</param>
    /// <param name="unit">Unit of the values.</param>
    public static Drawing? Of(IReadOnlyList<(string Name, double Before, double After)> values, string unit)
    {
        if (values.Count == 0)
        {
            return null;
        }

        double high = values.Max(v => Math.Max(v.Before, v.After)), low = Math.Min(0, values.Min(v => Math.Min(v.Before, v.After)));
        var span = Math.Max(high - low, 1e-9) * 1.12;
        double X(int i) => Left + ((Right - Left) * (i + 0.5) / values.Count);
        double Y(double value) => Bottom - ((Bottom - Top) * (value - low) / span);
        var marks = ImmutableArray.CreateBuilder<Mark>();
        marks.Add(new LineMark(Left, Top - 8, Left, Bottom, Stroke.Mid));
        marks.Add(new LineMark(Left, Y(0), Right, Y(0), Stroke.Mid));
        foreach (var value in new[] { 0, high / 2, high })
        {
            marks.Add(new LineMark(Left - 5, Y(value), Left, Y(value), Stroke.Thin));
            marks.Add(new TextMark(Left - 9, Y(value) + 5, Shown.Text(value, unit), Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        }

        foreach (var ((_, before, after), i) in values.Select((v, i) => (v, i)))
        {
            double x = X(i), from = Y(before), to = Y(after), way = Math.Sign(to - from);
            if (Math.Abs(to - from) > 6)
            {
                marks.Add(new LineMark(x, from, x, to, Stroke.Thin));
                marks.Add(Marks.ArrowHead(x, to, 0, way));
            }

            marks.Add(new CircleMark(x, from, 4.5, Stroke.Mid));
            marks.Add(new LineMark(x - 9, to, x + 9, to, Stroke.Thick));
            marks.Add(new TextMark(x, Bottom + 22, FormattableString.Invariant($"{i + 1}"), Drawing.SmallLettering, Anchor.Middle));
        }

        return new Drawing(
            Width, Height, "Each machine before (ring) and after (bar)",
            string.Join("; ", values.Select((v, i) => FormattableString.Invariant($"{i + 1} {v.Name} {Shown.Text(v.Before, unit)}, then {Shown.Text(v.After, unit)}"))) + ".", [.. marks]);
    }

    /// <summary>The same as inline SVG.</summary>
    public static string? Svg(IReadOnlyList<(string Name, double Before, double After)> values, string unit, string id = "changes") => Of(values, unit) is { } drawing ? SvgText.Of(drawing, id) : null;
}
