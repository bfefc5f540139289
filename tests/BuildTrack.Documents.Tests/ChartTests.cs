using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>Charts over machines: what is drawn is what was given, and it stays on the sheet.</summary>
public class ChartTests
{
    private static readonly (string Name, double Before, double After)[] Machines =
        [("OV1212-0088", 16.96, 16.58), ("OV2040-0203", 34.01, 38.31), ("OV2661-0030", 0, 36.08), ("OV1530-0411", 23, 23)];

    [Fact]
    public void A_change_is_drawn_from_its_ring_to_its_bar_in_one_scale()
    {
        var drawing = ChangeChart.Of(Machines, "µm")!;
        var rings = drawing.Marks.OfType<CircleMark>().ToArray();
        var bars = drawing.Marks.OfType<LineMark>().Where(l => l.Stroke == Stroke.Thick).ToArray();
        Assert.Equal(Machines.Length, rings.Length);
        Assert.Equal(Machines.Length, bars.Length);

        // One straight scale through zero for all: what is drawn over what was given.
        var zero = rings[2].Y;
        var perUm = (zero - bars[2].Y1) / 36.08;
        Assert.True(perUm > 0);
        for (var i = 0; i < Machines.Length; i++)
        {
            Assert.Equal(zero - (perUm * Machines[i].Before), rings[i].Y, 1e-9);
            Assert.Equal(zero - (perUm * Machines[i].After), bars[i].Y1, 1e-9);
            Assert.Equal(bars[i].Y1, bars[i].Y2);
            Assert.Equal(rings[i].X, (bars[i].X1 + bars[i].X2) / 2, 1e-9);
        }

        // An arrow where there is room for one: not for 0.4 µm, not for none.
        Assert.Equal(2, drawing.Marks.OfType<LineMark>().Count(l => l.Stroke == Stroke.Thin && l.X1 == l.X2));
    }

    [Fact]
    public void What_is_drawn_of_a_change_is_said_in_words_too()
    {
        var drawing = ChangeChart.Of(Machines, "µm")!;
        Assert.All(Machines, m => Assert.Contains($"{m.Name} {Shown.Text(m.Before, "µm")}, then {Shown.Text(m.After, "µm")}", drawing.Description, StringComparison.Ordinal));
        Drawn.OnTheSheet(drawing);
    }

    [Fact]
    public void Values_below_zero_and_values_all_alike_have_a_scale()
    {
        var below = ChangeChart.Of([("a", -5, 10), ("b", 0, -5)], "µm")!;
        var rings = below.Marks.OfType<CircleMark>().ToArray();
        Assert.True(rings[0].Y > rings[1].Y && rings[0].Y < below.Height, "below zero is drawn lower, and on the sheet");
        Assert.All(ChangeChart.Of([("a", 0, 0)], "µm")!.Marks.OfType<CircleMark>(), r => Assert.True(double.IsFinite(r.Y)));
        Assert.Null(ChangeChart.Of([], "µm"));
        Assert.Null(ChangeChart.Svg([], "µm"));
    }
}
