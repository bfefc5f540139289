using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>The budget takes a reach apart; the reach itself is 1.6449 s + B (docs/method/verdict.md).</summary>
public sealed class ResultBudgetTests
{
    private static ResultBudget Budget(double random, double common, int passes = 1) => ResultBudget.Of(Evaluators.Evaluate(Make.Flatness(
        100, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, passes, null, false,
        [.. Enumerable.Range(1, passes).Select(i => Make.Run(i, i, Make.Instrument("small difference", random + common, random, common), Make.Corners.Select(s => s.Id).Zip(Make.Saddle(40))))])))!;

    /// <summary>Four corners: pure noise has one residual shape, ±e/4 by sign, so Var(rᵢ − rⱼ) is at most σ²: s = σ, by hand.</summary>
    [Theory]
    [InlineData(4, 3, 1)]
    [InlineData(4, 3, 4)]
    [InlineData(1, 8, 1)]
    public void Each_line_is_what_the_reach_loses_without_its_part(double random, double common, int passes)
    {
        var budget = Budget(random, common, passes);
        var noise = 1.6449 * (random / 2 / Math.Sqrt(2)) / Math.Sqrt(passes);
        Assert.Equal(noise + common, budget.ReachAbove, 1e-9);
        var line = budget.Lines.Single(l => l.Random);
        Assert.Equal(noise, line.Contribution, 1e-9);
        Assert.Equal(passes, line.Passes);
        Assert.Equal(common, budget.Lines.Single(l => !l.Random).Contribution, 1e-9);
        Assert.Equal(1, budget.Lines.Sum(l => l.Share), 1e-12);
        Assert.Equal(budget.Lines.Max(l => l.Contribution), budget.Lines[0].Contribution);
    }

    [Fact]
    public void The_largest_component_is_named_with_what_would_make_it_smaller()
    {
        Assert.StartsWith("What all readings of", Budget(1, 8).Largest, StringComparison.Ordinal);
        var random = Budget(12, 1).Largest;
        // 1.6449 · 12 / 2 / √2 = 6.98 µm; with two passes 4.93 µm.
        Assert.Contains("falls from 7.0 µm to 4.9 µm", random, StringComparison.Ordinal);
    }

    [Fact]
    public void A_result_without_a_value_has_no_budget() =>
        Assert.Null(ResultBudget.Of(Evaluators.Evaluate(Make.Flatness(100, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false))));
}
