using BuildTrack.Documents.Drawings;
using BuildTrack.Metrology.Statistics;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>Charts of the trends: what is drawn is what was given, nothing is drawn for nothing, and it stays on the sheet.</summary>
public class TrendChartTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(9)]
    [InlineData(33)]
    public void A_share_stands_on_its_interval(int count)
    {
        var shares = Enumerable.Range(0, count).Select(i => ($"{10 * (i + 1)}", Proportion.Find(i % 4, 3 + (i % 4))!)).ToList();
        var drawing = TrendCharts.Shares(shares, "First pass")!;
        var bars = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Thick).ToArray();
        var lines = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Thin && l.X1 == l.X2).ToArray();
        Assert.Equal((count, count), (bars.Length, lines.Length));
        var (zero, whole) = (240.0, 34.0);
        for (var i = 0; i < count; i++)
        {
            Assert.Equal(zero - ((zero - whole) * shares[i].Item2.Share), bars[i].Y1, 1e-9);
            Assert.Equal((zero - ((zero - whole) * shares[i].Item2.Low), zero - ((zero - whole) * shares[i].Item2.High)), (lines[i].Y1, lines[i].Y2));
            Assert.Equal(bars[i].X1 + 9, lines[i].X1, 1e-9);
        }

        Drawn.OnTheSheet(drawing);
        Assert.All(shares, s => Assert.Contains($"{s.Item1} ", drawing.Description, StringComparison.Ordinal));
    }

    [Fact]
    public void Hours_are_drawn_from_planned_to_recorded()
    {
        var drawing = TrendCharts.Hours([("100", 4, 5.5, 7), ("160", 19, 19, 1)], "Hours")!;
        var (rings, bars) = (drawing.Marks.OfType<CircleMark>().ToArray(), drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Thick).ToArray());
        var perHour = (240 - bars[1].Y1) / 19;
        Assert.Equal(240 - (4 * perHour), rings[0].Y, 1e-9);
        Assert.Equal(240 - (5.5 * perHour), bars[0].Y1, 1e-9);
        Assert.Equal(rings[1].Y, bars[1].Y1, 1e-9);
        Assert.Single(drawing.Marks.OfType<ShapeMark>());
        Assert.Equal("100 planned 4 h, recorded 5.5 h, 7 machines; 160 planned 19 h, recorded 19 h, 1 machine.", drawing.Description);
        Drawn.OnTheSheet(drawing);
    }

    [Fact]
    public void Nothing_is_drawn_for_nothing()
    {
        Assert.Null(TrendCharts.Shares([], "First pass"));
        Assert.Null(TrendCharts.Hours([], "Hours"));
    }
}
