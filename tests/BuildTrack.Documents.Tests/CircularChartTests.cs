using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Metrology.Circular;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The picture of a circular test: every place of both ways round is drawn at its angle in one scale, and the dimension is the stored figure.</summary>
public class CircularChartTests
{
    [Fact]
    public void Every_place_is_drawn_at_its_angle_and_the_band_is_the_stored_figure()
    {
        var evaluation = Samples.Circle();
        var drawing = CircularChart.Of(evaluation)!;
        var circles = drawing.Marks.OfType<CircleMark>().Where(c => c.Stroke == Stroke.Thin).Select(c => c.Radius).Order().ToArray();
        var perUm = (circles[1] - circles[0]) / evaluation.Result.Value!.Value;
        var bar = drawing.Marks.OfType<LineMark>().Single(l => l.Stroke == Stroke.Thick);
        Assert.Contains(drawing.Marks.OfType<TextMark>(), t => t.Text == FormattableString.Invariant($"{(bar.X2 - bar.X1) / perUm:0.#} µm of deviation"));

        var (readings, radius) = CircularEvaluator.PathOf(evaluation.Input);
        var figures = CircularCalculation.Of(readings, radius).Figures!;
        foreach (var (sense, stroke) in new[] { (ContouringSense.Clockwise, Stroke.Mid), (ContouringSense.CounterClockwise, Stroke.DoubleDotted) })
        {
            var drawn = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == stroke && l.X1 < 620).Select(l => (X: l.X1 - CircularChart.CentreX, Y: CircularChart.CentreY - l.Y1))
                .Select(p => (Angle: Math.Round((Math.Atan2(p.Y, p.X) * 180 / Math.PI) + 360, 6) % 360, Um: Math.Round((Math.Sqrt((p.X * p.X) + (p.Y * p.Y)) - CircularChart.Nominal) / perUm, 6)));
            var expected = readings.Where(r => r.Sense == sense).Select(r => (r.AngleDeg, Math.Round(CircularCalculation.FromCentreUm(r, radius, figures.CentreXUm, figures.CentreYUm), 6)));
            Assert.Equal(expected, drawn);
        }

        Assert.Contains(drawing.Marks.OfType<TextMark>(), t => t.Bold && t.Text == Shown.InUnitOf(evaluation.Result.Value.Value, evaluation.Input.Requirement));
        Assert.Contains("Radius 150 mm, 72 places each way round", drawing.Description, StringComparison.Ordinal);
        Drawn.OnTheSheet(drawing);
    }

    [Fact]
    public void Other_results_have_none() => Assert.Null(CircularChart.Of(Samples.PowerLog()));
}
