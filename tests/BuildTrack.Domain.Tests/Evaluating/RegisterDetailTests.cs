using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Domain.Tests.Support.Surveyed;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Degrees of freedom and the digit that is read, from the register to the band. t from the table of GUM G.2: 4 degrees of freedom, 95 % one-sided 2.132, 95.45 % both sides 2.87.</summary>
public sealed class RegisterDetailTests
{
    private const double OneSided = 2.13185;

    private static readonly ImmutableArray<Station> Stations = Line(5, 500);

    private static RegisterEntry With(RegisterEntry entry, double? degrees, Amount? digit) =>
        entry with { Figures = [entry.Figures[0] with { DegreesOfFreedom = degrees }], Digit = digit };

    private static EvaluationResult Single(DecisionRule rule, double? degrees, Amount? digit)
    {
        var gauge = With(Instrument("lift", "µm", "absolute", new Amount(4, "µm")), degrees, digit);
        return Evaluators.Evaluate(Input("plain-value", AtMost(20, "µm", rule), null, null, ("values", Source("lift", [], PlaceKind.Whole, 1, [Run(1, gauge, "v", ["whole"], [5])])))).Result;
    }

    [Fact]
    public void A_sigma_from_few_repeats_widens_the_reach_and_the_one_sided_rule()
    {
        // U 4 µm, k 2: half random, half common. σ = 1 µm, B = 2 µm; the rule takes U/k = 2 µm.
        Assert.Equal((OneSided * 1) + 2, Single(DecisionRule.Guarded, 4, null).ReachAbove!.Value, 1e-4);
        Assert.Equal(OneSided * 2, Single(DecisionRule.OneSided95, 4, null).AcceptBand!.Value, 1e-4);
        Assert.Equal(1.6449 + 2, Single(DecisionRule.Guarded, null, null).ReachAbove!.Value, 1e-9);
    }

    [Fact]
    public void A_coarse_digit_adds_half_of_itself_to_a_single_value_and_a_fine_one_nothing()
    {
        var plain = Single(DecisionRule.Guarded, null, null);
        var (fine, coarse) = (Single(DecisionRule.Guarded, null, new Amount(2, "µm")), Single(DecisionRule.Guarded, null, new Amount(0.01m, "mm")));
        Assert.Equal((plain.ReachAbove, plain.ExpandedUncertainty), (fine.ReachAbove, fine.ExpandedUncertainty));
        Assert.Equal(plain.ReachAbove!.Value + 5, coarse.ReachAbove!.Value, 1e-9);
        Assert.Equal(plain.ExpandedUncertainty!.Value + 5, coarse.ExpandedUncertainty!.Value, 1e-9);
    }

    /// <summary>Two places of a slope of one step: the height of the end over the line is a sum of rises of half a metre; every digit may be half off.</summary>
    [Fact]
    public void Sums_of_slopes_take_both_into_account()
    {
        EvaluationResult Of(double? degrees, Amount? digit)
        {
            var level = With(Instrument("slope", "µm/m", "slope", new Amount(4, "µm/m"), new Amount(4, "µm/m"), new Amount(0, "µm/m")), degrees, digit);
            return Evaluators.Evaluate(Input(
                "straightness", AtMost(50, "µm"), StraightnessReference, null,
                ("line", Source("slope", Stations, PlaceKind.Between, 1, [Run(1, level, "v", Steps(Stations), [0, 10, -10, 0])])))).Result;
        }

        var plain = Of(null, null);
        Assert.Equal(plain.ReachAbove!.Value * OneSided / 1.6449, Of(4, null).ReachAbove!.Value, 1e-4);
        Assert.Equal(2.87 / 2, Of(4, null).ExpandedUncertainty!.Value / plain.ExpandedUncertainty!.Value, 0.003);

        // Four rises of 0.5 m. The end-point deviation of the middle, ½(r₁ + r₂ − r₃ − r₄), less that of an end, 0: 0.5 m · ½ · 4 = 1 m of digits, half of each.
        Assert.Equal(plain.ReachAbove!.Value + 5, Of(null, new Amount(10, "µm/m")).ReachAbove!.Value, 1e-9);
    }

    /// <summary>A rise of half a metre read as a height, U 4 µm, or as a slope, U 8 µm/m: the same rise with the same U.</summary>
    [Fact]
    public void A_rise_read_as_a_height_is_a_difference_of_two_places_already()
    {
        ImmutableArray<Station> corners = [.. Line(2, 500), .. Line(2, 500, 500, "T")];
        string[] joins = [.. new[] { ("S-00", "S-01"), ("T-00", "T-01"), ("S-00", "T-00"), ("S-01", "T-01") }.Select(j => Place.Between(j.Item1, j.Item2).Key)];
        EvaluationResult Of(string quantity, string unit, string use, decimal u, double[] readings)
        {
            var instrument = Instrument(quantity, unit, use, new Amount(u, unit), new Amount(u, unit), new Amount(0, unit));
            return Evaluators.Evaluate(Input(
                "network-flatness", AtMost(50, "µm"), "least-squares", null, ("rises", Source(quantity, corners, PlaceKind.Between, 1, [Run(1, instrument, "v", joins, readings)])))).Result;
        }

        var (heights, slopes) = (Of("height", "µm", "small difference", 4, [0, 10, 0, 10]), Of("slope", "µm/m", "slope", 8, [0, 20, 0, 20]));
        Assert.True(slopes.Value > 4);
        Assert.Equal(slopes.Value!.Value, heights.Value!.Value, 1e-9);
        Assert.Equal(slopes.ReachAbove!.Value, heights.ReachAbove!.Value, 1e-9);

        // The law of the noise is kept for noise of one unit, in six digits: the unit is another for each.
        Assert.Equal(1, heights.ReachBelow!.Value / slopes.ReachBelow!.Value, 5e-6);
    }

    [Fact]
    public void The_budget_names_both()
    {
        var level = With(Instrument("slope", "µm/m", "slope", new Amount(4, "µm/m")), 6, new Amount(10, "µm/m"));
        var record = Evaluators.Evaluate(Input(
            "straightness", AtMost(50, "µm"), StraightnessReference, null,
            ("line", Source("slope", Stations, PlaceKind.Between, 1, [Run(1, level, "v", Steps(Stations), [0, 10, -10, 0])]))));
        var budget = ResultBudget.Of(record)!;
        Assert.Equal(budget.ReachAbove, budget.Lines.Sum(l => l.Contribution), 1e-9);
        Assert.Contains("6 degrees of freedom", budget.Lines.Single(l => l.Random).Register, StringComparison.Ordinal);
        Assert.Contains("read to 10 µm/m", budget.Lines.Single(l => !l.Random).Register, StringComparison.Ordinal);
    }

    private const string StraightnessReference = "end-point";
}
