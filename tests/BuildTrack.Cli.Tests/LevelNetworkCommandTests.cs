using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

public class LevelNetworkCommandTests
{
    [Fact]
    public void Six_lines_with_standard_uncertainties_give_the_published_heights()
    {
        var reference = Reference.Load("network-ghilani-12-6lines-sigma");
        var rows = reference.Data.GetProperty("readings").EnumerateArray().Select(r => Row(r, 1e6, 1e6 * r.GetProperty("sigma").GetDouble()));

        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,sigma_um\n" + string.Join('\n', rows)), "--fixed", "A=437596000", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        var expected = reference.Data.GetProperty("recomputed");
        foreach (var point in expected.GetProperty("heights").EnumerateObject())
        {
            Near(1e6 * point.Value.GetDouble(), Height(run.Json, point.Name)["heightUm"], 0.051, reference.Origin);
            Near(1e6 * expected.GetProperty("sd_heights").GetProperty(point.Name).GetDouble(), Height(run.Json, point.Name)["sigmaUm"], 0.051, reference.Origin);
        }

        Near(0, Height(run.Json, "A")["sigmaUm"], 0, reference.Origin);
        Near(expected.GetProperty("vPv").GetDouble(), run.Json["sumOfSquares"], 1e-9, reference.Origin);
        Near(expected.GetProperty("sigma0").GetDouble(), run.Json["sigma0"], 1e-9, reference.Origin);
        Assert.Equal(3, run.Json["degreesOfFreedom"]!.GetValue<int>());
        Assert.Equal(3, run.Json["closures"]!.AsArray().Count);
        Assert.Equal("shortest", run.Json["closuresAre"]!.GetValue<string>());

        // Chi-square table, 3 degrees of freedom: 0.216 and 9.348.
        Near(Math.Sqrt(0.216 / 3), run.Json["globalTest"]!["lower"], 3e-4, "table of chi-square");
        Near(Math.Sqrt(9.348 / 3), run.Json["globalTest"]!["upper"], 3e-4, "table of chi-square");
        Assert.Equal(expected.GetProperty("sigma0").GetDouble() is >= 0.268 and <= 1.765, run.Json["globalTest"]!["agrees"]!.GetValue<bool>());

        // Baarda, alpha 0.001, power 0.80: 4.13 standard uncertainties over the root of the redundancy number.
        var sixth = reference.Data.GetProperty("readings")[5].GetProperty("sigma").GetDouble() * 1e6 / Math.Sqrt(expected.GetProperty("redundancy_numbers")[5].GetDouble());
        Near(4.13 * sixth, run.Json["smallestDetectableUm"]![5], 0.003 * sixth, "Baarda");
        Assert.Empty(run.Json["doubtful"]!.AsArray());
        Near(1000 * expected.GetProperty("residuals_mm")[5].GetDouble(), run.Json["residualsUm"]![5], 0.051, reference.Origin);
        Near(expected.GetProperty("redundancy_numbers")[5].GetDouble(), run.Json["redundancy"]![5], 1e-6, reference.Origin);
        Near(10509 + 5360 - 15881, run.Json["closures"]!.AsArray().Single(c => string.Join("", c!["points"]!.AsArray().Select(p => p!.GetValue<string>())) == "ABC")!["closureUm"]!.GetValue<double>() / 1000, 1e-6, "A to B to C and back");
    }

    [Theory]
    [InlineData("unweighted", ',', '.')]
    [InlineData("weighted", ';', ',')]
    public void Several_fixed_heights_are_given_by_repeating_the_option(string which, char separator, char point)
    {
        // The file is in feet; here one foot is 1 µm.
        var reference = Reference.Load("network-ghilani-12-7lines");
        var rows = reference.Data.GetProperty("readings").EnumerateArray().Select(r =>
            Row(r, 1, which == "weighted" ? 12 / r.GetProperty("length_miles").GetDouble() : 1).Replace(',', ';').Replace('.', point).Replace(';', separator));

        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,weight\n".Replace(',', separator) + string.Join('\n', rows)), "--fixed", "BMX=100", "--fixed", "BMY=107,5", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        var expected = reference.Data.GetProperty("recomputed").GetProperty(which);
        foreach (var height in expected.GetProperty("heights").EnumerateObject())
        {
            Near(height.Value.GetDouble(), Height(run.Json, height.Name)["heightUm"], 5.1e-8, reference.Origin);
        }

        Near(expected.GetProperty("sigma0").GetDouble(), run.Json["sigma0"], 1e-9, reference.Origin);
        Assert.Equal(4, run.Json["closures"]!.AsArray().Count);
    }

    [Fact]
    public void The_constructed_grid_gives_its_heights_and_the_closures_of_its_cells()
    {
        var reference = Reference.Load("constructed-grid-level-network-3x4");
        List<string> rows = [];
        foreach (var (row, i) in reference.Data.GetProperty("readings").GetProperty("rows").EnumerateArray().Select((r, i) => (r, i)))
        {
            rows.AddRange(row.EnumerateArray().Select((v, j) => string.Create(CultureInfo.InvariantCulture, $"{i}-{j},{i}-{j + 1},{v.GetDouble() / 4},1")));
        }

        foreach (var (column, j) in reference.Data.GetProperty("readings").GetProperty("columns").EnumerateArray().Select((c, j) => (c, j)))
        {
            rows.AddRange(column.EnumerateArray().Select((v, i) => string.Create(CultureInfo.InvariantCulture, $"{i}-{j},{i + 1}-{j},{v.GetDouble() / 4},1")));
        }

        var json = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,weight\n" + string.Join('\n', rows)), "--fixed", "0-0=0", "--json").Json;

        var expected = reference.Data.GetProperty("recomputed");
        foreach (var node in expected.GetProperty("heights_um").EnumerateObject())
        {
            Near(node.Value.GetDouble(), Height(json, node.Name.Replace(',', '-'))["heightUm"], 1e-12, reference.Origin);
        }

        Near(expected.GetProperty("vv").GetDouble(), json["sumOfSquares"], 1e-12, reference.Origin);
        Assert.Equal([-2, 0, 0, 0, 1, 1], json["closures"]!.AsArray().Select(c => Math.Round(c!["closureUm"]!.GetValue<double>(), 12)).Order());
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Lines_with_a_slope_of_their_own_give_the_constructed_surface_without_any_fixed_height(bool perturbed)
    {
        var reference = Reference.Load("constructed-union-jack-5x5");
        List<string> rows = [];
        foreach (var line in reference.Data.GetProperty("readings").GetProperty("lines").EnumerateObject())
        {
            var nodes = line.Value.GetProperty("nodes").EnumerateArray().Select(n => $"{n[0].GetInt32()}/{n[1].GetInt32()}").ToArray();
            rows.AddRange(line.Value.GetProperty("height_increments_um").EnumerateArray().Select((r, k) => string.Create(
                CultureInfo.InvariantCulture, $"{nodes[k]},{nodes[k + 1]},{r.GetDouble() + (perturbed ? Change(line.Name, k) : 0)},1,{line.Name}")));
        }

        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,weight,line\n" + string.Join('\n', rows)), "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Assert.Equal(2, run.Json["degreesOfFreedom"]!.GetValue<int>());
        Assert.Equal(8, run.Json["lines"]!.AsArray().Count);
        var expected = perturbed
            ? reference.Data.GetProperty("perturbed").GetProperty("least_squares").GetProperty("heights_um_plane_removed")
            : reference.Data.GetProperty("recomputed").GetProperty("moody_heights_um");
        var mean = expected.EnumerateObject().Average(n => n.Value.GetDouble());
        foreach (var node in expected.EnumerateObject())
        {
            Near(node.Value.GetDouble() - mean, Height(run.Json, node.Name.Replace(',', '/'))["heightUm"], 1e-11, reference.Origin);
        }

        Near(perturbed ? 0.8 : 0, run.Json["sumOfSquares"], 1e-12, reference.Origin);

        static double Change(string line, int k) => (line, k) switch { ("mid NS", 1) => 2, ("mid EW", 0) => -1, _ => 0 };
    }

    [Fact]
    public void A_gross_error_is_listed_as_doubtful_with_its_row()
    {
        var text = "from,to,rise_um,sigma_um\nA,B,1,0.5\nB,C,1,0.5\nC,D,1,0.5\nD,A,-3,0.5\nA,C,12,0.5\nB,D,2,0.5\n";

        var doubtful = CommandLine.Run("evaluate", "level-network", CommandLine.File(text), "--json").Json["doubtful"]!.AsArray();

        var worst = doubtful.MaxBy(d => Math.Abs(d!["test"]!.GetValue<double>()))!;
        Assert.Equal(5, worst["observation"]!.GetValue<int>());
        Assert.Equal("A", worst["from"]!.GetValue<string>());
        Near(3.2905, worst["critical"], 0, "Baarda, alpha 0.001");
    }

    [Theory]
    [InlineData("from,to,rise_um,weight\nA,B,x,1\n", "points.csv:2:5: found 'x', expected a finite number in µm for rise_um")]
    [InlineData("from,to,rise_um,weight\nA,A,1,1\n", "points.csv:2:3: found a rise from 'A' to itself, expected two points")]
    [InlineData("from,to,rise_um,weight\nA,,1,1\n", "points.csv:2:3: found no point, expected the name of a point for to")]
    [InlineData("from,to,rise_um,weight\nA,B,1,0\n", "points.csv:2:7: found '0', expected a number from 1E-12 to 1000000000000 for weight")]
    [InlineData("from,to,rise_um,sigma_um\nA,B,1,-2\n", "points.csv:2:7: found '-2', expected a number from 1E-06 to 1000000 for sigma_um")]
    [InlineData("from,to,rise_um,sigma_um\nA,B,1e15,2\n", "points.csv:2:5: found '1e15', expected a rise within ±1000000000000 µm")]
    [InlineData("from,to,rise_um\nA,B,1\n", "points.csv:1:1: found the header 'from,to,rise_um', expected a column sigma_um or weight")]
    [InlineData("from,to,weight\nA,B,1\n", "expected a column rise_um")]
    [InlineData("from,to,rise_um,sigma_um,weight\nA,B,1,1,1\n", "points.csv:1:1: found both sigma_um and weight, expected one of them")]
    [InlineData("from,to,rise_um,weight\nA,B,1\n", "points.csv:2:6: found 3 fields, expected 4 fields")]
    [InlineData("", "points.csv:1:1: found nothing, expected a header line")]
    public void What_cannot_be_read_is_named_with_its_place(string text, string expected)
    {
        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File(text), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, run.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("A", "--fixed: found 'A', expected ID=HEIGHT")]
    [InlineData("A=high", "--fixed: found 'A=high', expected ID=HEIGHT")]
    [InlineData("A=NaN", "--fixed: found 'A=NaN', expected ID=HEIGHT")]
    [InlineData("X=1", "--fixed: found 'X', expected a point that the table names")]
    public void A_faulty_fixed_height_is_named(string option, string expected)
    {
        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,weight\nA,B,1,1\n"), "--fixed", option, "--json");

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void A_point_fixed_twice_and_an_option_that_does_not_repeat_are_bad_input()
    {
        var file = CommandLine.File("from,to,rise_um,weight\nA,B,1,1\n");
        Assert.Contains("'A' a second time", CommandLine.Run("evaluate", "level-network", file, "--fixed", "A=1", "--fixed", "A=2").Errors, StringComparison.Ordinal);
        Assert.Equal(2, CommandLine.Run("evaluate", "straightness", file, "--base-mm", "250", "--base-mm", "500").Exit);
    }

    [Theory]
    [InlineData("", "There are no height differences.")]
    [InlineData("A,B,1,1\nC,D,1,1\n", "(A, B); (C, D)")]
    public void Data_that_leave_no_answer_end_with_3_and_a_sentence(string rows, string expected)
    {
        var run = CommandLine.Run("evaluate", "level-network", CommandLine.File("from,to,rise_um,weight\n" + rows), "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static string Row(JsonElement reading, double umPerUnit, double precision) => string.Create(
        CultureInfo.InvariantCulture, $"{reading.GetProperty("frm").GetString()},{reading.GetProperty("to").GetString()},{reading.GetProperty("dh").GetDouble() * umPerUnit},{precision}");

    private static JsonNode Height(JsonObject json, string id) => Assert.Single(json["heights"]!.AsArray(), h => h!["id"]!.GetValue<string>() == id)!;

    private static void Near(double expected, JsonNode? found, double tolerance, string origin)
    {
        Assert.True(found is not null, origin);
        Near(expected, found.GetValue<double>(), tolerance, origin);
    }

    private static void Near(double expected, double found, double tolerance, string origin) =>
        Assert.True(Math.Abs(expected - found) <= tolerance, $"found {found}, expected {expected} within {tolerance}; {origin}");
}
