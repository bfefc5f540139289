using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The chart of an axis: every reading is drawn, and the dimension is as high as the stored figure in the scale of its own axis.</summary>
public class PositioningChartTests
{
    [Theory]
    [InlineData("accuracy-A")]
    [InlineData("systematic-E")]
    [InlineData("repeatability-R")]
    [InlineData("reversal-B")]
    [InlineData("mean-M")]
    public void The_dimension_is_the_stored_figure(string reference)
    {
        var evaluation = Samples.Axis(reference);
        var value = evaluation.Result.Value!.Value;
        var drawing = PositioningChart.Of(evaluation)!;

        // Two labelled marks of the axis of deviations give its scale.
        var labels = drawing.Marks.OfType<TextMark>().Where(t => t.X == 74).Select(t => (Um: double.Parse(t.Text.Replace('−', '-').Replace("+", "", StringComparison.Ordinal), System.Globalization.CultureInfo.InvariantCulture), Y: t.Y - 5)).ToArray();
        var perUm = (labels[0].Y - labels[^1].Y) / (labels[^1].Um - labels[0].Um);
        var dimension = drawing.Marks.OfType<LineMark>().Single(l => l.X1 == 850 && l.X2 == 850);
        Assert.Equal(value, Math.Abs(dimension.Y2 - dimension.Y1) / perUm, 1e-9);
        Assert.Contains(drawing.Marks.OfType<TextMark>(), t => t.Bold && t.Text == Shown.InUnitOf(value, evaluation.Input.Requirement));

        Assert.Equal(11 * 5 * 2, drawing.Marks.OfType<LineMark>().Count(l => l.Y1 == l.Y2 && Math.Abs(Math.Abs(l.X1 - l.X2) - 7) < 1e-9 && l.Y1 < 340));
        Assert.Equal(10, drawing.Marks.OfType<LineMark>().Count(l => l.Stroke == Stroke.Mid && l.X1 != l.X2 && l.Y1 < 329));
        Assert.Equal(11, drawing.Description.Split(" mm forward ").Length - 1);
        Drawn.OnTheSheet(drawing);
    }

    [Fact]
    public void One_run_each_way_has_a_chart_and_other_results_have_none()
    {
        var once = PositioningChart.Of(Samples.Axis("systematic-E", 1))!;
        Assert.Contains("1 run each way", once.Description, StringComparison.Ordinal);
        Drawn.OnTheSheet(once);
        Assert.Null(PositioningChart.Of(Samples.Axis("accuracy-A", 1)));
        Assert.Null(PositioningChart.Of(Samples.SmallBed()));
    }
}
