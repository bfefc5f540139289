using BuildTrack.Documents.Drawings;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The weeks ahead: every stretch stands at its days and on a line of its own, what lies beyond the sheet is cut at its edge, and nothing leaves the sheet.</summary>
public class WeeksAheadChartTests
{
    private const double Left = 150, Right = 944;
    private static readonly DateOnly Monday = new(2026, 3, 2);

    [Fact]
    public void Work_and_waiting_stand_at_their_days()
    {
        var drawing = WeeksAheadChart.Of([new("M-1", "class B", [new(1, 4, "90", false), new(4, 11, "cooling", true)], (12, 13, 20), 12)], Monday, 0.5, 14, "Weeks ahead")!;
        var box = Assert.Single(drawing.Marks.OfType<BoxMark>());
        Assert.Equal((X(1), X(4)), (box.X, box.X + box.Width));
        var wait = drawing.Marks.OfType<LineMark>().Single(l => l.Stroke == Stroke.Thin && l.Y1 == l.Y2 && l.Y1 > box.Y && l.Ink == Ink.Full);
        Assert.Equal((X(4), X(11)), (wait.X1, wait.X2));
        Assert.Equal(["90", "cooling"], drawing.Marks.OfType<TextMark>().Select(t => t.Text).Where(t => t is "90" or "cooling"));
        Assert.Equal(2, drawing.Marks.OfType<ShapeMark>().Count());

        // The late end lies beyond the sheet and is cut at its edge; the likely day is its ring, the day promised the thick tick.
        var band = drawing.Marks.OfType<LineMark>().Single(l => l.Stroke == Stroke.Thick && l.Y1 == l.Y2);
        Assert.Equal((X(12), X(14)), (band.X1, band.X2));
        Assert.Equal(X(13), Assert.Single(drawing.Marks.OfType<CircleMark>()).X);
        Assert.Equal(X(12), drawing.Marks.OfType<LineMark>().Single(l => l.Stroke == Stroke.Thick && l.X1 == l.X2).X1);
        Assert.Equal(X(0.5), drawing.Marks.OfType<LineMark>().Single(l => l.Stroke == Stroke.Chain).X1);
        Assert.Equal("M-1: 1 of work, 1 of waiting, likely ready 2026-03-15, promised 2026-03-13.", drawing.Description);
        Drawn.OnTheSheet(drawing);

        static double X(double day) => Left + (Math.Min(day, 14) / 14 * (Right - Left));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(8)]
    public void No_two_stretches_of_a_row_lie_over_each_other(int weeks)
    {
        var random = new Random(20261128 + weeks);
        AheadRow[] rows = [.. Enumerable.Range(0, 20).Select(r => new AheadRow($"OV2661-00{r:00}", "class D, on hold", [.. Enumerable.Range(0, random.Next(12)).Select(b =>
        {
            var from = (random.NextDouble() * 9 * weeks) - 2;
            return new AheadBar(from, from + (random.NextDouble() * 6), $"{10 * b}", false);
        })], (2, 3, 90), random.Next(100)))];
        var drawing = WeeksAheadChart.Of(rows, Monday, 3.3, 7 * weeks, "Weeks ahead")!;
        var boxes = drawing.Marks.OfType<BoxMark>().ToArray();
        Assert.Equal(rows.Sum(r => r.Bars.Count(b => b.To > 0 && b.From < 7 * weeks)), boxes.Length);

        // A box has a least width of two units, so that it is seen; by that much, and no more, two may touch.
        foreach (var line in boxes.GroupBy(b => b.Y))
        {
            var sorted = line.OrderBy(b => b.X).ToArray();
            Assert.All(sorted.Zip(sorted.Skip(1)), p => Assert.True(p.First.X + p.First.Width <= p.Second.X + 2, $"{p.First} reaches over {p.Second}"));
        }

        Drawn.OnTheSheet(drawing);
    }

    [Theory]
    [InlineData(0, "2 Mar 2026", "9 Mar 2026")]
    [InlineData(3, "5 Mar 2026", "9 Mar 2026", "16 Mar 2026")]
    [InlineData(6, "9 Mar 2026", "16 Mar 2026")] // a day is 57 units wide, and "8 Mar 2026" needs more
    public void Weeks_begin_at_their_Mondays_whatever_the_day_is(int later, params string[] named)
    {
        var drawing = WeeksAheadChart.Of([new("M-1", "", [new(0, 1, "90", false)])], Monday.AddDays(later), 0, 14, "Weeks ahead")!;
        Assert.Equal(named, drawing.Marks.OfType<TextMark>().Where(t => t.Text.EndsWith("2026", StringComparison.Ordinal)).Select(t => t.Text));
        var mondays = drawing.Marks.OfType<LineMark>().Where(l => l is { Stroke: Stroke.Thin, Ink: Ink.Full } && l.X1 == l.X2).Select(l => l.X1).ToArray();
        var first = (7 - later) % 7;
        Assert.Equal(new[] { first, first + 7.0 }.Select(d => Left + (d / 14 * (Right - Left))), mondays, (x, y) => Math.Abs(x - y) < 1e-9);
    }

    [Fact]
    public void Nothing_is_drawn_for_nothing() => Assert.Null(WeeksAheadChart.Of([], Monday, 0, 14, "Weeks ahead"));
}
