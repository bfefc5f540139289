using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Documents.Drawings;

/// <summary>A stretch of the weeks ahead. Days from the beginning of the axis, with fractions.</summary>
/// <param name="Label">Stands in work where there is room, over a wait likewise.</param>
/// <param name="Waits">Nobody works: a bed cools, paint cures, a machine travels.</param>
public sealed record AheadBar(double From, double To, string Label, bool Waits);

/// <summary>A row of the weeks ahead: a machine, or a work centre.</summary>
/// <param name="Note">Small below the name; empty for none.</param>
/// <param name="Ready">Days of the early, likely and late end; null where the row has none.</param>
/// <param name="Promised">Day at whose end the promise is due; null where none is.</param>
public sealed record AheadRow(string Name, string Note, ImmutableArray<AheadBar> Bars, (double Early, double Likely, double Late)? Ready = null, double? Promised = null);

/// <summary>The weeks ahead: work as boxes, waiting as lengths between arrows, ready dates as bands beside the day promised.</summary>
/// <remarks>Waiting is drawn like a dimension: it takes its length of the plan as work does. The promised day is a thick tick, as limits are.</remarks>
public static class WeeksAheadChart
{
    private const double Width = 960, Left = 150, Right = 944, Top = 46, Lane = 22, Least = 42;

    /// <summary>Null without rows.</summary>
    /// <param name="first">First day of the axis.</param>
    /// <param name="today">Days from the beginning of the axis to now.</param>
    /// <param name="days">Length of the axis in days.</param>
    public static Drawing? Of(IReadOnlyList<AheadRow> rows, DateOnly first, double today, int days, string title)
    {
        ArgumentNullException.ThrowIfNull(rows);
        if (rows.Count == 0)
        {
            return null;
        }

        var axis = new Axis(days);
        var below = ImmutableArray.CreateBuilder<Mark>();
        var y = Top;
        foreach (var row in rows)
        {
            y += Row(below, axis, row, y);
        }

        var marks = ImmutableArray.CreateBuilder<Mark>();
        Days(marks, axis, first, y);
        marks.Add(new LineMark(axis.X(today), Top - 8, axis.X(today), y, Stroke.Chain));
        marks.AddRange(below);
        return new Drawing(Width, y + 8, title, string.Join("; ", rows.Select(r => Words(r, first))) + ".", marks.ToImmutable());
    }

    private static double Row(ImmutableArray<Mark>.Builder marks, Axis axis, AheadRow row, double top)
    {
        AheadBar[] shown = [.. row.Bars.Where(b => b.To > 0 && b.From < axis.Days).OrderBy(b => b.From).ThenBy(b => b.To)];
        List<double> free = [];
        foreach (var bar in shown)
        {
            // The first line on which nothing stands any more: work of branches that run beside each other.
            var lane = free.FindIndex(f => f <= bar.From + 1e-9);
            if (lane < 0)
            {
                free.Add(0);
                lane = free.Count - 1;
            }

            free[lane] = bar.To;
            Bar(marks, axis, bar, top + 6 + (lane * Lane));
        }

        var lanes = free.Count;
        if (row.Ready is { } || row.Promised is { })
        {
            Ready(marks, axis, row, top + 6 + (lanes++ * Lane) + 8);
        }

        var height = Math.Max(Least, (lanes * Lane) + 10);
        marks.Add(new TextMark(0, top + 17, row.Name, Drawing.SmallLettering, Bold: true, Inclined: false));
        if (row.Note.Length > 0)
        {
            marks.Add(new TextMark(0, top + 34, row.Note, Drawing.SmallLettering, Ink: Ink.Note, Inclined: false));
        }

        marks.Add(new LineMark(0, top + height, Right, top + height, Stroke.Thin, Ink.Soft));
        return height;
    }

    private static void Bar(ImmutableArray<Mark>.Builder marks, Axis axis, AheadBar bar, double y)
    {
        var (a, b) = (axis.X(bar.From), axis.X(bar.To));
        var room = b - a > Marks.WidthOf(bar.Label, Drawing.SmallLettering) + 6;
        if (!bar.Waits)
        {
            marks.Add(new BoxMark(a, y, Math.Max(b - a, 2), 16, Stroke.Mid));
            if (room)
            {
                marks.Add(new TextMark((a + b) / 2, y + 13, bar.Label, Drawing.SmallLettering, Anchor.Middle, Inclined: false));
            }

            return;
        }

        marks.Add(new LineMark(a, y + 8, b, y + 8, Stroke.Thin));
        if (b - a > 26)
        {
            // An end beyond the sheet has no arrow head.
            marks.AddRange(new[] { (a, -1, bar.From >= 0), (b, 1, bar.To <= axis.Days) }.Where(e => e.Item3).Select(e => Marks.ArrowHead(e.Item1, y + 8, e.Item2, 0, 9, 2.2)));
        }

        if (room && b - a > Marks.WidthOf(bar.Label, Drawing.SmallLettering) + 30)
        {
            marks.Add(new TextMark((a + b) / 2, y + 13, bar.Label, Drawing.SmallLettering, Anchor.Middle, Blank: true));
        }
    }

    private static void Ready(ImmutableArray<Mark>.Builder marks, Axis axis, AheadRow row, double y)
    {
        if (row.Ready is var (early, likely, late) && early < axis.Days)
        {
            marks.Add(new LineMark(axis.X(early), y, axis.X(late), y, Stroke.Thick));
            if (likely <= axis.Days)
            {
                marks.Add(new CircleMark(axis.X(likely), y, 5, Stroke.Mid));
            }
        }

        if (row.Promised is { } promised && promised >= 0 && promised <= axis.Days)
        {
            marks.Add(new LineMark(axis.X(promised), y - 9, axis.X(promised), y + 9, Stroke.Thick));
        }
    }

    private static void Days(ImmutableArray<Mark>.Builder marks, Axis axis, DateOnly first, double bottom)
    {
        var each = axis.X(1) - axis.X(0) > 48;
        var room = double.NegativeInfinity;
        for (var day = 0; day < axis.Days; day++)
        {
            var (date, x) = (first.AddDays(day), axis.X(day));
            var monday = date.DayOfWeek == DayOfWeek.Monday;
            marks.Add(new LineMark(x, monday ? Top - 26 : Top - 6, x, bottom, Stroke.Thin, monday ? Ink.Full : Ink.Soft));

            // Mondays are named, and the first day where the next Monday leaves room.
            var name = date.ToString(each ? "d MMM yyyy" : "d MMM", CultureInfo.InvariantCulture);
            var untilMonday = (8 - (int)date.DayOfWeek) % 7;
            if (monday ? x > room : day == 0 && axis.X(untilMonday) - x > Marks.WidthOf(name, Drawing.SmallLettering) + 10)
            {
                marks.Add(new TextMark(x + 5, Top - 14, name, Drawing.SmallLettering, Inclined: false));
                room = x + Marks.WidthOf(name, Drawing.SmallLettering);
            }

            if (each)
            {
                marks.Add(new TextMark((x + axis.X(day + 1)) / 2, Top - 2, date.ToString("ddd", CultureInfo.InvariantCulture), Drawing.SmallLettering, Anchor.Middle, Inclined: false, Ink: Ink.Note));
            }
        }
    }

    private static string Words(AheadRow row, DateOnly first)
    {
        var ready = row.Ready is var (_, likely, _) ? $", likely ready {Day(likely)}" : "";
        var promised = row.Promised is { } by ? $", promised {Day(by - 1)}" : "";
        return $"{row.Name}: {row.Bars.Count(b => !b.Waits)} of work, {row.Bars.Count(b => b.Waits)} of waiting{ready}{promised}";

        string Day(double at) => first.AddDays((int)Math.Floor(at)).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
    }

    private readonly record struct Axis(int Days)
    {
        public double X(double day) => Left + (Math.Clamp(day, 0, Days) / Days * (Right - Left));
    }
}
