using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

public class EvaluateTests
{
    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    [InlineData('\t', ',')]
    [InlineData(';', '.')]
    public void Flatness_of_the_published_ten_points_is_the_published_one_in_every_way_of_writing(char separator, char point)
    {
        var reference = Reference.Load("plane-pracma-odregress-2d");
        var expected = reference.Data.GetProperty("recomputed");

        var run = CommandLine.Run("evaluate", "flatness", CommandLine.File(Reference.Table(reference.Data.GetProperty("points"), "x_mm,y_mm,z_mm", separator, point)), "--json");

        Assert.True(run.Exit == 0, $"{run.Errors} {reference.Origin}");
        Assert.Equal(10, run.Json["points"]!.GetValue<int>());
        var ls = run.Json["leastSquares"]!;
        // Lengths in millimetres give micrometres; ten digits are published.
        Near(expected.GetProperty("orthogonal_ls").GetProperty("FLTt_LS").GetDouble() * 1000, ls["flatnessUm"], 1e-7, reference.Origin);
        Near(expected.GetProperty("orthogonal_ls").GetProperty("FLTq").GetDouble() * 1000, ls["rmsUm"], 1e-7, reference.Origin);
        Near(expected.GetProperty("orthogonal_ls").GetProperty("a").GetDouble() * 1e6, ls["slopeXUmPerM"], 1e-3, reference.Origin);
        Near(expected.GetProperty("minimum_zone").GetProperty("vertical_width").GetDouble() * 1000, run.Json["verticalMinimumZoneUm"], 1e-9, reference.Origin);
        Near(expected.GetProperty("minimum_zone").GetProperty("perpendicular_width").GetDouble() * 1000, run.Json["minimumZone"]!["flatnessUm"], 1e-7, reference.Origin);
    }

    [Fact]
    public void Flatness_names_the_contacts_by_the_ids_of_the_file()
    {
        foreach (var item in Reference.Load("constructed-minimum-zone-3x3").Data.GetProperty("cases").EnumerateArray())
        {
            var expected = item.GetProperty("recomputed");
            var points = item.GetProperty("points").EnumerateArray().Select((p, i) => $"pad {i};{p[0].GetRawText()};{p[1].GetRawText()};{p[2].GetRawText()}");

            var run = CommandLine.Run("evaluate", "flatness", CommandLine.File("id;x_mm;y_mm;z_um\n" + string.Join('\n', points)), "--json");

            var zone = run.Json["minimumZone"]!;
            Near(expected.GetProperty("perpendicular_um").GetDouble(), zone["flatnessUm"], 1e-9, item.GetProperty("name").GetString()!);
            Near(expected.GetProperty("ls").GetProperty("FLTt").GetDouble(), run.Json["leastSquares"]!["flatnessUm"], 1e-6, item.GetProperty("name").GetString()!);
            string[] contacts = [.. expected.GetProperty("high_contacts").EnumerateArray().Concat(expected.GetProperty("low_contacts").EnumerateArray()).Select(c => $"pad {c.GetRawText()}")];
            Assert.Equal(contacts.Order(StringComparer.Ordinal), zone["contacts"]!.AsArray().Select(c => c!.GetValue<string>()).Order(StringComparer.Ordinal));
            Assert.Equal(contacts.Length, zone["weights"]!.AsArray().Count);
            Assert.True(zone["zoneProved"]!.GetValue<bool>());
            Assert.Contains(zone["contact"]!.GetValue<string>(), new[] { "3-1", "2-2" });
        }
    }

    [Theory]
    [InlineData("x_mm,y_mm,z_um\n0,0,1\n1,zwei,2\n", "points.csv:3:3: found 'zwei', expected a finite number in mm for y_mm")]
    [InlineData("x_mm,y_mm,z_um\n0,0,NaN\n", "points.csv:2:5: found 'NaN', expected a finite number in µm for z_um")]
    [InlineData("x_mm,y_mm,z_um\n0,0,1e999\n", "found '1e999', expected a finite number")]
    [InlineData("x_mm,y_mm,z_um\n\n0,0,\n", "points.csv:3:5: found nothing, expected a finite number")]
    [InlineData("x_mm,y_mm,z_um\n0,0\n", "points.csv:2:4: found 2 fields, expected 3 fields")]
    [InlineData("x_mm,y_mm,z_um\n0,0,1,5\n", "points.csv:2:7: found 4 fields, expected 3 as in the header")]
    [InlineData("x_mm;y_mm;z_um\n0;0;1.234,5\n", "points.csv:2:5: found '1.234,5'")]
    [InlineData("x_mm,y_mm\n0,0\n", "points.csv:1:1: found the header 'x_mm,y_mm', expected a column z_um or z_mm")]
    [InlineData("x_mm,y_mm,z_um,z_mm\n", "found both z_um and z_mm, expected one of them")]
    [InlineData("x_mm,x_mm,y_mm,z_um\n", "points.csv:1:6: found the column 'x_mm' a second time")]
    [InlineData("id,x_mm,y_mm,z_um\na,0,0,0\na,1,1,1\n", "points.csv:3:1: found the id 'a' a second time")]
    [InlineData("", "points.csv:1:1: found nothing, expected a header line")]
    [InlineData("x_mm,y_mm,z_um\n0,0,1e300\n", "points.csv:2:5: found '1e300', expected a number in µm within ±")]
    [InlineData("x_mm,y_mm,z_mm\n0,1e300,1\n", "points.csv:2:3: found '1e300', expected a number in mm within ±")]
    [InlineData("x_mm,y_mm,z_um\n0,0,1\n50,0,2\n0,0,9\n", "points.csv:4:5: found another height at 0, 0 mm (first in line 2), expected each place with one height")]
    [InlineData("x_m,y_mm,z_um\n0,0,1\n", "points.csv:1:1: found the header 'x_m,y_mm,z_um', expected a column x_mm")]
    public void What_cannot_be_read_is_named_with_its_place(string text, string expected)
    {
        var run = CommandLine.Run("evaluate", "flatness", CommandLine.File(text), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, run.Errors, StringComparison.Ordinal);
    }

    [Fact]
    public void All_faults_are_told_at_once()
    {
        var run = CommandLine.Run("evaluate", "flatness", CommandLine.File("x_mm,y_mm,z_um\na,0,0\n0,b,0\n0,0,c\n"), "--json");

        Assert.Equal(3, run.ErrorLines.Length);
        Assert.All(run.ErrorLines.Select((l, i) => (l, i)), p => Assert.Contains($"points.csv:{p.i + 2}:", p.l, StringComparison.Ordinal));
    }

    [Fact]
    public void A_missing_file_is_bad_input()
    {
        var run = CommandLine.Run("evaluate", "flatness", "/no/such/file.csv", "--json");

        Assert.Equal(2, run.Exit);
        Assert.StartsWith("/no/such/file.csv: found no readable file", run.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("x_mm,y_mm,z_um\n0,0,1\n100,0,2\n0,100,4\n100,100,3\n0,0,1\n")]
    [InlineData("x_mm,y_mm,z_mm\n0,0,0\n100,0,0\n0,100,0\n100,100,0\n0,0,100\n")]
    public void A_place_again_with_its_height_and_points_above_each_other_in_space_are_taken(string table) =>
        Assert.Equal(0, CommandLine.Run("evaluate", "flatness", CommandLine.File(table), "--json").Exit);

    [Theory]
    [InlineData("0,0,0\n1,1,1\n2,2,2\n3,3,3\n")]
    [InlineData("0,0,0\n1,0,1\n")]
    [InlineData("")]
    public void Data_that_leave_no_answer_end_with_3_and_a_sentence(string rows)
    {
        var run = CommandLine.Run("evaluate", "flatness", CommandLine.File("x_mm,y_mm,z_um\n" + rows), "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Single(run.ErrorLines);
    }

    [Fact]
    public void Where_no_single_plane_is_best_the_least_squares_are_absent_with_a_reason()
    {
        // The corners of a cube: every plane through the middle fits as well as any other.
        var corners = from x in new[] { 0, 1 } from y in new[] { 0, 1 } from z in new[] { 0, 1 } select $"{x},{y},{z}";

        var run = CommandLine.Run("evaluate", "flatness", CommandLine.File("x_mm,y_mm,z_mm\n" + string.Join('\n', corners)), "--json");

        Assert.Equal(0, run.Exit);
        Assert.True(run.Json.ContainsKey("leastSquares") && run.Json["leastSquares"] is null);
        Assert.NotEmpty(run.Json["leastSquaresAbsentBecause"]!.GetValue<string>());
        Near(1000, run.Json["minimumZone"]!["flatnessUm"], 1e-6, "width of a cube");
    }

    [Theory]
    [InlineData("0.08", "simple", "accepted")]
    [InlineData("0.08", "guarded", "accepted")]
    [InlineData("0.095", "simple", "accepted")]
    [InlineData("0.095", "guarded", "notProven")]
    [InlineData("0.105", "simple", "rejected")]
    [InlineData("0.105", "guarded", "notProven")]
    [InlineData("0.115", "guarded", "rejected")]
    public void Conformity_decides_the_constructed_cases(string value, string rule, string verdict)
    {
        var run = CommandLine.Run("evaluate", "conformity", "--value", value, "--upper", "0.1", "--uncertainty", "0.01", "--k", "2", "--rule", rule, "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Assert.Equal(verdict, run.Json["verdict"]!.GetValue<string>());
        Assert.True(run.Json["acceptFrom"] is null && run.Json["rejectBelow"] is null);
        Near(rule == "guarded" ? 0.09 : 0.1, run.Json["acceptUpTo"], 1e-12, "limit less band");
        Near(rule == "guarded" ? 0.11 : 0.1, run.Json["rejectAbove"], 1e-12, "limit and band");
    }

    [Theory]
    [InlineData("JCGM106_7.3.3_ex1")]
    [InlineData("JCGM106_7.4")]
    public void Conformity_gives_the_published_probability(string name)
    {
        var item = Reference.Load("acc-conformity").Data.GetProperty(name);
        List<string> arguments = ["evaluate", "conformity", $"--value={item.GetProperty("y").GetRawText()}", $"--upper={item.GetProperty("TU").GetRawText()}", "--uncertainty", (2 * item.GetProperty("u").GetDouble()).ToString("R", System.Globalization.CultureInfo.InvariantCulture), "--k", "2", "--rule", "guarded", "--json"];
        if (item.TryGetProperty("TL", out var lower))
        {
            arguments.Add($"--lower={lower.GetRawText()}");
        }

        var run = CommandLine.Run([.. arguments]);

        Near(item.GetProperty("published_pc").GetDouble(), run.Json["probabilityOfConformity"], 0.005, item.GetProperty("marking").GetString()!);
        Near(item.GetProperty("recomputed").GetDouble(), run.Json["probabilityOfConformity"], 2e-6, item.GetProperty("marking").GetString()!);
    }

    [Fact]
    public void The_simple_rule_proves_nothing_where_U_is_more_than_a_quarter_of_the_limit()
    {
        var run = CommandLine.Run("evaluate", "conformity", "--value", "10", "--upper", "40", "--uncertainty", "11", "--k", "2", "--rule", "simple", "--json");

        Assert.Equal("notProven", run.Json["verdict"]!.GetValue<string>());
    }

    [Fact]
    public void Faulty_options_are_named_each()
    {
        var run = CommandLine.Run("evaluate", "conformity", "--value", "1,5", "--uncertainty", "-1", "--rule", "perhaps", "--json");

        Assert.Equal(2, run.Exit);
        Assert.Equal(["--value", "--uncertainty", "--k", "--rule", "--upper, --lower"], run.ErrorLines.Select(l => l.Split(':')[0]));
    }

    [Fact]
    public void Unknown_kinds_and_options_are_bad_input()
    {
        Assert.Equal(2, CommandLine.Run("evaluate", "magic", "x").Exit);
        Assert.Equal(2, CommandLine.Run("evaluate", "conformity", "--colour", "red").Exit);
        Assert.Equal(2, CommandLine.Run("nothing").Exit);
    }

    [Fact]
    public void Help_lists_the_kinds()
    {
        var run = CommandLine.Run("evaluate", "--help");

        Assert.Equal(0, run.Exit);
        Assert.Contains("flatness", run.Output, StringComparison.Ordinal);
        Assert.Contains("conformity", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void Numbers_keep_all_their_digits()
    {
        var text = new StringBuilder("x_mm,y_mm,z_um\n");
        for (var i = 0; i < 9; i++)
        {
            text.Append(System.Globalization.CultureInfo.InvariantCulture, $"{i % 3 * 100},{i / 3 * 100},{(i * i * i % 11) / 3.0:R}\n");
        }

        var raw = CommandLine.Run("evaluate", "flatness", CommandLine.File(text.ToString()), "--json").Json["leastSquares"]!["rmsUm"]!.ToJsonString();

        Assert.True(raw.Length >= 15, raw);
        Assert.Equal(raw, JsonSerializer.Serialize(double.Parse(raw, System.Globalization.CultureInfo.InvariantCulture)));
    }

    private static void Near(double expected, JsonNode? found, double tolerance, string origin)
    {
        Assert.True(found is not null, origin);
        Assert.True(Math.Abs(expected - found.GetValue<double>()) <= tolerance, $"found {found}, expected {expected} within {tolerance}; {origin}");
    }
}
