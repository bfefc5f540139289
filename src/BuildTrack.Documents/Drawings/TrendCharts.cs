using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Documents.Drawings;

/// <summary>Figures over machines side by side, by step or by month: shares with their interval, recorded hours against planned.</summary>
public static class TrendCharts
{
    private const double Width = 960, Height = 300, Left = 72, Right = 944, Top = 34, Bottom = 240;

    /// <summary>Shares as bars, each on its 95 % interval; null without any.</summary>
    /// <param name="shares">Names and shares, in order; only what has a share is given.</param>
    /// <param name="title">What the shares are of.</param>
    public static Drawing? Shares(IReadOnlyList<(string Name, ProportionResult Share)> shares, string title)
    {
        if (shares.Count == 0)
        {
            return null;
        }

        var marks = Frame(1, ["0 %", "50 %", "100 %"]);
        foreach (var ((name, share), i) in shares.Select((s, i) => (s, i)))
        {
            var x = X(i, shares.Count);
            marks.Add(new LineMark(x, Y(share.Low, 1), x, Y(share.High, 1), Stroke.Thin));
            marks.Add(new LineMark(x - 5, Y(share.Low, 1), x + 5, Y(share.Low, 1), Stroke.Thin));
            marks.Add(new LineMark(x - 5, Y(share.High, 1), x + 5, Y(share.High, 1), Stroke.Thin));
            marks.Add(new LineMark(x - 9, Y(share.Share, 1), x + 9, Y(share.Share, 1), Stroke.Thick));
            Label(marks, shares.Count, i, name, FormattableString.Invariant($"{share.Count}/{share.Of}"));
        }

        return new Drawing(
            Width, Height, title,
            string.Join("; ", shares.Select(s => FormattableString.Invariant($"{s.Name} {Percent(s.Share.Share)}, {s.Share.Count} of {s.Share.Of}, between {Percent(s.Share.Low)} and {Percent(s.Share.High)}"))) + ".", marks.ToImmutable());
    }

    /// <summary>Recorded hours as bars beside the planned as rings, mean of the machines; null without any.</summary>
    /// <param name="hours">Names, planned and recorded hours of one machine in h, number of machines; in order.</param>
    public static Drawing? Hours(IReadOnlyList<(string Name, double Planned, double Actual, int Machines)> hours, string title)
    {
        if (hours.Count == 0)
        {
            return null;
        }

        var high = Math.Max(hours.Max(h => Math.Max(h.Planned, h.Actual)) * 1.1, 1e-6);
        var marks = Frame(high, ["0 h", Number(high / 2) + " h", Number(high) + " h"]);
        foreach (var ((name, planned, actual, machines), i) in hours.Select((h, i) => (h, i)))
        {
            double x = X(i, hours.Count), from = Y(planned, high), to = Y(actual, high);
            if (Math.Abs(to - from) > 6)
            {
                marks.Add(new LineMark(x, from, x, to, Stroke.Thin));
                marks.Add(Marks.ArrowHead(x, to, 0, Math.Sign(to - from)));
            }

            marks.Add(new CircleMark(x, from, 4.5, Stroke.Mid));
            marks.Add(new LineMark(x - 9, to, x + 9, to, Stroke.Thick));
            Label(marks, hours.Count, i, name, FormattableString.Invariant($"n {machines}"));
        }

        return new Drawing(
            Width, Height, title,
            string.Join("; ", hours.Select(h => FormattableString.Invariant($"{h.Name} planned {Number(h.Planned)} h, recorded {Number(h.Actual)} h, {h.Machines} {(h.Machines == 1 ? "machine" : "machines")}"))) + ".", marks.ToImmutable());
    }

    private static ImmutableArray<Mark>.Builder Frame(double high, string[] scale)
    {
        var marks = ImmutableArray.CreateBuilder<Mark>();
        marks.Add(new LineMark(Left, Top - 8, Left, Bottom, Stroke.Mid));
        marks.Add(new LineMark(Left, Bottom, Right, Bottom, Stroke.Mid));
        foreach (var (text, i) in scale.Select((t, i) => (t, i)))
        {
            var y = Y(high * i / 2, high);
            marks.Add(new LineMark(Left - 5, y, Left, y, Stroke.Thin));
            marks.Add(new TextMark(Left - 9, y + 5, text, Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        }

        return marks;
    }

    // Where names stand close, every second is a line lower.
    private static void Label(ImmutableArray<Mark>.Builder marks, int count, int i, string name, string below)
    {
        var (x, low) = (X(i, count), count > 12 && i % 2 == 1 ? 18 : 0);
        marks.Add(new TextMark(x, Bottom + 18 + low, name, Drawing.SmallLettering, Anchor.Middle, Inclined: false));
        if (count <= 12)
        {
            marks.Add(new TextMark(x, Bottom + 36, below, Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
        }
    }

    private static double X(int i, int count) => Left + ((Right - Left) * (i + 0.5) / count);

    private static double Y(double value, double high) => Bottom - ((Bottom - Top) * value / high);

    private static string Percent(double share) => (100 * share).ToString("0", CultureInfo.InvariantCulture) + " %";

    private static string Number(double hours) => hours.ToString("0.#", CultureInfo.InvariantCulture);
}
