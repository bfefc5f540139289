using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Domain.Tests.Support.Surveyed;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Squareness by a turned square, and whether it agrees with the diagonals. Numbers: docs/method/squareness.md, worked by hand.</summary>
public sealed class SquarenessDecisionTests
{
    // (r1 + r2)/2L over 500 mm. U of a reading 3 µm, half of it random: √((2 · 0.75/√2 / 0.5)² + (1.5/0.5)²) = 3.67 µm/m, guarded: accepted to 36.3, rejected beyond 43.7 of 40.
    [Theory]
    [InlineData(0.005, 0.003, Verdict.Accepted, 8, 2)]
    [InlineData(0.021, 0.019, Verdict.NotProven, 40, 2)]
    [InlineData(-0.026, -0.024, Verdict.Rejected, -50, -2)]
    public void The_error_of_the_square_goes_out(double first, double second, Verdict verdict, double angle, double square)
    {
        var result = Evaluators.Evaluate(Input("square-reversal", AtMost(40, "µm/m"), null, null, Square(first, second, 500))).Result;
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(Math.Abs(angle), result.Value!.Value, 6);
        Assert.Equal(angle, result.Figure("angle, +X toward +Y"), 6);
        Assert.Equal(square, result.Figure("error of the square itself"), 6);
        Assert.Equal(Math.Sqrt(4.5 + 9), result.ExpandedUncertainty!.Value, 2);
    }

    [Theory]
    [InlineData(0.005, 50, "a blade of 50 mm")]
    [InlineData(20, 500, "at most 30 mm for each metre")]
    public void Figures_that_cannot_be_give_no_result(double first, double blade, string because)
    {
        var result = Evaluators.Evaluate(Input("square-reversal", AtMost(40, "µm/m"), null, null, Square(first, 0.003, blade))).Result;
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Contains(because, string.Join(" ", result.Because), StringComparison.Ordinal);
    }

    // Diagonals of 3000 × 1500 mm that differ by 2 · 8e-6 · 3000 · 1500 / 3354.10 = 0.021466 mm lean 8 µm/m.
    [Theory]
    [InlineData(0.005, 0.003, Verdict.Accepted)]
    [InlineData(-0.005, -0.003, Verdict.Rejected)]
    public void A_sign_mistaken_in_one_method_shows_where_both_stand_side_by_side(double first, double second, Verdict verdict)
    {
        var result = Evaluators.Evaluate(Input("squareness-two-methods", AtMost(1, "1", DecisionRule.Simple), null, null, [.. Lengths(), .. Square(first, second, 500)])).Result;
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(8, result.Figure("by diagonals"), 2);
        Assert.Equal(first > 0 ? 8 : -8, result.Figure("by the turned square"), 6);
        Assert.Equal(Math.Abs(result.Figure("difference")) / result.Figure("U of the difference"), result.Value!.Value, 9);
    }

    [Fact]
    public void One_method_alone_says_nothing_of_agreement()
    {
        var square = Square(0.005, 0.003, 500).Select(s => (s.Name, new Source(s.Source.Readings! with { Runs = [] }, null, null)));
        var result = Evaluators.Evaluate(Input("squareness-two-methods", AtMost(1, "1", DecisionRule.Simple), null, null, [.. Lengths(), .. square])).Result;
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
    }

    private static (string Name, Source Source)[] Square(double first, double second, double blade)
    {
        var (indicator, tape) = (Instrument("indicator", "mm", "absolute", new Amount(3, "µm")), Instrument("length", "mm", "absolute", new Amount(1, "mm")));
        return [("first", One("indicator", indicator, "first", first)), ("second", One("indicator", indicator, "second", second)), ("blade", One("length", tape, "blade", blade))];
    }

    private static IEnumerable<(string Name, Source Source)> Lengths()
    {
        var comparator = Instrument("length", "mm", "absolute", new Amount(0.004m, "mm"));
        var half = 8e-6 * 3000 * 1500 / Math.Sqrt((3000.0 * 3000) + (1500.0 * 1500));
        var d = Math.Sqrt((3000.0 * 3000) + (1500.0 * 1500));
        (string, double)[] lengths = [("d1", d + half), ("d2", d - half), ("x1", 3000), ("y1", 1500), ("x2", 3000), ("y2", 1500)];
        return lengths.Select(l => (l.Item1, One("length", comparator, l.Item1, l.Item2)));
    }

    private static Source One(string quantity, BuildTrack.Domain.Instruments.RegisterEntry instrument, string column, double value) =>
        Source(quantity, [], PlaceKind.Whole, 1, [Run(1, instrument, column, ["whole"], [value])], column);
}
