using System.Globalization;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Uncertainty budget and risks of decisions by command.</summary>
public class BudgetCommandTests
{
    private const string Simple = "name,u,expanded,k,degrees_of_freedom,type\nrepeatability,3,,,9,A\ncertificate,,8,2,,B\n";

    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    [InlineData('\t', '.')]
    public void The_end_gauge_of_the_guide_comes_out_in_every_way_of_writing(char separator, char point)
    {
        var example = Reference.Load("acc-gum").Data.GetProperty("H1_end_gauge");
        double Input(string name) => example.GetProperty("inputs").GetProperty(name).GetDouble();
        double Again(string name) => example.GetProperty("recomputed").GetProperty(name).GetDouble();
        var rows = new (string Name, double U, double Sensitivity, double Degrees)[]
        {
            ("standard", Input("u_ls_nm"), 1, Input("nu_ls")), ("comparison", Again("u_d_nm"), 1, Again("nu_d")),
            ("expansion", Input("u_dalpha_per_C"), -Input("l_s_nm") * Input("theta_bar_C"), Input("nu_dalpha")),
            ("temperature", Input("u_dtheta_C"), -Input("l_s_nm") * Input("alpha_s_per_C"), Input("nu_dtheta")),
        };
        var table = string.Join(separator, "name", "u", "sensitivity", "degrees_of_freedom") + "\n"
            + string.Concat(rows.Select(r => string.Join(separator, r.Name, Text(r.U), Text(r.Sensitivity), Text(r.Degrees)) + "\n"));

        var run = CommandLine.Run("evaluate", "budget", CommandLine.File(table, "gauge.csv"), "--probability", "0.99", "--unit", "nm", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(Again("uc_nm"), run.Json["combinedStandardUncertainty"], 1e-3);
        Near(Again("nu_eff"), run.Json["effectiveDegreesOfFreedom"], 2e-3);
        Near(16, run.Json["degreesOfFreedomUsed"], 0);
        Near(2.92, run.Json["k"], 0.005);
        Near(Again("U99_from_unrounded_uc_nm"), run.Json["expandedUncertainty"], 1e-3);
        Assert.Equal("standard", run.Json["largest"]!.GetValue<string>());
        Assert.Equal(4, run.Json["components"]!.AsArray().Count);
        Near(1, run.Json["components"]!.AsArray().Sum(c => c!["varianceShare"]!.GetValue<double>()), 1e-12);
        Assert.Equal("U = 92.48 nm (k = 2.921 for 99 %; 16.8 effective degrees of freedom); largest component: standard.",
            run.Json["statement"]!.GetValue<string>());

        string Text(double value) => value.ToString("R", CultureInfo.InvariantCulture).Replace('.', point);
    }

    [Fact]
    public void The_worked_example_of_the_method_comes_out_as_printed()
    {
        // docs/method/uncertainty.md, section 7.
        var run = CommandLine.Run("evaluate", "budget", CommandLine.File(Simple), "--unit", "µm", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(5, run.Json["combinedStandardUncertainty"], 1e-12);
        Near(69.4444444444, run.Json["effectiveDegreesOfFreedom"], 1e-9);
        Near(69, run.Json["degreesOfFreedomUsed"], 0);
        Near(1.995, run.Json["k"], 5e-4);
        Near(9.97, run.Json["expandedUncertainty"], 5e-3);
        Near(0.64, run.Json["components"]![1]!["varianceShare"], 1e-12);
        Assert.Equal("U = 9.975 µm (k = 1.995 for 95 %; 69.4 effective degrees of freedom); largest component: certificate.",
            run.Json["statement"]!.GetValue<string>());
    }

    [Fact]
    public void Correlated_components_have_no_degrees_of_freedom_and_say_why()
    {
        var table = "name,u,sensitivity,degrees_of_freedom,type\ny1,0.0029,1,9,A\ny2,0.00067,10,9,A\n";
        var run = CommandLine.Run("evaluate", "budget", CommandLine.File(table), "--correlation", "y1,y2=-0.93", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(0.0041, run.Json["combinedStandardUncertainty"], 5e-5);
        Assert.True(run.Json.ContainsKey("effectiveDegreesOfFreedom") && run.Json["effectiveDegreesOfFreedom"] is null);
        Assert.False(run.Json["degreesOfFreedomInfinite"]!.GetValue<bool>());
        Assert.Null(run.Json["expandedUncertainty"]);
        Assert.Contains("give k", run.Json["because"]!.GetValue<string>(), StringComparison.Ordinal);

        var withK = CommandLine.Run("evaluate", "budget", CommandLine.File(table), "--correlation", "y1,y2=-0.93", "--k", "2", "--json");
        Near(2 * run.Json["combinedStandardUncertainty"]!.GetValue<double>(), withK.Json["expandedUncertainty"], 1e-15);
        Assert.Null(withK.Json["coverageProbability"]);
    }

    [Fact]
    public void Bounds_of_every_shape_and_infinite_degrees_are_understood()
    {
        var run = CommandLine.Run(
            "evaluate", "budget", CommandLine.File(
                "name,half_width,distribution,degrees_of_freedom,type,unit\nA,6,rectangular,,,mm\nB,6,Triangular,inf,B,\nC,6,u-shaped,infinite,A,\n"),
                    "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(Math.Sqrt(12 + 6 + 18), run.Json["combinedStandardUncertainty"], 1e-12);
        Assert.True(run.Json["degreesOfFreedomInfinite"]!.GetValue<bool>());
        Near(1.95996, run.Json["k"], 0);
        Assert.Equal("C", run.Json["largest"]!.GetValue<string>());
        Assert.Equal("mm", run.Json["components"]![0]!["unit"]!.GetValue<string>());
        Assert.Null(run.Json["components"]![2]!["degreesOfFreedom"]);
    }

    [Theory]
    [InlineData("name,u\na,0\n", "b.csv:2:3: found '0', expected a number above 0")]
    [InlineData("name,u\na,-1\n", "b.csv:2:3: found '-1', expected a number above 0")]
    [InlineData("name,u\na,NaN\n", "b.csv:2:3: found 'NaN', expected a finite number")]
    [InlineData("name,u\n,1\n", "b.csv:2:1: found nothing, expected the name of the component")]
    [InlineData("name,u\na,1\na,2\n", "b.csv:3:1: found 'a' a second time (first in line 2), expected each component once")]
    [InlineData("name,expanded\na,1\n", "expected a column k beside expanded")]
    [InlineData("name,expanded,k\na,1,\n", "b.csv:2:5: found nothing, expected a finite number")]
    [InlineData("name,expanded,k\na,1,0\n", "b.csv:2:5: found '0', expected a number above 0")]
    [InlineData("name,half_width\na,1\n", "expected a column distribution beside half_width")]
    [InlineData("name,half_width,distribution\na,1,flat\n", "b.csv:2:5: found 'flat', expected rectangular, triangular or u-shaped")]
    [InlineData("name,u,degrees_of_freedom\na,1,0.5\n", "b.csv:2:5: found '0.5', expected degrees of freedom of 1 or more, or inf")]
    [InlineData("name,u,type\na,1,A\n", "b.csv:2:5: found 'A', expected type B, or a column degrees_of_freedom")]
    [InlineData("name,u,degrees_of_freedom,type\na,1,,A\n", "b.csv:2:5: found nothing, expected degrees of freedom of 1 or more, or inf, for type A")]
    [InlineData("name,u,type\na,1,C\n", "b.csv:2:5: found 'C', expected A or B for type")]
    [InlineData("name,u,expanded,k\na,1,2,2\n", "b.csv:2:1: found several uncertainties")]
    [InlineData("name,u,expanded,k\na,,,\n", "b.csv:2:1: found no uncertainty")]
    [InlineData("name\na\n", "expected a column u, or expanded and k, or half_width and distribution")]
    [InlineData("u\n1\n", "expected a column name")]
    public void Rows_that_no_budget_can_hold_are_named(string table, string expected)
    {
        var run = CommandLine.Run("evaluate", "budget", CommandLine.File(table, "b.csv"), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--probability 1", "--probability: found '1', expected a probability from 0.5 to 0.9999")]
    [InlineData("--k 0", "--k: found '0', expected a coverage factor above 0")]
    [InlineData("--k 2 --probability 0.95", "--probability, --k: found both, expected one of them")]
    [InlineData("--degrees up", "--degrees: found 'up', expected next-lower or interpolated")]
    [InlineData("--correlation repeatability,certificate=1.1", "expected NAME,NAME=r with two components and r from -1 to 1")]
    [InlineData("--correlation repeatability=1", "expected NAME,NAME=r")]
    [InlineData("--correlation repeatability,drift=0.5", "--correlation: found 'drift', expected a component that the table names")]
    [InlineData("--correlation repeatability,certificate=0.5 --correlation certificate,repeatability=0.5", "a second time, expected each pair once")]
    public void Options_that_cannot_be_used_are_named(string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", "budget", CommandLine.File(Simple), .. options.Split(' '), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void Correlations_that_contradict_each_other_are_bad_input_and_a_budget_of_nothing_has_no_answer()
    {
        var table = CommandLine.File("name,u\na,1\nb,1\nc,1\n");
        var contradiction = CommandLine.Run(
            "evaluate", "budget", table, "--correlation", "a,b=0.9", "--correlation", "b,c=0.9", "--correlation", "a,c=-0.9", "--json");
        Assert.Equal(2, contradiction.Exit);
        Assert.Contains("positive semidefinite", Assert.Single(contradiction.ErrorLines), StringComparison.Ordinal);

        foreach (var (rows, expected) in new[] { ("name,u\n", "no rows"), ("name,u,sensitivity\na,1,0\n", "Monte Carlo") })
        {
            var run = CommandLine.Run("evaluate", "budget", CommandLine.File(rows), "--json");
            Assert.Equal(3, run.Exit);
            Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
        }
    }

    [Fact]
    public void The_risks_of_an_inspection_are_told_for_a_guard_band()
    {
        // One limit at the mean, u = sigma: one item in eight (W. F. Sheppard, 1899).
        var run = CommandLine.Run("evaluate", "conformity-risk", "--mean", "7", "--sigma", "3", "--uncertainty", "6", "--k", "2", "--upper", "7", "--json");
        Assert.True(run.Exit == 0, run.Errors);
        Near(0.125, run.Json["consumerRisk"], 1e-6);
        Near(0.125, run.Json["producerRisk"], 1e-6);
        Near(0.5, run.Json["accepted"], 1e-6);
        Near(0.5, run.Json["conforming"], 1e-9);
        Assert.Null(run.Json["acceptFrom"]);
        var guarded = CommandLine.Run(
            "evaluate", "conformity-risk", "--mean", "7", "--sigma", "3", "--uncertainty", "6", "--k", "2", "--upper", "7", "--lower", "-5", "--guard-band",
            "2", "--json");
        Near(5, guarded.Json["acceptUpTo"], 0);
        Near(-3, guarded.Json["acceptFrom"], 0);
        Assert.True(guarded.Json["consumerRisk"]!.GetValue<double>() < 0.06);
    }

    [Theory]
    [InlineData("--mean 7 --sigma 0 --uncertainty 6 --k 2 --upper 7", "--sigma: found '0', expected a standard deviation above 0")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 0 --k 2 --upper 7", "--uncertainty: found '0', expected an expanded uncertainty above 0")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 6 --upper 7", "--k: found nothing, expected a coverage factor above 0")]
    [InlineData("--mean NaN --sigma 3 --uncertainty 6 --k 2 --upper 7", "--mean: found 'NaN'")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 6 --k 2", "--upper, --lower: found neither, expected at least one limit")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 6 --k 2 --upper 7 --lower 8", "--lower: found '8', expected a limit not above the upper limit 7")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 6 --k 2 --upper 7 --lower 5 --guard-band 1.5",
        "--guard-band: found '1.5', expected a guard band that leaves something")]
    [InlineData("--mean 7 --sigma 3 --uncertainty 1e9 --k 2 --upper 7", "--uncertainty: found '1e9', expected U/k between")]
    public void Risks_without_their_numbers_are_refused(string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", "conformity-risk", .. options.Split(' '), "--json"]);
        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static void Near(double expected, JsonNode? found, double tolerance)
    {
        Assert.NotNull(found);
        Near(expected, found.GetValue<double>(), tolerance);
    }

    private static void Near(double expected, double found, double tolerance) =>
        Assert.True(Math.Abs(expected - found) <= tolerance, $"found {found}, expected {expected} within {tolerance}");
}
