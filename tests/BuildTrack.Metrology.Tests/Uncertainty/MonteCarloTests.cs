using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Uncertainty;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Uncertainty;

/// <summary>Clauses 9.2, 9.3 and 9.4 of JCGM 101:2008; tolerances as the reference files state them for a million trials.</summary>
public sealed class MonteCarloTests
{
    private const int Million = 1_000_000;

    [Fact]
    public void The_additive_models_have_their_exact_mean_uncertainty_and_interval()
    {
        var file = ReferenceFile.Load("acc-jcgm101-additive");
        var cases = file.At("cases").EnumerateArray().ToArray();
        Assert.Equal(3, cases.Length);
        for (var n = 0; n < cases.Length; n++)
        {
            var inputs = cases[n].GetProperty("inputs").EnumerateArray().Select(Input).ToArray();
            var result = MonteCarlo.OfTrials(source => inputs.Sum(draw => draw(source)), Million, (ulong)(7301 + n));
            var (again, wide) = (cases[n].GetProperty("recomputed"), n == 2);
            var ends = (again.TryGetProperty("interval_exact", out var exact) ? exact : again.GetProperty("interval")).EnumerateArray()
                .Select(v => v.GetDouble()).ToArray();
            var name = cases[n].GetProperty("name").GetString()!;
            Agreement.Near(0, result.Mean, wide ? 0.03 : 0.006, name);
            Agreement.Near(again.GetProperty("u").GetDouble(), result.StandardUncertainty, wide ? 0.02 : 0.004, name);
            Agreement.Near(ends[0], result.SymmetricLow, wide ? 0.03 : 0.016, name);
            Agreement.Near(ends[1], result.SymmetricHigh, wide ? 0.03 : 0.016, name);

            // The length of the shortest interval of a symmetric distribution is that of the symmetric one.
            Agreement.Near(ends[1] - ends[0], result.ShortestHigh - result.ShortestLow, wide ? 0.06 : 0.032, name);
            var published = cases[n].GetProperty("published");
            var printed = (published.TryGetProperty("interval_monte_carlo", out var trials) ? trials : published.GetProperty("interval"))[1].GetDouble();
            Agreement.Near(printed, result.SymmetricHigh, wide ? 0.05 : 0.02, name + ", as printed");
        }
    }

    [Fact]
    public void The_mass_calibration_has_more_uncertainty_than_its_straight_line_says()
    {
        var file = ReferenceFile.Load("acc-jcgm101-mass");
        var exact = file.At("recomputed", "exact_by_quadrature");
        var inputs = file.At("inputs").EnumerateObject().ToDictionary(i => i.Name, i => Input(i.Value));
        var result = MonteCarlo.OfTrials(
            source =>
            {
                double mass = inputs["mR"](source) + inputs["dmR"](source), air = inputs["rho_a"](source), weight = inputs["rho_W"](source),
                    reference = inputs["rho_R"](source);
                return (mass * (1 + ((air - 1.2) * ((1 / weight) - (1 / reference))))) - 100_000;
            },
            Million, 7311);
        Agreement.Near(exact.GetProperty("y").GetDouble(), result.Mean, 0.0003, "mean: four standard errors");
        Agreement.Near(exact.GetProperty("u").GetDouble(), result.StandardUncertainty, 0.0002, "u");
        var ends = exact.GetProperty("interval_95").EnumerateArray().Select(v => v.GetDouble()).ToArray();
        Agreement.Near(ends[0], result.SymmetricLow, 0.0006, "symmetric");
        Agreement.Near(ends[1], result.SymmetricHigh, 0.0006, "symmetric");
        Agreement.Near(ends[0], result.ShortestLow, 0.003, "shortest");
        Agreement.Near(ends[1], result.ShortestHigh, 0.003, "shortest");
        Assert.True(result.StandardUncertainty > 1.35 * file.Number("published", "propagation_first_order", "u"));

        // The first-order budget, for comparison: the densities do not count at all.
        var budget = UncertaintyBudget.Of(
            [BudgetComponent.OfStandard("mR", 0.05), BudgetComponent.OfStandard("dmR", 0.02),
                BudgetComponent.OfHalfWidth("air", 0.1, BoundedShape.Rectangular, 0)]);
        Assert.Equal(file.Number("published", "propagation_first_order", "u"), Math.Round(budget.CombinedStandardUncertainty, 4));
    }

    [Fact]
    public void The_comparison_loss_is_never_negative_and_its_shortest_interval_begins_at_zero()
    {
        var file = ReferenceFile.Load("acc-jcgm101-comparison-loss");
        ulong seed = 7321;
        foreach (var row in file.At("cases").EnumerateArray())
        {
            double start = row.GetProperty("x1").GetDouble(), r = row.GetProperty("r").GetDouble();
            var exact = row.GetProperty("recomputed_1e-6").GetProperty("exact");
            var result = MonteCarlo.OfTrials(
                source =>
                {
                    var (x1, x2) = InputDraw.NormalPair(source, start, 0.005, 0, 0.005, r);
                    return 1e6 * ((x1 * x1) + (x2 * x2));
                },
                Million, seed++);
            double u = exact.GetProperty("u").GetDouble(), y = exact.GetProperty("y").GetDouble();
            Agreement.Near(y, result.Mean, 4 * u / 1000, "mean");
            Agreement.Near(u, result.StandardUncertainty, 8 * u / 1000, "u");
            double[] shortest = Ends(exact, "shortest_95"), symmetric = Ends(exact, "symmetric_95");
            Agreement.Near(symmetric[0], result.SymmetricLow, 0.01 * u, "symmetric");
            Agreement.Near(symmetric[1], result.SymmetricHigh, 0.03 * u, "symmetric");

            // Where the minimum is wide and flat its place is uncertain, its length is not.
            Agreement.Near(shortest[1] - shortest[0], result.ShortestHigh - result.ShortestLow, 4, "length of the shortest");
            Agreement.Near(shortest[0], result.ShortestLow, 10, "shortest");
            Agreement.Near(shortest[1], result.ShortestHigh, 11, "shortest");
            Assert.True(result.ShortestLow >= 0);
            var printed = row.GetProperty("published_1e-6").GetProperty("monte_carlo");
            Agreement.Near(printed.GetProperty("y").GetDouble(), result.Mean, 2.5, "y as printed");
            Agreement.Near(printed.GetProperty("u").GetDouble(), result.StandardUncertainty, 2, "u as printed");
        }

        Assert.Equal(7324UL, seed);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void Sequences_go_on_until_the_digits_asked_for_repeat(int digits)
    {
        // Case 9.2.3, whose exact interval is 2 √3 (2 − (3/5)^¼).
        const ulong seed = 7331;
        var result = MonteCarlo.Adaptive(FourRectangular, digits, seed);
        Assert.True(result.Stabilised);
        Assert.Equal(digits == 1 ? 0.5 : 0.05, result.NumericalTolerance);
        Agreement.Near(0, result.Mean, result.NumericalTolerance!.Value, "mean");
        Agreement.Near(2, result.StandardUncertainty, result.NumericalTolerance.Value, "u");
        Agreement.Near(-3.879406741, result.SymmetricLow, result.NumericalTolerance.Value, "low");
        Agreement.Near(3.879406741, result.SymmetricHigh, result.NumericalTolerance.Value, "high");
        Assert.Equal(0, result.Trials % 10_000);
        Assert.True(result.Trials >= 20_000);
        Assert.Equal(result, MonteCarlo.Adaptive(FourRectangular, digits, seed));
        Assert.NotEqual(result, MonteCarlo.Adaptive(FourRectangular, digits, seed + 1));
    }

    [Fact]
    public void Two_digits_need_more_trials_than_one_and_too_few_are_said_to_be_too_few()
    {
        // Heavy tails: Student's t of three degrees of freedom has an unsteady standard deviation.
        static double Heavy(SeededSource source) => InputDraw.Student(source, 0, 1, 3);
        var one = MonteCarlo.Adaptive(Heavy, 1, 7341);
        var stopped = MonteCarlo.Adaptive(Heavy, 2, 7341, mostTrials: 20_000);
        Assert.True(one.Stabilised);
        Assert.False(stopped.Stabilised);
        Assert.Equal(20_000, stopped.Trials);

        // A sequence holds a hundred values outside the interval: 100/(1 − p).
        Assert.Equal(200_000, MonteCarlo.Adaptive(FourRectangular, 1, 7342, coverageProbability: 0.999).Trials);
    }

    [Theory]
    [InlineData(0.00035, 2, 0.000005)]
    [InlineData(0.00035, 1, 0.00005)]
    [InlineData(2, 2, 0.05)]
    [InlineData(9.96, 2, 0.5)]
    [InlineData(9.94, 2, 0.05)]
    [InlineData(1234, 1, 500)]
    public void The_numerical_tolerance_is_half_a_unit_of_the_last_digit_asked_for(double u, int digits, double expected) =>
        // JCGM 101:2008, 7.9.2: u(m_S) = 0.000 35 g is 35 × 10⁻⁵, so δ is ½ 10⁻⁵ g with two digits and ½ 10⁻⁴ g with one (from memory).
        Assert.Equal(expected, MonteCarlo.Tolerance(u, digits), 12);

    [Fact]
    public void Every_shape_between_bounds_spreads_as_the_budget_takes_it()
    {
        foreach (var shape in Enum.GetValues<BoundedShape>())
        {
            var result = MonteCarlo.OfTrials(source => InputDraw.Bounded(source, 5, 3, shape), 300_000, 7351);
            var u = BudgetComponent.OfHalfWidth("x", 3, shape).StandardUncertainty;
            Agreement.Near(5, result.Mean, 4 * u / Math.Sqrt(300_000), shape.ToString());
            Agreement.Near(u, result.StandardUncertainty, 4 * u / Math.Sqrt(300_000), shape.ToString());

            // Closed forms of the 97.5 % quantile: a (2p − 1), a (1 − √(2(1 − p))), a cos(π (1 − p)).
            var end = shape switch { BoundedShape.Rectangular => 0.95, BoundedShape.Triangular => 1 - Math.Sqrt(0.05), _ => Math.Cos(Math.PI * 0.025) };
            Agreement.Near(5 + (3 * end), result.SymmetricHigh, 0.02, shape.ToString());
        }
    }

    [Fact]
    public void The_mean_of_few_readings_spreads_as_student_says()
    {
        // t₀.₉₇₅ of 8 degrees of freedom 2.306 (JCGM 100:2008, table G.2); variance ν/(ν − 2).
        var result = MonteCarlo.OfTrials(source => InputDraw.Student(source, 10, 2, 8), Million, 7361);
        Agreement.Near(2 * Math.Sqrt(8.0 / 6), result.StandardUncertainty, 0.012, "u");
        Agreement.Near(10 + (2 * 2.306), result.SymmetricHigh, 0.04, "t");
    }

    [Fact]
    public void A_straight_line_model_agrees_with_the_budget_correlated_or_not()
    {
        foreach (var r in new[] { -0.9, 0, 0.6, 1 })
        {
            var result = MonteCarlo.OfTrials(
                source =>
                {
                    var (a, b) = InputDraw.NormalPair(source, 1, 0.3, -2, 0.5, r);
                    return (2 * a) - (3 * b);
                },
                300_000, 7371);
            var budget = UncertaintyBudget.Of([BudgetComponent.OfStandard("a", 0.3, 2), BudgetComponent.OfStandard("b", 0.5, -3)], [new("a", "b", r)]);
            Agreement.Near(8, result.Mean, 4 * budget.CombinedStandardUncertainty / Math.Sqrt(300_000), "mean");
            Agreement.Near(budget.CombinedStandardUncertainty, result.StandardUncertainty, 4 * budget.CombinedStandardUncertainty / Math.Sqrt(600_000),
                $"r {r}");
        }
    }

    [Fact]
    public void A_model_that_does_not_vary_has_no_uncertainty_and_a_large_mean_costs_no_digits()
    {
        var still = MonteCarlo.Adaptive(_ => 7, 2, 1);
        Assert.Equal((7.0, 0.0, 7.0, 7.0, true), (still.Mean, still.StandardUncertainty, still.SymmetricLow, still.ShortestHigh, still.Stabilised));
        var far = MonteCarlo.OfTrials(source => InputDraw.Normal(source, 1e9, 0.001), 100_000, 7381);
        Agreement.Near(0.001, far.StandardUncertainty, 1e-5, "u");
    }

    [Fact]
    public void Silly_demands_and_values_that_are_none_are_refused_by_name()
    {
        Refused("trials", () => MonteCarlo.OfTrials(FourRectangular, 9_999, 1));
        Refused("trials", () => MonteCarlo.OfTrials(FourRectangular, int.MaxValue, 1));
        Refused("mostTrials", () => MonteCarlo.Adaptive(FourRectangular, 1, 1, mostTrials: int.MaxValue));
        Refused("at least 200000", () => MonteCarlo.Adaptive(FourRectangular, 1, 1, 0.999, 100_000));
        Refused("digits", () => MonteCarlo.Adaptive(FourRectangular, 3, 1));
        foreach (var bad in new[] { double.NaN, 0, 0.49, 0.99999, 1 })
            Refused("coverage probability", () => MonteCarlo.OfTrials(FourRectangular, 10_000, 1, bad));
        var trial = 0;
        Refused("in trial 12 is NaN", () => MonteCarlo.OfTrials(_ => ++trial == 12 ? double.NaN : 1, 10_000, 1));
        Refused("in trial 1 is infinite", () => MonteCarlo.Adaptive(_ => double.PositiveInfinity, 1, 1));
        var source = new SeededSource(1);
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -1 })
        {
            Refused("standard uncertainty", () => InputDraw.Normal(source, 0, bad));
            Refused("half-width", () => InputDraw.Bounded(source, 0, bad, BoundedShape.UShaped));
            Refused("scale", () => InputDraw.Student(source, 0, bad, 3));
            Refused("second uncertainty", () => InputDraw.NormalPair(source, 0, 1, 0, bad, 0));
        }

        Refused("correlation", () => InputDraw.NormalPair(source, 0, 1, 0, 1, 1.1));
        Refused("degreesOfFreedom", () => InputDraw.Student(source, 0, 1, 0));
    }

    private static double FourRectangular(SeededSource source)
    {
        double sum = 0;
        for (var i = 0; i < 4; i++)
            sum += InputDraw.Bounded(source, 0, Math.Sqrt(3), BoundedShape.Rectangular);
        return sum;
    }

    private static Func<SeededSource, double> Input(JsonElement input)
    {
        if (Has("u"))
        {
            double mean = Number("mean"), u = Number("u");
            return source => InputDraw.Normal(source, mean, u);
        }

        double middle = Has("a") ? (Number("a") + Number("b")) / 2 : Number("mean"), half = Has("a") ? (Number("b") - Number("a")) / 2 : Number("half_width");
        return source => InputDraw.Bounded(source, middle, half, BoundedShape.Rectangular);

        double Number(string name) => input.GetProperty(name).GetDouble();
        bool Has(string name) => input.TryGetProperty(name, out _);
    }

    private static double[] Ends(JsonElement at, string name) => [.. at.GetProperty(name).EnumerateArray().Select(v => v.GetDouble())];
}
