using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Uncertainty;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Uncertainty;

/// <summary>Examples H.1, H.3 and G.4.1 of JCGM 100:2008, table G.2, and laws of the formula of Welch and Satterthwaite.</summary>
public sealed class UncertaintyBudgetTests
{
    private static readonly ReferenceFile Gum = ReferenceFile.Load("acc-gum");

    [Fact]
    public void The_end_gauge_of_the_guide_has_its_published_uncertainty_degrees_and_factor()
    {
        var (inputs, published, again) = (Gum.At("H1_end_gauge", "inputs"), Gum.At("H1_end_gauge", "published"), Gum.At("H1_end_gauge", "recomputed"));
        double[] parts = Numbers(inputs, "u_d_parts_nm"), degrees = Numbers(inputs, "nu_d_parts");
        var comparison = UncertaintyBudget.Of([.. parts.Select((u, i) => BudgetComponent.OfStandard($"part {i + 1}", u, 1, degrees[i], EvaluationType.A))]);
        Gum.Reaches(Number(again, "u_d_nm"), comparison.CombinedStandardUncertainty, "recomputed", "u(d)");
        Gum.Reaches(Number(again, "nu_d"), comparison.EffectiveDegreesOfFreedom!.Value, "recomputed", "ν(d)");

        var result = UncertaintyBudget.Of(EndGauge(comparison), coverageProbability: 0.99);
        Gum.Reaches(Number(again, "uc_nm"), result.CombinedStandardUncertainty, "recomputed", "u_c");
        Assert.Equal(Number(published, "uc_nm"), Math.Round(result.CombinedStandardUncertainty));
        Gum.Reaches(Number(again, "nu_eff"), result.EffectiveDegreesOfFreedom!.Value, "recomputed", "ν_eff");

        // The guide rounds u_c to 32 nm before it combines, which gives ν_eff 16.7 in place of 16.75; both are 16 in the end.
        Agreement.Near(Number(published, "nu_eff"), result.EffectiveDegreesOfFreedom.Value, 0.06, "ν_eff");
        Assert.Equal(16, result.DegreesUsed);
        Assert.Equal(Number(published, "t99_16"), Math.Round(result.CoverageFactor!.Value, 2));
        Agreement.Near(Number(again, "U99_from_unrounded_uc_nm"), result.ExpandedUncertainty!.Value, 6e-4, "U99");
        Agreement.Near(Number(published, "U99_nm"), result.CoverageFactor.Value * 32, 0.5, "U99 from the rounded u_c");
        Assert.Equal("l_s", result.Largest);
        var contributions = Numbers(published, "contrib_nm");
        Assert.Equal(contributions, result.Lines.Select(l => Math.Round(l.ContributionSize, 1)));
        Assert.Equal(1, result.Lines.Sum(l => l.VarianceShare), 12);
        Assert.Null(result.Because);
    }

    [Fact]
    public void Second_order_terms_of_the_end_gauge_enter_as_components_of_their_own()
    {
        var second = Numbers(Gum.At("H1_end_gauge", "recomputed"), "second_order_terms_nm");
        var result = UncertaintyBudget.Of([.. EndGauge(null), .. second.Select((u, i) => BudgetComponent.OfStandard($"second order {i}", u))]);
        Agreement.Near(Gum.Number("H1_end_gauge", "recomputed", "uc_with_second_order_nm"), result.CombinedStandardUncertainty, 2e-3, "u_c");
        Assert.Equal(Gum.Number("H1_end_gauge", "published", "uc_with_second_order_nm"), Math.Round(result.CombinedStandardUncertainty));
    }

    [Fact]
    public void The_thermometer_line_is_propagated_with_its_correlation_and_has_no_effective_degrees()
    {
        var line = Gum.At("H3_thermometer_line", "published");
        BudgetComponent[] components =
        [
            BudgetComponent.OfStandard("y1", Number(line, "s1"), 1, Number(line, "nu"), EvaluationType.A, "°C"),
            BudgetComponent.OfStandard("y2", Number(line, "s2"), 10, Number(line, "nu"), EvaluationType.A),
        ];
        var result = UncertaintyBudget.Of(components, [new("y1", "y2", Number(line, "r"))]);
        Assert.Equal(Number(line, "u_b30"), Math.Round(result.CombinedStandardUncertainty, 4));
        Assert.Null(result.EffectiveDegreesOfFreedom);
        Assert.False(result.InfiniteDegrees);
        Assert.Null(result.ExpandedUncertainty);
        Assert.Contains("not taken as infinite", result.Because, StringComparison.Ordinal);
        var withK = UncertaintyBudget.Of(components, [new("y2", "y1", Number(line, "r"))], coverageFactor: 2);
        Assert.Equal(2 * result.CombinedStandardUncertainty, withK.ExpandedUncertainty);
        Assert.Null(withK.CoverageProbability);
    }

    [Fact]
    public void The_thermometer_line_from_its_readings_ends_at_the_same_uncertainty()
    {
        // Twin: the variance of a fitted line at a point, s² (1/n + (t − t̄)²/S), never speaks of a correlation.
        double[] t = Numbers(Gum.At("H3_thermometer_line"), "t_C"), b = Numbers(Gum.At("H3_thermometer_line"), "b_C");
        double n = t.Length, mean = t.Average() - 20, spread = t.Sum(v => (v - 20 - mean) * (v - 20 - mean));
        var slope = t.Zip(b, (v, w) => (v - 20 - mean) * w).Sum() / spread;
        var start = b.Average() - (slope * mean);
        var s = Math.Sqrt(t.Zip(b, (v, w) => w - start - (slope * (v - 20))).Sum(r => r * r) / (n - 2));
        double s1 = s * Math.Sqrt((1 / n) + (mean * mean / spread)), s2 = s / Math.Sqrt(spread), r = -mean / Math.Sqrt((spread / n) + (mean * mean));
        Agreement.Near(Gum.Number("H3_thermometer_line", "recomputed", "r"), r, 5e-6, "r");
        var budget = UncertaintyBudget.Of(
            [BudgetComponent.OfStandard("y1", s1), BudgetComponent.OfStandard("y2", s2, 10)], [new("y1", "y2", r)]);
        Agreement.Near(s * Math.Sqrt((1 / n) + ((10 - mean) * (10 - mean) / spread)), budget.CombinedStandardUncertainty, 1e-12, "u(b(30))");
        Gum.Reaches(Gum.Number("H3_thermometer_line", "recomputed", "u_b30"), budget.CombinedStandardUncertainty, "recomputed", "u(b(30))");
        Agreement.Near(Gum.Number("H3_thermometer_line", "recomputed", "b30"), start + (10 * slope), 5e-7, "b(30)");
    }

    [Fact]
    public void The_three_factors_of_the_guide_have_nineteen_degrees_and_not_eighteen()
    {
        var example = Gum.At("G4_1_welch_satterthwaite");
        double[] u = Numbers(example, "rel_u_percent"), n = Numbers(example, "n");
        BudgetComponent[] components = [.. u.Select((v, i) => BudgetComponent.OfStandard($"x{i}", v, 1, n[i] - 1, EvaluationType.A, "%"))];
        var result = UncertaintyBudget.Of(components);
        Assert.Equal(1.03, Math.Round(result.CombinedStandardUncertainty, 2));
        Gum.Reaches(Gum.Number("G4_1_welch_satterthwaite", "recomputed", "nu_eff"), result.EffectiveDegreesOfFreedom!.Value, "recomputed", "ν_eff");
        Assert.Equal(19, result.DegreesUsed);
        Assert.Equal(2.09, Math.Round(result.CoverageFactor!.Value, 2));
        Agreement.Near(Gum.Number("G4_1_welch_satterthwaite", "recomputed", "U95_percent"), result.ExpandedUncertainty!.Value, 5e-4, "U95");
        Assert.Equal(2.2, Math.Round(result.ExpandedUncertainty.Value, 1));

        // Between 18 (2.1009) and 19 (2.0930), all but at 19.
        var between = UncertaintyBudget.Of(components, rule: DegreesRule.Interpolated);
        Assert.Equal(result.EffectiveDegreesOfFreedom, between.DegreesUsed);
        Agreement.Near(2.0930241 + (0.0013 * (2.100922 - 2.0930241)), between.CoverageFactor!.Value, 1e-5, "t between, of six-digit values");
    }

    [Fact]
    public void Every_coverage_factor_of_the_guides_table_is_reached_but_the_known_misprint()
    {
        var file = ReferenceFile.Load("acc-t-coverage-table");
        var probabilities = file.At("inputs", "exact_probability").EnumerateArray().Select(p => p.GetDouble()).ToArray();
        var printed = 0;
        foreach (var row in file.At("table").EnumerateArray())
        {
            double? nu = row.GetProperty("nu").ValueKind == JsonValueKind.Null ? null : row.GetProperty("nu").GetDouble();
            for (var i = 0; i < probabilities.Length; i++)
            {
                var found = Quantiles.TwoSided(probabilities[i], nu);
                Assert.True(Agreement.Digits(row.GetProperty("recomputed")[i].GetDouble(), found) > 5.2, $"ν {nu}, p {probabilities[i]}: {found}");
                if (Math.Round(found, row.GetProperty("decimals")[i].GetInt32(), MidpointRounding.AwayFromZero) == row.GetProperty("published")[i].GetDouble())
                    printed++;
                else
                    Assert.Equal((file.Number("misprint", "nu"), 0.9), (nu, probabilities[i]));
            }
        }

        Assert.True(printed >= 143, $"{printed} printed factors");
    }

    [Fact]
    public void The_constructed_cases_of_welch_and_satterthwaite_come_out()
    {
        var cases = 0;
        foreach (var row in ReferenceFile.Load("acc-t-coverage-table").At("welch_satterthwaite_constructed").EnumerateArray()
            .Where(r => r.TryGetProperty("nu_eff", out _)))
        {
            var forgotten = row.TryGetProperty("ci", out _);
            double[] u = Numbers(row, forgotten ? "u" : "contributions"), c = forgotten ? Numbers(row, "ci") : [.. u.Select(_ => 1.0)];
            var nu = row.GetProperty("nu").EnumerateArray().Select(v => v.ValueKind == JsonValueKind.Null ? (double?)null : v.GetDouble()).ToArray();
            var result = UncertaintyBudget.Of([.. u.Select((v, i) => BudgetComponent.OfStandard($"x{i}", v, c[i], nu[i]))]);
            Assert.True(Agreement.Digits(Number(row, "nu_eff"), result.EffectiveDegreesOfFreedom!.Value) > 10, row.GetRawText());
            cases++;
        }

        Assert.Equal(4, cases);
    }

    [Fact]
    public void Random_budgets_keep_the_laws_of_the_formula_and_agree_with_drawn_values()
    {
        const ulong seed = 7101;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            var n = 2 + source.NextInt(6);
            BudgetComponent[] parts = [.. Enumerable.Range(0, n)
                .Select(i => BudgetComponent.OfStandard($"x{i}", 0.1 + source.NextUniform(), source.NextNormal(), 1 + source.NextInt(30)))];
            var what = $"seed {seed}, trial {trial}";
            var result = UncertaintyBudget.Of(parts);
            var degrees = result.EffectiveDegreesOfFreedom!.Value;
            Assert.True(degrees >= parts.Min(p => p.DegreesOfFreedom)! * (1 - 1e-12) && degrees <= parts.Sum(p => p.DegreesOfFreedom!.Value) * (1 + 1e-12),
                what);

            // A change of unit of the result changes nothing but the unit; order changes nothing at all but rounding.
            BudgetComponent[] larger = [.. parts.Reverse()
                .Select(p => BudgetComponent.OfStandard(p.Name, p.StandardUncertainty, 1000 * p.Sensitivity, p.DegreesOfFreedom))];
            var scaled = UncertaintyBudget.Of(larger);
            Assert.Equal(1, scaled.CombinedStandardUncertainty / result.CombinedStandardUncertainty / 1000, 12);
            Assert.Equal(degrees, scaled.EffectiveDegreesOfFreedom!.Value, 9);
            Assert.Equal(result.Largest, scaled.Largest);
        }
    }

    [Fact]
    public void Correlated_inputs_spread_as_drawn_values_do()
    {
        // Twin: values with shared parts. x0 = a + s, x1 = b + s, x2 = c − s: each covariance is the variance of s.
        const ulong seed = 7102;
        var source = new SeededSource(seed);
        const double shared = 0.8;
        double[] own = [0.5, 1.1, 0.3], c = [2, -1.5, 0.7];
        double[] u = [.. own.Select(o => Math.Sqrt((o * o) + (shared * shared)))];
        double R(int i, int j, double sign) => sign * shared * shared / (u[i] * u[j]);
        var result = UncertaintyBudget.Of(
            [.. u.Select((v, i) => BudgetComponent.OfStandard($"x{i}", v, c[i]))],
            [new("x0", "x1", R(0, 1, 1)), new("x0", "x2", R(0, 2, -1)), new("x1", "x2", R(1, 2, -1))]);
        double sum = 0;
        const int draws = 400_000;
        for (var i = 0; i < draws; i++)
        {
            var s = shared * source.NextNormal();
            var y = (c[0] * ((own[0] * source.NextNormal()) + s)) + (c[1] * ((own[1] * source.NextNormal()) + s))
                + (c[2] * ((own[2] * source.NextNormal()) - s));
            sum += y * y;
        }

        Agreement.Near(Math.Sqrt(sum / draws), result.CombinedStandardUncertainty, 4 * result.CombinedStandardUncertainty / Math.Sqrt(2.0 * draws),
            $"seed {seed}");
        Assert.Equal(1, result.Lines.Sum(l => l.VarianceShare) + result.CorrelationShare, 12);
    }

    [Fact]
    public void Fully_correlated_inputs_add_their_sizes_and_opposed_ones_leave_nothing_to_tell()
    {
        BudgetComponent[] two = [BudgetComponent.OfStandard("a", 3), BudgetComponent.OfStandard("b", 4)];
        Assert.Equal(7, UncertaintyBudget.Of(two, [new("a", "b", 1)]).CombinedStandardUncertainty, 12);
        Assert.Equal(1, UncertaintyBudget.Of(two, [new("a", "b", -1)]).CombinedStandardUncertainty, 12);
        Assert.Equal(5, UncertaintyBudget.Of(two, [new("a", "b", 0)]).CombinedStandardUncertainty, 12);
        Assert.Contains("cancel", UncertaintyBudget.Of([two[0], BudgetComponent.OfStandard("b", 3)], [new("a", "b", -1)]).DefectSentence,
            StringComparison.Ordinal);

        // The comparison loss at the bottom of its parabola (JCGM 101:2008, 9.4): every first derivative is zero.
        Assert.Contains("Monte Carlo", UncertaintyBudget.Of([BudgetComponent.OfStandard("x1", 0.005, 0), BudgetComponent.OfStandard("x2", 0.005, 0)])
            .DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Bounds_and_certificates_become_standard_uncertainties()
    {
        // JCGM 100:2008, 4.3.7 (a/√3), 4.3.9 (a/√6); JCGM 101:2008, 6.4.6.4 (a/√2); 4.3.3 (U/k).
        Assert.Equal(Math.Sqrt(12), BudgetComponent.OfHalfWidth("a", 6, BoundedShape.Rectangular).StandardUncertainty, 12);
        Assert.Equal(Math.Sqrt(6), BudgetComponent.OfHalfWidth("a", 6, BoundedShape.Triangular).StandardUncertainty, 12);
        Assert.Equal(Math.Sqrt(18), BudgetComponent.OfHalfWidth("a", 6, BoundedShape.UShaped).StandardUncertainty, 12);
        Assert.Equal(2.5, BudgetComponent.OfExpanded("a", 5, 2).StandardUncertainty);
        var known = UncertaintyBudget.Of([BudgetComponent.OfExpanded("a", 5, 2)]);
        Assert.True(known.InfiniteDegrees);
        Assert.Equal(1.95996, known.CoverageFactor);
        Assert.Null(BudgetComponent.OfStandard("a", 1, 1, double.PositiveInfinity, EvaluationType.A).DegreesOfFreedom);
    }

    [Fact]
    public void Numbers_that_no_budget_can_hold_are_refused_by_name()
    {
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -1 })
        {
            Refused("standard uncertainty of 'x'", () => BudgetComponent.OfStandard("x", bad));
            Refused("U of 'x'", () => BudgetComponent.OfExpanded("x", bad, 2));
            Refused("k of 'x'", () => BudgetComponent.OfExpanded("x", 1, bad));
            Refused("half-width of 'x'", () => BudgetComponent.OfHalfWidth("x", bad, BoundedShape.Triangular));
        }

        Refused("sensitivity of 'x'", () => BudgetComponent.OfStandard("x", 1, double.NaN));
        Refused("degrees of freedom of 'x'", () => BudgetComponent.OfStandard("x", 1, 1, 0.5));
        Refused("degrees of freedom of 'x'", () => BudgetComponent.OfStandard("x", 1, 1, double.NaN));
        Refused("type A without degrees of freedom", () => BudgetComponent.OfStandard("x", 1, type: EvaluationType.A));
        Refused("no name", () => BudgetComponent.OfStandard(" ", 1));
        Refused("contribution of 'x'", () => BudgetComponent.OfStandard("x", 1e200, 1e200));

        BudgetComponent[] three = [.. "abc".Select(n => BudgetComponent.OfStandard(n.ToString(), 1))];
        Refused("no component", () => UncertaintyBudget.Of([]));
        Refused("'a' stands twice", () => UncertaintyBudget.Of([three[0], three[0]]));
        Refused("correlation of 'a' and 'b'", () => UncertaintyBudget.Of(three, [new("a", "b", 1.01)]));
        Refused("correlation of 'a' and 'b'", () => UncertaintyBudget.Of(three, [new("a", "b", double.NaN)]));
        Refused("with itself", () => UncertaintyBudget.Of(three, [new("a", "a", 0.5)]));
        Refused("'d', which is no component", () => UncertaintyBudget.Of(three, [new("a", "d", 0.5)]));
        Refused("stands twice", () => UncertaintyBudget.Of(three, [new("a", "b", 0.5), new("b", "a", 0.5)]));
        Refused("contradict each other", () => UncertaintyBudget.Of(three, [new("a", "b", 0.9), new("b", "c", 0.9), new("a", "c", -0.9)]));
        Refused("coverage factor", () => UncertaintyBudget.Of(three, coverageFactor: 0));
        Refused("coverage probability", () => UncertaintyBudget.Of(three, coverageProbability: 1));
        Refused("coverage probability", () => UncertaintyBudget.Of(three, coverageProbability: double.NaN));
    }

    private static BudgetComponent[] EndGauge(BudgetResult? comparison)
    {
        var inputs = Gum.At("H1_end_gauge", "inputs");
        double length = Number(inputs, "l_s_nm");
        return
        [
            BudgetComponent.OfStandard("l_s", Number(inputs, "u_ls_nm"), 1, Number(inputs, "nu_ls"), EvaluationType.B, "nm"),
            BudgetComponent.OfStandard("d", comparison?.CombinedStandardUncertainty ?? 9.68194, 1, comparison?.EffectiveDegreesOfFreedom ?? 25,
                EvaluationType.A, "nm"),
            BudgetComponent.OfStandard("δα", Number(inputs, "u_dalpha_per_C"), -length * Number(inputs, "theta_bar_C"), Number(inputs, "nu_dalpha"),
                EvaluationType.B, "1/°C"),
            BudgetComponent.OfStandard("δθ", Number(inputs, "u_dtheta_C"), -length * Number(inputs, "alpha_s_per_C"), Number(inputs, "nu_dtheta"),
                EvaluationType.B, "°C"),
        ];
    }

    private static double Number(JsonElement at, string name) => at.GetProperty(name).GetDouble();

    private static double[] Numbers(JsonElement at, string name) => [.. at.GetProperty(name).EnumerateArray().Select(v => v.GetDouble())];
}
