using System.Globalization;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The chart of a power log: every stored deviation is drawn at its minute in the scale of its own axis, and the dimension is the stored figure.</summary>
public class PowerLogChartTests
{
    [Fact]
    public void Every_reading_is_drawn_and_the_ring_stands_at_the_stored_figure()
    {
        var evaluation = Samples.PowerLog();
        var drawing = PowerLogChart.Of(evaluation)!;

        // The labels of the limits give the scale in %, those of the minutes the other.
        var percents = drawing.Marks.OfType<TextMark>().Where(t => t.X == 74).Select(t => (Percent: Number(t.Text), Y: t.Y - 5)).OrderBy(t => t.Percent).ToArray();
        var perPercent = (percents[0].Y - percents[^1].Y) / (percents[^1].Percent - percents[0].Percent);
        var zero = percents.Single(p => p.Percent == 0).Y;
        var minutes = drawing.Marks.OfType<TextMark>().Where(t => t.Y == 308 && t.Text != "min").Select(t => (Minute: Number(t.Text), t.X)).ToArray();
        var perMinute = (minutes[^1].X - minutes[0].X) / (minutes[^1].Minute - minutes[0].Minute);
        double Minute(double x) => minutes[0].Minute + ((x - minutes[0].X) / perMinute);

        var line = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Mid && l.Ink == Ink.Full && l.X2 > l.X1 && l.X2 - l.X1 < 5).ToArray();
        Assert.Equal(240, line.Length);
        Assert.Equal(evaluation.Result.Deviations.Skip(1).Select((d, i) => (31.0 + i, Math.Round(d.Value, 9))), line.Select(l => (Math.Round(Minute(l.X2), 6), Math.Round((zero - l.Y2) / perPercent, 9))));

        var ring = drawing.Marks.OfType<CircleMark>().Single();
        Assert.Equal(evaluation.Result.Value!.Value, Math.Abs(zero - ring.Y) / perPercent, 1e-9);
        Assert.Equal(evaluation.Result.Contacts[0].Place, Minute(ring.X).ToString("'M'000", CultureInfo.InvariantCulture));
        Assert.Contains(drawing.Marks.OfType<TextMark>(), t => t.Bold && t.Text == Shown.InUnitOf(evaluation.Result.Value.Value, evaluation.Input.Requirement));
        Assert.Contains("241 readings from minute 30 to 270", drawing.Description, StringComparison.Ordinal);
        Drawn.OnTheSheet(drawing);
    }

    [Fact]
    public void Other_results_have_none() => Assert.Null(PowerLogChart.Of(Samples.SmallBed()));

    private static double Number(string text) => double.Parse(text.Replace('−', '-').Replace("+", "", StringComparison.Ordinal), CultureInfo.InvariantCulture);
}
