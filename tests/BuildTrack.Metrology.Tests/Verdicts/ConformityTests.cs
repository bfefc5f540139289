using System.Globalization;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Verdicts.Conformity;

namespace BuildTrack.Metrology.Tests.Verdicts;

public sealed class ConformityTests
{
    [Theory]
    [InlineData("JCGM106_7.3.3_ex1")]
    [InlineData("JCGM106_7.4")]
    public void The_probability_of_conformity_is_that_of_the_published_examples(string example)
    {
        var file = ReferenceFile.Load("acc-conformity");
        var given = file.Root.GetProperty(example);
        var limits = new Limits(
            given.TryGetProperty("TU", out var upper) ? upper.GetDouble() : null, given.TryGetProperty("TL", out var lower) ? lower.GetDouble() : null);
        var decision = ByRule(given.GetProperty("y").GetDouble(), limits, DecisionRule.Guarded, 2 * given.GetProperty("u").GetDouble(), 2);
        file.Reaches(given.GetProperty("recomputed").GetDouble(), decision.ProbabilityOfConformity!.Value, "recomputed", example);
        Assert.Equal(given.GetProperty("published_pc").GetDouble(), Math.Round(decision.ProbabilityOfConformity.Value, 2));
    }

    [Fact]
    public void The_four_way_cases_come_out_as_constructed()
    {
        var file = ReferenceFile.Load("acc-conformity");
        foreach (var given in file.Root.GetProperty("decision_cases_constructed").EnumerateArray())
        {
            double value = given.GetProperty("y").GetDouble(), u = given.GetProperty("U_k2").GetDouble();
            var limit = double.Parse(given.GetProperty("limit").GetString()!.Split(' ')[1], CultureInfo.InvariantCulture);
            var simple = ByRule(value, new Limits(limit, null), DecisionRule.Simple, u, 2);
            var guarded = ByRule(value, new Limits(limit, null), DecisionRule.Guarded, u, 2);
            Assert.Equal(given.GetProperty("simple").GetString() == "pass" ? Verdict.Accepted : Verdict.Rejected, simple.Verdict);
            var expected = given.GetProperty("guard_w_U").GetString()! switch
            {
                "pass" => Verdict.Accepted,
                "fail" => Verdict.Rejected,
                _ => Verdict.NotProven,
            };
            Assert.Equal(expected, guarded.Verdict);
            if (given.TryGetProperty("pc", out var probability))
                file.Reaches(probability.GetDouble(), guarded.ProbabilityOfConformity!.Value, "pc", $"y = {value}");
        }
    }

    [Theory]
    [InlineData(30, 6, 24, 25.1, 36, 34.9)]
    [InlineData(40, 4, 36, 36.7, 44, 43.3)]
    [InlineData(40, 10, 30, 31.8, 50, 48.2)]
    [InlineData(80, 12, 68, 70.1, 92, 89.9)]
    public void The_bands_are_those_of_the_shop_table(double limit, double u, double acceptGuarded, double acceptOneSided, double rejectGuarded, double rejectOneSided)
    {
        var guarded = ByRule(limit, new Limits(limit, null), DecisionRule.Guarded, u, 2);
        var oneSided = ByRule(limit, new Limits(limit, null), DecisionRule.OneSided95, u, 2);
        Assert.Equal((acceptGuarded, rejectGuarded), (guarded.AcceptUpTo!.Value, guarded.RejectAbove!.Value));
        Assert.Equal((acceptOneSided, rejectOneSided), (Math.Round(oneSided.AcceptUpTo!.Value, 1), Math.Round(oneSided.RejectAbove!.Value, 1)));
        Assert.Null(guarded.AcceptFrom);
        Assert.Null(guarded.RejectBelow);
    }

    [Theory]
    [InlineData(0.2, 0.1, 0.3)]
    [InlineData(0.7, 0.1, 0.8)]
    [InlineData(1.1, 2.2, 3.3)]
    [InlineData(24, 6, 30)]
    public void A_value_exactly_at_the_acceptance_limit_is_accepted_as_on_paper(double value, double band, double limit)
    {
        Assert.Equal(Verdict.Accepted, Decide(value, new Limits(limit, null), band, band).Verdict);
        Assert.Equal(Verdict.NotProven, Decide(value * (1 + 1e-12), new Limits(limit, null), band, band).Verdict);
        Assert.Equal(Verdict.Accepted, Decide(-value, new Limits(null, -limit), band, band).Verdict);
    }

    [Fact]
    public void A_value_exactly_at_the_rejection_limit_is_not_rejected()
    {
        Assert.Equal(Verdict.NotProven, Decide(0.4, new Limits(0.3, null), 0.1, 0.1).Verdict);
        Assert.Equal(Verdict.Rejected, Decide(0.4000001, new Limits(0.3, null), 0.1, 0.1).Verdict);
    }

    [Fact]
    public void Two_limits_must_both_be_kept_and_one_is_enough_to_reject()
    {
        var limits = new Limits(10, -10);
        Assert.Equal(Verdict.Accepted, Decide(8, limits, 2, 2).Verdict);
        Assert.Equal(Verdict.NotProven, Decide(-9, limits, 2, 2).Verdict);
        Assert.Equal(Verdict.Rejected, Decide(-12.5, limits, 2, 2).Verdict);
        Assert.Equal(Verdict.Rejected, Decide(12.5, limits, 2, 2).Verdict);

        // A band wider than the tolerance: nothing can be accepted.
        Assert.Equal(Verdict.NotProven, Decide(0, limits, 11, 11).Verdict);
    }

    [Fact]
    public void The_simple_rule_proves_nothing_where_the_uncertainty_is_above_a_quarter_of_the_limit()
    {
        Assert.Equal(Verdict.Accepted, ByRule(20, new Limits(40, null), DecisionRule.Simple, 10, 2).Verdict);
        var decision = ByRule(20, new Limits(40, null), DecisionRule.Simple, 10.01, 2);
        Assert.Equal(Verdict.NotProven, decision.Verdict);
        Assert.Contains("quarter", decision.Because, StringComparison.Ordinal);
        Assert.Equal(40, decision.AcceptUpTo);
        Assert.True(SimpleRuleHasTooLargeUncertainty(10.01, new Limits(40, -40)));
        Assert.False(SimpleRuleHasTooLargeUncertainty(10, new Limits(40, -40)));
        Assert.True(SimpleRuleHasTooLargeUncertainty(10.01, new Limits(null, 40)));
    }

    [Fact]
    public void The_rule_may_ask_for_more_than_the_reach_and_never_for_less()
    {
        var limits = new Limits(50, null);
        Assert.Equal(50 - 6, ByRuleAndReach(40, limits, DecisionRule.Simple, 4, 2, 6, 9).AcceptUpTo);
        Assert.Equal(50 + 9, ByRuleAndReach(40, limits, DecisionRule.Simple, 4, 2, 6, 9).RejectAbove);
        Assert.Equal(50 - 8, ByRuleAndReach(40, limits, DecisionRule.Guarded, 8, 2, 6, 9).AcceptUpTo);
        Assert.Equal(50 + 9, ByRuleAndReach(40, limits, DecisionRule.Guarded, 8, 2, 6, 9).RejectAbove);
    }

    [Fact]
    public void What_is_not_accepted_says_why_with_the_numbers()
    {
        Assert.Null(Decide(10, new Limits(20, null), 2, 2).Because);
        Assert.Equal("19 is above 18, up to which acceptance is proved, and rejection is not proved.", Decide(19, new Limits(20, null), 2, 2).Because);
        Assert.Equal("23 is above 22, where rejection is proved.", Decide(23, new Limits(20, null), 2, 2).Because);
    }

    [Fact]
    public void No_verdict_is_made_of_numbers_that_are_none_or_without_a_limit()
    {
        var limits = new Limits(20, null);
        Assert.Throws<ArgumentException>(() => Decide(double.NaN, limits, 2, 2));
        Assert.Throws<ArgumentException>(() => Decide(1, new Limits(double.NaN, null), 2, 2));
        Assert.Throws<ArgumentException>(() => Decide(1, limits, double.NaN, 2));
        Assert.Throws<ArgumentException>(() => Decide(1, limits, 2, double.PositiveInfinity));
        Assert.Throws<ArgumentException>(() => Decide(1, new Limits(null, null), 2, 2));
        Assert.Throws<ArgumentException>(() => Decide(1, new Limits(1, 2), 2, 2));
        Assert.Throws<ArgumentOutOfRangeException>(() => Decide(1, limits, -1, 2));
        Assert.Throws<ArgumentOutOfRangeException>(() => ByRule(1, limits, DecisionRule.Guarded, 1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => ByRule(1, limits, (DecisionRule)9, 1, 2));
        Assert.Throws<ArgumentException>(() => ByRule(1, limits, DecisionRule.Guarded, double.NaN, 2));
    }

    [Fact]
    public void Without_uncertainty_the_probability_is_one_or_nothing()
    {
        Assert.Equal(1, ByRule(20, new Limits(20, null), DecisionRule.Guarded, 0, 2).ProbabilityOfConformity);
        Assert.Equal(0, ByRule(20.5, new Limits(20, null), DecisionRule.Guarded, 0, 2).ProbabilityOfConformity);
        Assert.Equal(1, ByRule(10, new Limits(20, 10), DecisionRule.Guarded, 0, 2).ProbabilityOfConformity);
        Assert.Equal(0, ByRule(9, new Limits(20, 10), DecisionRule.Guarded, 0, 2).ProbabilityOfConformity);
    }
}
