using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Positioning and squareness by command.</summary>
public class AxisEvaluateTests
{
    private static readonly (string Short, string Member)[] Members =
    [
        ("B", "reversalUm"), ("Bbar", "meanReversalUm"), ("R_up", "repeatabilityForwardUm"), ("R_dn", "repeatabilityBackwardUm"), ("R", "repeatabilityUm"),
        ("E_up", "systematicForwardUm"), ("E_dn", "systematicBackwardUm"), ("E", "systematicUm"), ("M", "meanRangeUm"),
        ("A_up", "accuracyForwardUm"), ("A_dn", "accuracyBackwardUm"), ("A", "accuracyUm"),
    ];

    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    [InlineData('\t', '.')]
    public void Positioning_of_the_published_axis_is_that_of_the_definitions_in_every_way_of_writing(char separator, char point)
    {
        var reference = Reference.Load("acc-iso230-2-slit-axis");
        var rows = new List<string>();
        foreach (var (name, sign) in new[] { ("forward_positions", "+"), ("backward_positions", "-") })
        {
            foreach (var (target, row) in reference.Data.GetProperty("targets").EnumerateArray().Zip(reference.Data.GetProperty(name).EnumerateArray()))
            {
                rows.AddRange(row.EnumerateArray().Select((p, j) =>
                    string.Join(separator, target.GetRawText().Replace('.', point), (j + 1).ToString(CultureInfo.InvariantCulture), sign, (1000 * (p.GetDecimal() - target.GetDecimal())).ToString(CultureInfo.InvariantCulture).Replace('.', point))));
            }
        }

        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(Header(separator) + string.Join('\n', rows)), "--json");

        Assert.True(run.Exit == 0, run.Errors);
        foreach (var (name, member) in Members)
        {
            Near(reference.Data.GetProperty("recomputed_um").GetProperty(name == "B" ? "B_axis" : name).GetDouble(), run.Json[member], 2e-8, $"{name}; {reference.Origin}");
        }

        Assert.Empty(run.Json["notReported"]!.AsObject());
        Assert.Equal("ISO 230-2:2014 with Amendment 1:2016", run.Json["standard"]!.GetValue<string>());
        Assert.Equal(5, run.Json["targets"]!.AsArray().Count);
        Near(2.938, run.Json["targets"]![2]!["reversalUm"], 1e-9, reference.Origin);
        Near(8.353904022, run.Json["targets"]![2]!["repeatabilityUm"], 1e-8, reference.Origin);
    }

    [Fact]
    public void Positioning_with_one_run_each_way_says_null_and_why()
    {
        var reference = Reference.Load("positioning-five-targets");

        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(Table(reference, 1)), "--json");

        Assert.True(run.Exit == 0, run.Errors);
        var expected = reference.Data.GetProperty("first_run_alone");
        foreach (var (name, member) in Members)
        {
            Assert.True(run.Json.ContainsKey(member));
            if (expected.TryGetProperty(name, out var value))
            {
                Near(value.GetDouble(), run.Json[member], 1e-12, name);
            }
            else
            {
                Assert.Null(run.Json[member]);
                Assert.Contains("no repeatability and no accuracy", run.Json["notReported"]![member]!.GetValue<string>(), StringComparison.Ordinal);
            }
        }

        Assert.Equal(6, run.Json["notReported"]!.AsObject().Count);
    }

    [Fact]
    public void Positioning_from_one_direction_says_what_the_other_is_needed_for()
    {
        var reference = Reference.Load("positioning-five-targets");
        var oneWay = string.Join('\n', Table(reference, 5).Split('\n').Where(l => !l.Contains(",-,", StringComparison.Ordinal)));

        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(oneWay), "--json");

        Assert.Equal(
            ["accuracyBackwardUm", "accuracyUm", "meanRangeUm", "meanReversalUm", "repeatabilityBackwardUm", "repeatabilityUm", "reversalUm", "systematicBackwardUm", "systematicUm"],
            run.Json["notReported"]!.AsObject().Select(p => p.Key).Order(StringComparer.Ordinal));
        Assert.All(run.Json["notReported"]!.AsObject(), p => Assert.Equal("No target was approached in direction -.", p.Value!.GetValue<string>()));
        Near(22.62, run.Json["accuracyForwardUm"], 0.005, reference.Origin);
    }

    [Theory]
    [InlineData("0,1,+,zero\n", "points.csv:2:7: found 'zero', expected a finite number in µm for deviation_um")]
    [InlineData("0,1,up,0\n", "points.csv:2:5: found 'up', expected + or - for direction")]
    [InlineData("0,1,,0\n", "points.csv:2:5: found nothing, expected + or - for direction")]
    [InlineData("0,0,+,0\n", "points.csv:2:3: found '0', expected the number of the run, 1 or more")]
    [InlineData("0,1.5,+,0\n", "points.csv:2:3: found '1.5', expected the number of the run")]
    [InlineData("0,1,+,0\n0,1,+,1\n", "points.csv:3:3: found run 1 in this direction at 0 mm a second time (first in line 2)")]
    [InlineData("1e10,1,+,0\n", "points.csv:2:1: found '1e10', expected a number in mm within ±1e9")]
    [InlineData("0,1,+,1,5\n", "points.csv:2:9: found 5 fields, expected 4 as in the header")]
    [InlineData("0,1,+\n", "points.csv:2:6: found 3 fields, expected a field for each of target_mm, run, direction and deviation_um")]
    [InlineData("0\n", "points.csv:2:2: found 1 fields, expected a field for each")]
    public void Positioning_names_what_it_cannot_read_once_with_its_place(string rows, string expected)
    {
        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(Header(',') + rows), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void Positioning_tells_every_fault_of_a_row_at_once()
    {
        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(Header(',') + "a,b,c,d\n"), "--json");

        Assert.Equal(["1", "7", "3", "5"], run.ErrorLines.Select(l => l.Split(':')[2]));
    }

    [Fact]
    public void Positioning_names_every_missing_column()
    {
        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File("target_mm,deviation_um\n0,0\n"), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Equal(2, run.ErrorLines.Length);
    }

    [Theory]
    [InlineData("", "there are none")]
    [InlineData("0,1,+,0\n0,1,-,0\n", "there is 1")]
    [InlineData("0,1,+,0\n0,1,-,0\n9,1,+,0\n", "At 9 mm there is no reading in direction −")]
    [InlineData("0,1,+,0\n0,2,+,0\n9,1,+,0\n", "At 9 mm run 2 in direction + is missing")]
    [InlineData("0,1,+,0\n0,2,+,0\n0,1,-,0\n9,1,+,0\n9,2,+,0\n9,1,-,0\n", "2 runs in direction + and 1 in direction −")]
    public void Positioning_readings_that_leave_no_answer_end_with_3_and_a_sentence(string rows, string expected)
    {
        var run = CommandLine.Run("evaluate", "positioning", CommandLine.File(Header(',') + rows), "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void The_uncertainty_of_accuracy_comes_out_as_worked_in_the_method()
    {
        // docs/method/positioning.md, section 6.
        var run = CommandLine.Run(
            "evaluate", "positioning-uncertainty", "--length-mm", "2000", "--instrument-um", "2", "--misalignment-mm", "1", "--temperature-range-k", "1", "--temperature-c", "25",
            "--expansion-range-per-million-per-k", "1", "--drift-um", "1,7", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(15.2, run.Json["accuracyUm"], 0.05, "worked");
        Near(13.8, run.Json["temperatureUm"], 1e-12, "worked");
        Near(0.15, run.Json["misalignmentUm"], 1e-12, "worked");
        var derived = run.Json["derived"]!;
        foreach (var (name, expected) in new[] { ("reversalUm", 0.65), ("systematicUm", 15.2), ("meanRangeUm", 15.2), ("repeatabilityUnidirectionalUm", 2.04), ("repeatabilityUm", 2.14) })
        {
            Near(expected, derived[name], 0.05, name);
        }

        Assert.Equal(5, run.Json["runs"]!.GetValue<int>());
        Assert.False(run.Json.ContainsKey("notReported"));
    }

    [Fact]
    public void One_run_of_a_long_axis_has_no_uncertainty_of_repeatability()
    {
        var run = CommandLine.Run("evaluate", "positioning-uncertainty", "--length-mm", "6000", "--instrument-um", "2", "--drift-um", "2", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Assert.Equal(1, run.Json["runs"]!.GetValue<int>());
        Near(1.2 * Math.Sqrt(2), run.Json["derived"]!["reversalUm"], 1e-9, "B");
        Assert.Null(run.Json["derived"]!["repeatabilityUm"]);
        Assert.Equal("One run gives no repeatability.", run.Json["notReported"]!["derived.repeatabilityUm"]!.GetValue<string>());
    }

    [Theory]
    [InlineData("--length-mm 2000", "--instrument-um, --instrument-range-um: found neither, expected one of them")]
    [InlineData("--length-mm 2000 --instrument-um 2 --instrument-range-um 2", "found both, expected one of them")]
    [InlineData("--instrument-um 2", "--length-mm: found nothing")]
    [InlineData("--length-mm 2000 --instrument-um 2 --drift-um=-1", "--drift-um: found '-1', expected a number in µm of 0 or more")]
    [InlineData("--length-mm 2000 --instrument-um 2 --temperature-c 293", "--temperature-c: found '293'")]
    [InlineData("--length-mm 2000 --instrument-um 2 --runs 0", "--runs: found '0', expected a whole number of runs")]
    [InlineData("--length-mm 2000 --instrument-um 2 --runs 2.5", "--runs: found '2.5'")]
    [InlineData("--length-mm NaN --instrument-um 2", "--length-mm: found 'NaN'")]
    public void The_uncertainty_of_accuracy_names_faulty_options(string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", "positioning-uncertainty", .. options.Split(' '), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void Squareness_of_the_tabled_diagonals_comes_out_with_two_sides_and_with_four()
    {
        var reference = Reference.Load("squareness-diagonals");
        foreach (var row in reference.Data.GetProperty("differences").EnumerateArray())
        {
            var diagonal = Math.Sqrt((3000 * 3000) + (1500 * 1500));
            var half = row.GetProperty("d1_less_d2_mm").GetDouble() / 2;
            string[] two = ["evaluate", "squareness", "--method", "diagonals", "--d1", Text(diagonal + half), "--d2", Text(diagonal - half), "--length", "3000", "--width", "1500", "--gauge", "1750", "--json"];

            var run = CommandLine.Run(two);
            var four = CommandLine.Run([.. two, "--length-far", "3000", "--width-far", "1500"]);

            Assert.True(run.Exit == 0 && four.Exit == 0, run.Errors + four.Errors);
            Assert.Equal(row.GetProperty("angle_um_per_m").GetDouble(), Math.Round(run.Json["angleUmPerM"]!.GetValue<double>()));
            Near(row.GetProperty("drive_offset_mm").GetDouble() * 1000, run.Json["driveOffsetUm"], 0.9, reference.Origin);
            Near(run.Json["angleUmPerM"]!.GetValue<double>(), four.Json["angleUmPerM"], 1e-5, "four equal sides");
            Near(0.648 / Math.PI * run.Json["angleUmPerM"]!.GetValue<double>(), run.Json["angleArcsec"], 1e-9, "arc-seconds");
            Assert.False(run.Json.ContainsKey("cornersUmPerM"));
            Assert.Equal(4, four.Json["cornersUmPerM"]!.AsArray().Count);
            Assert.True(four.Json.ContainsKey("closureUm"));
        }
    }

    [Theory]
    [InlineData("kept", "0.03", "0.01", 40, 20)]
    [InlineData("turned", "0,03", "-0,01", 40, 20)]
    [InlineData("turned", "0.03", "0.01", 20, 40)]
    public void Squareness_by_reversal_parts_axis_and_square(string indicator, string r1, string r2, double axis, double square)
    {
        var run = CommandLine.Run("evaluate", "squareness", "--method", "reversal", $"--r1={r1}", $"--r2={r2}", "--length", "500", "--indicator", indicator, "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(axis, run.Json["angleUmPerM"], 1e-12, "axis");
        Near(square, run.Json["squareUmPerM"], 1e-12, "square");
        Assert.True(run.Json.ContainsKey("driveOffsetUm") && run.Json["driveOffsetUm"] is null);
    }

    [Fact]
    public void Squareness_from_slopes_is_their_difference()
    {
        var run = CommandLine.Run("evaluate", "squareness", "--method", "slopes", "--slope-x", "7.654545454545455", "--slope-y=-17.418181818181825", "--json");

        Near(5.171621232995381, run.Json["angleArcsec"], 1e-12, "two axes of a handbook, least squares; positive is below 90 degrees here");
    }

    [Theory]
    [InlineData("", "--method: found nothing, expected diagonals, reversal or slopes")]
    [InlineData("--method magic", "--method: found 'magic'")]
    [InlineData("--method diagonals --d1 3354 --d2 3354 --length 3000", "--width: found nothing, expected a number")]
    [InlineData("--method diagonals --d1 x --d2 3354 --length 3000 --width 1500", "--d1: found 'x', expected a number in mm above 0")]
    [InlineData("--method diagonals --d1 1.234,5 --d2 3354 --length 3000 --width 1500", "--d1: found '1.234,5'")]
    [InlineData("--method diagonals --d1 3354 --d2 3354 --length 3000 --width 0", "--width: found '0'")]
    [InlineData("--method diagonals --d1 3354 --d2 3354 --length 3000 --width 1500 --gauge -1", "--gauge: found '-1'")]
    [InlineData("--method diagonals --d1 3354 --d2 3354 --length 3000 --width 1500 --length-far 3000", "--width-far: found nothing, expected all four sides, or two")]
    [InlineData("--method reversal --r1 0 --r2 0 --length 500 --d1 3", "--d1: found '3', expected no such option with --method reversal")]
    [InlineData("--method reversal --r1 0 --r2 NaN --length 500", "--r2: found 'NaN', expected a finite number in mm")]
    [InlineData("--method reversal --r1 50 --r2 0 --length 500", "--r1: found 50 mm over 500 mm, expected at most 30 mm/m")]
    [InlineData("--method reversal --r1 0 --r2 0 --length 500 --indicator up", "--indicator: found 'up', expected kept or turned")]
    [InlineData("--method slopes --slope-x 0 --slope-y 40000", "--slope-y: found '40000'")]
    public void Squareness_names_faulty_options_once_each(string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", "squareness", .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--d1 3354.2 --d2 3354.1 --length 3000 --width 1200")]
    [InlineData("--d1 3000 --d2 3000 --length 10 --width 3000 --length-far 4242 --width-far 10")]
    public void Squareness_of_lengths_that_do_not_belong_together_ends_with_3_and_a_sentence(string options)
    {
        var run = CommandLine.Run(["evaluate", "squareness", "--method", "diagonals", .. options.Split(' '), "--json"]);

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains("misread", Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void Help_names_the_kinds_and_the_units_of_their_options()
    {
        Assert.Contains("positioning", CommandLine.Run("evaluate", "--help").Output, StringComparison.Ordinal);
        Assert.Contains("target_mm,run,direction,deviation_um", CommandLine.Run("evaluate", "positioning", "--help").Output, StringComparison.Ordinal);
        var help = CommandLine.Run("evaluate", "squareness", "--help").Output;
        foreach (var option in new[] { "--d1", "--width-far", "--indicator", "--gauge" })
        {
            Assert.Contains(option, help, StringComparison.Ordinal);
        }

        Assert.Contains("lengths in mm", help, StringComparison.Ordinal);
    }

    private static string Header(char separator) => "target_mm,run,direction,deviation_um\n".Replace(',', separator);

    private static string Text(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    private static string Table(Reference reference, int runs) => Header(',') + string.Join('\n', new[] { ("forward", "+"), ("backward", "-") }.SelectMany(way =>
        reference.Data.GetProperty("targets").EnumerateArray().Zip(reference.Data.GetProperty(way.Item1).EnumerateArray()).SelectMany(pair =>
            pair.Second.EnumerateArray().Take(runs).Select((d, j) => $"{pair.First.GetRawText()},{j + 1},{way.Item2},{d.GetRawText()}"))));

    private static void Near(double expected, JsonNode? found, double tolerance, string origin)
    {
        Assert.True(found is not null, origin);
        Assert.True(Math.Abs(expected - found.GetValue<double>()) <= tolerance, $"found {found}, expected {expected} within {tolerance}; {origin}");
    }
}
