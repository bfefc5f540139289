using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>NIST/SEMATECH e-Handbook 6.3.2.2, and what an individuals chart must keep to.</summary>
public sealed class IndividualsChartTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("acc-spc");

    private static double[] Handbook => [.. File.At("nist_6_3_2_2_individuals", "x").EnumerateArray().Select(v => v.GetDouble())];

    [Fact]
    public void The_handbooks_chart_has_its_published_limits()
    {
        var chart = IndividualsChart.Of(Handbook);
        var (published, again) = (File.At("nist_6_3_2_2_individuals", "published"), File.At("nist_6_3_2_2_individuals", "recomputed"));
        Assert.Equal(published.GetProperty("mean").GetDouble(), Math.Round(chart.Centre, 2));
        Assert.Equal(published.GetProperty("MRbar").GetDouble(), Math.Round(chart.MeanMovingRange!.Value, 4));
        Assert.Equal(published.GetProperty("UCL").GetDouble(), Math.Round(chart.UpperLimit, 4));
        Assert.Equal(published.GetProperty("LCL").GetDouble(), Math.Round(chart.LowerLimit, 4));
        File.Reaches(again.GetProperty("UCL_d2_1.128").GetDouble(), chart.UpperLimit, "recomputed", "UCL");
        File.Reaches(again.GetProperty("LCL_d2_1.128").GetDouble(), chart.LowerLimit, "recomputed", "LCL");
        File.Reaches(again.GetProperty("MR_UCL_D4_3.267").GetDouble(), chart.MovingRangeLimit, "published", "limit of the ranges");
        Assert.Empty(chart.Signals);
        Assert.Empty(chart.MovingRangeSignals);
        Assert.Equal(9, chart.MovingRanges.Length);
        Assert.Contains("10 values are provisional", Assert.Single(chart.Remarks), StringComparison.Ordinal);
    }

    [Fact]
    public void The_rounded_constants_are_those_of_the_tables()
    {
        // d2 and D4 = 1 + 3 d3/d2 for two values, by integration.
        var two = ReferenceFile.Load("acc-normal-range").At("recomputed", "table").EnumerateArray().First(r => r.GetProperty("n").GetInt32() == 2);
        double d2 = two.GetProperty("d2").GetDouble(), d3 = two.GetProperty("d3").GetDouble();
        Assert.Equal(IndividualsChart.D2, Math.Round(d2, 3));

        // The printed 3.267 follows from d2 and d3 rounded to 1.128 and 0.853; from the exact ones it is 3.2665.
        Agreement.Near(1 + (3 * Math.Round(d3, 3) / Math.Round(d2, 3)), IndividualsChart.D4, 2e-3, "D4");
        Agreement.Near(1 + (3 * d3 / d2), IndividualsChart.D4, 1e-3, "D4");
    }

    [Fact]
    public void Limits_of_the_first_values_judge_the_later_ones()
    {
        double[] values = [.. Handbook, 60.0];
        var chart = IndividualsChart.Of(values, limitsFrom: 10);
        Assert.Equal(IndividualsChart.Of(Handbook).UpperLimit, chart.UpperLimit);
        Assert.Equal((RunRule.BeyondThreeSigma, 11, true),
            chart.Signals.Where(s => s.Rule == RunRule.BeyondThreeSigma).Select(s => (s.Rule, s.Point, s.Above!.Value)).Single());
        Assert.Equal([11], chart.MovingRangeSignals);
        Assert.Equal((11, 10), (chart.Count, chart.LimitsFrom));
    }

    [Fact]
    public void A_value_on_a_line_on_paper_is_not_beyond_it()
    {
        // Centre 0.3, sigma 0.1: in double precision 0.3 + 3 · 0.1 is a last bit above 0.6, 0.1 · 3 a last bit above 0.3.
        Assert.Empty(IndividualsChart.OfKnown([0.6, 0.0, 0.6, 0.0], 0.3, 0.1, [RunRule.BeyondThreeSigma]).Signals);
        Assert.Equal(1, Assert.Single(IndividualsChart.OfKnown([0.6000001], 0.3, 0.1).Signals).Point);
    }

    [Fact]
    public void A_change_of_unit_or_zero_moves_the_chart_and_not_the_signals()
    {
        const ulong seed = 7501;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            double[] values = [.. Enumerable.Range(0, 80).Select(i => source.NextNormal() + (i > 50 ? 1.5 : 0))];
            var chart = IndividualsChart.Of(values, IndividualsChart.AllRules);
            var moved = IndividualsChart.Of([.. values.Select(v => (250 * v) + 1000)], IndividualsChart.AllRules);
            Assert.Equal(chart.Signals, moved.Signals);
            Assert.Equal(chart.MovingRangeSignals, moved.MovingRangeSignals);
            Agreement.Near((250 * chart.UpperLimit) + 1000, moved.UpperLimit, 1e-9, $"seed {seed}, trial {trial}");
        }
    }

    [Fact]
    public void Sigma_from_moving_ranges_is_that_of_the_drawn_values()
    {
        const ulong seed = 7502;
        var source = new SeededSource(seed);
        double[] values = [.. Enumerable.Range(0, 200_000).Select(_ => 40 + (3 * source.NextNormal()))];
        var chart = IndividualsChart.Of(values, [RunRule.BeyondThreeSigma]);

        // 1.128 in place of 1.12838 makes it larger by 0.03 %; the scatter of a mean moving range is 0.83/√n of sigma (common practice).
        Agreement.Near(3 * 1.128379167 / 1.128, chart.Sigma, 4 * 3 * 0.83 / Math.Sqrt(200_000), $"seed {seed}");
        Agreement.Near(0.0027, chart.Signals.Length / 200_000.0, 0.0006, "beyond three sigma");
        Assert.Empty(chart.Remarks);
    }

    [Fact]
    public void Values_that_give_no_chart_say_why_and_bad_ones_are_refused_by_name()
    {
        Assert.Contains("Fewer than two", IndividualsChart.Of([]).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("Fewer than two", IndividualsChart.Of([1]).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("all equal", IndividualsChart.Of([5, 5, 5]).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("no values", IndividualsChart.OfKnown([], 0, 1).DefectSentence, StringComparison.Ordinal);
        Refused("values[2] is NaN", () => IndividualsChart.Of([1, 2, double.NaN]));
        Refused("values[0]", () => IndividualsChart.Of([1e13, 2]));
        Refused("limitsFrom", () => IndividualsChart.Of([1, 2, 3], limitsFrom: 1));
        Refused("limitsFrom", () => IndividualsChart.Of([1, 2, 3], limitsFrom: 4));
        Refused("sigma", () => IndividualsChart.OfKnown([1], 0, 0));
        Refused("sigma", () => IndividualsChart.OfKnown([1], 0, double.NaN));
        Refused("centre", () => IndividualsChart.OfKnown([1], double.PositiveInfinity, 1));
    }
}
