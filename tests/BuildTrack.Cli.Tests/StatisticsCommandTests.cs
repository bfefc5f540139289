using System.Globalization;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Control chart, capability and gauge study by command.</summary>
public class StatisticsCommandTests
{
    private const string Five = "value\n14\n14\n16\n18\n18\n";

    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    public void The_handbooks_chart_has_its_published_limits(char separator, char point)
    {
        var example = Reference.Load("acc-spc").Data.GetProperty("nist_6_3_2_2_individuals");
        var rows = example.GetProperty("x").EnumerateArray()
            .Select((v, i) => $"{v.GetDouble().ToString(CultureInfo.InvariantCulture).Replace('.', point)}{separator}batch {i + 1}\n").ToArray();

        var run = Run("control-chart", CommandLine.File($"value{separator}id\n{string.Concat(rows)}"), "--unit", "g");

        var published = example.GetProperty("published");
        Near(published.GetProperty("mean").GetDouble(), run.Json["centre"], 1e-9);
        Near(published.GetProperty("MRbar").GetDouble(), run.Json["meanMovingRange"], 5e-5);
        Near(published.GetProperty("UCL").GetDouble(), run.Json["upperLimit"], 5e-5);
        Near(published.GetProperty("LCL").GetDouble(), run.Json["lowerLimit"], 5e-5);
        Near(1.128, run.Json["d2"], 0);
        Assert.Empty(run.Json["signals"]!.AsArray());
        Assert.Single(run.Json["remarks"]!.AsArray());

        var later = Run("control-chart", CommandLine.File($"value{separator}id\n{string.Concat(rows)}60{separator}batch 11\n"), "--limits-from", "10",
            "--rules", "all");
        Near(published.GetProperty("UCL").GetDouble(), later.Json["upperLimit"], 5e-5);
        var signal = later.Json["signals"]!.AsArray().First(s => s!["rule"]!.GetValue<string>() == "beyondThreeSigma")!;
        Assert.Equal((11, "batch 11", "above"), (signal["value"]!.GetValue<int>(), signal["id"]!.GetValue<string>(), signal["side"]!.GetValue<string>()));
        Assert.Equal("batch 11", Assert.Single(later.Json["movingRangeSignals"]!.AsArray())!["id"]!.GetValue<string>());
        Assert.Equal(8, later.Json["rules"]!.AsArray().Count);
    }

    [Fact]
    public void The_worked_example_of_the_method_comes_out_as_printed()
    {
        // docs/method/statistics.md, section 6: moving ranges 0, 2, 2, 0.
        var chart = Run("control-chart", CommandLine.File(Five));
        Near(16, chart.Json["centre"], 0);
        Near(1, chart.Json["meanMovingRange"], 0);
        Near(0.887, chart.Json["sigma"], 5e-4);
        Near(18.66, chart.Json["upperLimit"], 5e-3);
        Near(13.34, chart.Json["lowerLimit"], 5e-3);

        var capability = Run("capability", CommandLine.File(Five), "--upper", "20", "--lower", "8");
        foreach (var (name, expected) in new[]
        {
            ("mean", 16.0), ("sigma", 2), ("cp", 1), ("cpu", 0.6667), ("cpk", 0.6667), ("cpl", 1.3333), ("k", 0.3333), ("cpm", 0.7071), ("target", 14),
            ("cpFrom", 0.348), ("cpTo", 1.669),
            ("cpkFrom", 0.120), ("cpkTo", 1.213),
        })
        {
            Near(expected, capability.Json[name],
                name.Contains("From", StringComparison.Ordinal) || name.Contains("To", StringComparison.Ordinal) ? 5e-4 : 5e-5);
        }
    }

    [Fact]
    public void A_known_process_has_its_own_limits_and_one_limit_has_one_index()
    {
        var chart = Run("control-chart", CommandLine.File(Five), "--centre", "10", "--sigma", "1.5");
        Near(14.5, chart.Json["upperLimit"], 1e-12);
        Assert.Null(chart.Json["limitsFrom"]);
        Assert.Equal(3, chart.Json["signals"]!.AsArray().Count(s => s!["rule"]!.GetValue<string>() == "beyondThreeSigma"));

        var capability = Run("capability", CommandLine.File(Five), "--upper", "20");
        Near(2.0 / 3, capability.Json["cpk"], 1e-12);
        Assert.True(capability.Json.ContainsKey("cp") && capability.Json["cp"] is null);
    }

    [Fact]
    public void The_manuals_gauge_study_comes_out_and_says_which_model_counts()
    {
        var example = Reference.Load("acc-msa-10x3x3").Data;
        var table = Manual(example);
        var run = Run("gauge-study", CommandLine.File(table), "--tolerance", "6");

        var published = example.GetProperty("published_anova");
        Near(published.GetProperty("SS").GetProperty("total").GetDouble(), run.Json["analysisOfVariance"]!["total"]!["sumOfSquares"], 5e-5);
        Near(published.GetProperty("F_interaction").GetDouble(), run.Json["analysisOfVariance"]!["interactionF"], 5e-4);
        Assert.Equal("pooled", run.Json["model"]!.GetValue<string>());
        Near(published.GetProperty("EV").GetDouble(), run.Json["pooled"]!["equipment"]!["sigma"], 5e-7);
        Near(published.GetProperty("pct_TV").GetProperty("GRR").GetDouble(), run.Json["gaugePercent"], 0.05);
        Near(published.GetProperty("ndc").GetDouble(), run.Json["distinctCategories"], 0);
        Near(26.7, run.Json["averageAndRange"]!["gauge"]!["percentOfTotal"], 0.05);
        Near(100 * run.Json["pooled"]!["gauge"]!["sigma"]!.GetValue<double>(), run.Json["pooled"]!["gauge"]!["percentOfTolerance"], 1e-9);
        Assert.True(run.Json["withInteraction"]!["interaction"]!["wasNegative"]!.GetValue<bool>());

        var never = Run("gauge-study", CommandLine.File(table), "--pooling", "never");
        Assert.Equal("withInteraction", never.Json["model"]!.GetValue<string>());
        Near(example.GetProperty("recomputed_anova").GetProperty("unpooled").GetProperty("EV").GetDouble(),
            never.Json["withInteraction"]!["equipment"]!["sigma"], 1e-6);
        Assert.Null(never.Json["withInteraction"]!["equipment"]!["percentOfTolerance"]);
    }

    [Theory]
    [InlineData("control-chart", "value\n1\nx\n", "", "t.csv:3:1: found 'x', expected a finite number")]
    [InlineData("control-chart", "value\n1\nNaN\n", "", "t.csv:3:1: found 'NaN'")]
    [InlineData("control-chart", "height\n1\n", "", "expected a column value")]
    [InlineData("control-chart", Five, "--limits-from 1", "--limits-from: found '1', expected a whole number of 2 or more")]
    [InlineData("control-chart", Five, "--limits-from 6", "expected no more than the 5 values of the table")]
    [InlineData("control-chart", Five, "--centre 3", "--centre, --sigma: found one of them, expected both or neither")]
    [InlineData("control-chart", Five, "--centre 3 --sigma 0", "--sigma: found '0'")]
    [InlineData("control-chart", Five, "--rules none", "--rules: found 'none', expected usual or all")]
    [InlineData("capability", Five, "", "--upper, --lower: found neither, expected at least one limit")]
    [InlineData("capability", Five, "--upper 8 --lower 8", "--lower: found '8', expected a limit below the upper limit 8")]
    [InlineData("capability", Five, "--upper x", "--upper: found 'x'")]
    [InlineData("capability", Five, "--upper 20 --target 5", "--target: found '5', expected no target with one limit")]
    [InlineData("gauge-study", "part,appraiser,trial,value\nP,A,0,1\n", "", "t.csv:2:5: found '0', expected the number of the trial")]
    [InlineData("gauge-study", "part,appraiser,trial,value\n,A,1,1\n", "", "t.csv:2:1: found nothing, expected the name of the part")]
    [InlineData("gauge-study", "part,appraiser,trial,value\nP,A,1,1\nP,A,1,2\n", "",
        "t.csv:3:5: found trial 1 of part 'P' by 'A' a second time (first in line 2)")]
    [InlineData("gauge-study", "part,appraiser,trial,value\nP,A,1,1\n", "--tolerance 0", "--tolerance: found '0', expected a width above 0")]
    [InlineData("gauge-study", "part,appraiser,trial,value\nP,A,1,1\n", "--pooling maybe", "--pooling: found 'maybe', expected by-test or always or never")]
    public void What_cannot_be_used_is_named(string kind, string table, string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table, "t.csv"), .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("control-chart", "value\n1\n", "", "Fewer than two")]
    [InlineData("control-chart", "value\n1\n1\n", "", "all equal")]
    [InlineData("capability", "value\n1\n1\n", "--upper 2", "all equal")]
    [InlineData("gauge-study", "part,appraiser,trial,value\n", "", "no readings")]
    [InlineData("gauge-study", "part,appraiser,trial,value\nP,A,1,1\nP,A,2,1\nP,B,1,1\nQ,A,1,1\n", "", "part 'P' by 'B', trial 2, is missing")]
    public void Data_that_leave_no_answer_end_with_3_and_a_sentence(string kind, string table, string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table), .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--json"]);

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static string Manual(System.Text.Json.JsonElement example) =>
        "part,appraiser,trial,value\n" + string.Concat(example.GetProperty("data").EnumerateArray()
        .SelectMany((row, p) => row.EnumerateArray()
            .Select((v, c) => string.Create(CultureInfo.InvariantCulture, $"P{p + 1},{"ABC"[c / 3]},{(c % 3) + 1},{v.GetDouble()}\n"))));

    private static CommandLine Run(params string[] arguments)
    {
        var run = CommandLine.Run(["evaluate", .. arguments, "--json"]);
        Assert.True(run.Exit == 0, run.Errors);
        return run;
    }

    private static void Near(double expected, JsonNode? found, double tolerance)
    {
        Assert.NotNull(found);
        Assert.True(Math.Abs(expected - found.GetValue<double>()) <= tolerance, $"found {found}, expected {expected} within {tolerance}");
    }
}
