using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>A run in spite of the gradient: GUM F.2.4.5, an effect that is known and not corrected is added to U as it stands.</summary>
public sealed class MeasuredAnywayTests
{
    private static readonly Amount Allowed = new(0.5m, "K");

    private static Run Run(int no, decimal kelvin, string? reason, double saddle = 20) =>
        Make.Run(no, no, Make.Instrument("small difference", 6, random: 4, common: 2), Make.Corners.Select(s => s.Id).Zip(Make.Saddle(saddle))) with
        {
            Conditions = new Conditions(20, [20 + kelvin], [20], null, reason),
        };

    private static EvaluationRecord Of(double limit, params Run[] runs) => Evaluators.Evaluate(
        Make.Flatness(limit, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, runs.Length, Allowed, true, runs) with { BowPerKelvin = new Amount(40, "µm") });

    [Fact]
    public void The_bow_is_added_to_the_uncertainty_and_the_verdict_is_reached_with_it()
    {
        var cold = Of(100, Run(1, 0.4m, null)).Result;
        var warm = Of(100, Run(1, 0.8m, "customer waits at the door")).Result;

        // 40 µm/K · 0.8 K = 32 µm, on U and on both reaches.
        Assert.Equal(cold.ExpandedUncertainty!.Value + 32, warm.ExpandedUncertainty!.Value, 1e-9);
        Assert.Equal(cold.ReachAbove!.Value + 32, warm.ReachAbove!.Value, 1e-9);
        Assert.Equal(Verdict.Accepted, warm.Verdict);
        Assert.Contains(warm.Because, b => b.Contains("0.8 K top to bottom (customer waits at the door): a bow of 32 µm", StringComparison.Ordinal));

        // 20 µm of 50 µm is accepted cold, and not proven with 32 µm of bow.
        Assert.Equal(Verdict.Accepted, Of(50, Run(1, 0.4m, null)).Result.Verdict);
        Assert.Equal(Verdict.NotProven, Of(50, Run(1, 0.8m, "urgent")).Result.Verdict);
    }

    [Fact]
    public void Without_a_reason_it_still_proves_nothing()
    {
        var result = Of(1000, Run(1, 0.8m, null)).Result;
        Assert.Equal(Verdict.NotProven, result.Verdict);
        Assert.Contains("bed top to bottom 0.8 K in run 1, allowed 0.5 K", result.Because[0], StringComparison.Ordinal);

        // One run with a reason does not excuse the other.
        Assert.Equal(Verdict.NotProven, Of(1000, Run(1, 0.8m, "urgent"), Run(2, 0.7m, null)).Result.Verdict);
    }

    [Fact]
    public void The_largest_of_several_runs_counts() =>
        Assert.Equal(Of(500, Run(1, 0.9m, "a"), Run(2, 0.4m, null)).Result.ReachAbove!.Value, Of(500, Run(1, 0.6m, "a"), Run(2, 0.9m, "b")).Result.ReachAbove!.Value, 1e-9);

    /// <summary>A bow reads into heights; what is no zone of heights is not judged in spite of the gradient.</summary>
    [Fact]
    public void Where_the_effect_is_not_worked_out_a_reason_does_not_help()
    {
        var input = Make.Least(100, DecisionRule.Guarded, Make.Corners, Make.Run(1, 1, Make.Instrument("absolute", 2), Make.Corners.Select(s => (s.Id, 200.0))) with { Conditions = new Conditions(20, [21m], [20m], null, "urgent") });
        input = input with
        {
            BowPerKelvin = new Amount(40, "µm"), GradientAllowed = Allowed,
            Sources = input.Sources.SetItem("values", input.Sources["values"] with { Readings = input.Sources["values"].Readings! with { NeedsGradient = true } }),
        };
        Assert.Equal(Verdict.NotProven, Evaluators.Evaluate(input).Result.Verdict);
    }

    [Fact]
    public void The_budget_names_the_bed()
    {
        var budget = ResultBudget.Of(Of(500, Run(1, 0.8m, "urgent")))!;
        Assert.Equal((ResultBudget.Bed, 32.0), (budget.Lines[0].Instrument, Math.Round(budget.Lines[0].Contribution, 6)));
        Assert.Equal(1, budget.Lines.Sum(l => l.Share), 1e-9);
        Assert.StartsWith("The bow of a bed that was not even", budget.Largest, StringComparison.Ordinal);
    }
}
