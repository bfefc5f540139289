using System.Globalization;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>The circular test by command.</summary>
public class CircularCommandTests
{
    private const string Header = "angle_deg,radius_deviation_um,direction\n";

    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    public void The_constructed_circle_has_every_field_of_the_contract(char separator, char point)
    {
        var reference = Reference.Load("acc-iso230-4-circle-constructed");
        var expected = reference.Data.GetProperty("recomputed_um");

        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(Constructed().Replace(',', separator).Replace('.', point)), "--radius-mm", "150", "--json");

        // The constructed answers are of the linearised fit; the geometric one differs by 0.65 nm.
        Assert.True(run.Exit == 0, run.Errors);
        Near(expected.GetProperty("G_cw_LSC").GetDouble(), run.Json["circularClockwiseUm"], 0.001);
        Near(expected.GetProperty("G_ccw_LSC").GetDouble(), run.Json["circularCounterClockwiseUm"], 0.001);
        Near(expected.GetProperty("G_b_LSC_common_centre").GetDouble(), run.Json["bidirectionalUm"], 0.001);
        Near(expected.GetProperty("F_max_min_ccw_centred")[0].GetDouble(), run.Json["radialMaxUm"], 0.001);
        Near(expected.GetProperty("F_max_min_cw_centred")[1].GetDouble(), run.Json["radialMinUm"], 0.001);
        Near(reference.Data.GetProperty("squareness_um_per_m").GetDouble(), run.Json["squarenessUmPerM"], 0.02);
        Near(reference.Data.GetProperty("scale_mismatch_um_per_m").GetDouble(), run.Json["scaleMismatchUmPerM"], 0.02);

        // 80 µm/m over the radius of 150 mm.
        Near(12, run.Json["scaleMismatchUm"], 0.003);
        Near(expected.GetProperty("F_max_min_cw_centred")[0].GetDouble(), run.Json["clockwise"]!["radialMaxUm"], 0.001);
        Assert.Equal("full circle", run.Json["path"]!.GetValue<string>());
        Assert.Equal("least squares", run.Json["centre"]!.GetValue<string>());
        Assert.Equal("ISO 230-4:2005", run.Json["standard"]!.GetValue<string>());
        Assert.Empty(run.Json["notReported"]!.AsObject());
        Assert.Empty(run.Json["remarks"]!.AsArray());
    }

    [Fact]
    public void One_direction_leaves_null_with_its_reason_for_what_needs_both()
    {
        var oneWay = string.Join('\n', Constructed().Split('\n').Where(l => !l.EndsWith(",cw", StringComparison.Ordinal)));

        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(oneWay), "--radius-mm", "150", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        foreach (var name in new[] { "circularClockwiseUm", "bidirectionalUm", "bidirectionalMinimumZoneUm", "meanRadiusDeviationUm" })
        {
            Assert.True(run.Json.ContainsKey(name) && run.Json[name] is null);
            Assert.Equal("No reading in direction cw.", run.Json["notReported"]![name]!.GetValue<string>());
        }

        Near(13.392, run.Json["circularCounterClockwiseUm"], 0.001);
    }

    [Theory]
    [InlineData("0,x,cw\n", "circle.csv:2:3: found 'x', expected a finite number in µm for radius_deviation_um")]
    [InlineData("0,NaN,cw\n", "circle.csv:2:3: found 'NaN', expected a finite number")]
    [InlineData("0,1,left\n", "circle.csv:2:5: found 'left', expected cw or ccw for direction")]
    [InlineData("0,1\n", "circle.csv:2:4: found nothing, expected cw or ccw for direction")]
    [InlineData("0,9000,cw\n", "circle.csv:2:3: found '9000', expected a number in µm within ±7500")]
    [InlineData("0,1,cw\n5,1,cw\n360,1,cw\n", "circle.csv:4:1: found the angle 360° clockwise a second time (first in line 2; whole turns make no difference)")]
    public void Rows_that_cannot_be_used_are_named(string rows, string expected)
    {
        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(Header + rows, "circle.csv"), "--radius-mm", "150", "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "--radius-mm: found nothing")]
    [InlineData("--radius-mm 0", "--radius-mm: found '0', expected the nominal radius in mm")]
    public void A_radius_that_is_none_is_named_beside_the_faults_of_the_table(string options, string expected)
    {
        var run = CommandLine.Run(["evaluate", "circular", CommandLine.File(Header + "0,1,up\n", "circle.csv"), .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Equal(2, run.ErrorLines.Length);
        Assert.Contains(expected, run.Errors, StringComparison.Ordinal);
        Assert.Contains("cw or ccw", run.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0, 5, "no readings")]
    [InlineData(6, 60, "6 readings clockwise; a circle or an arc needs 8")]
    [InlineData(18, 5, "no reading clockwise between 85° and 0°: an arc of 85° is left; 90° or more")]
    public void Readings_that_leave_no_circle_end_with_3_and_a_sentence(int count, int step, string expected)
    {
        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(Header + string.Concat(Enumerable.Range(0, count).Select(i => $"{i * step},1,cw\n"))), "--radius-mm", "150", "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void An_arc_says_so_and_leaves_null_with_its_reason_for_what_it_does_not_carry()
    {
        var half = string.Concat(Constructed().Split('\n').Where(l => l.Length > 0 && (!char.IsDigit(l[0]) || int.Parse(l.Split(',')[0], CultureInfo.InvariantCulture) <= 180)).Select(l => l + "\n"));

        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(half), "--radius-mm", "150", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Assert.Equal("arc", run.Json["path"]!.GetValue<string>());
        Near(180, run.Json["clockwise"]!["arc"]!["lengthDeg"], 1e-9);
        Near(40, run.Json["squarenessUmPerM"], 0.05);
        foreach (var name in new[] { "scaleMismatchUm", "scaleMismatchUmPerM" })
        {
            Assert.True(run.Json.ContainsKey(name) && run.Json[name] is null);
            Assert.Contains("noise of the readings enters the scale 4.", run.Json["notReported"]![name]!.GetValue<string>(), StringComparison.Ordinal);
        }

        Assert.NotNull(run.Json["notReported"]!["counterClockwise.scaleMismatchUmPerM"]);
        Assert.Equal(2, run.Json["remarks"]!.AsArray().Count(r => r!.GetValue<string>().Contains("an arc of 180° from 0° was measured", StringComparison.Ordinal)));
    }

    [Fact]
    public void Directions_over_different_parts_end_with_3_and_a_sentence()
    {
        var rows = string.Concat(Enumerable.Range(0, 19).Select(i => $"{10 * i},1,cw\n{90 + (10 * i)},1,ccw\n"));

        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(Header + rows), "--radius-mm", "150", "--json");

        Assert.Equal(3, run.Exit);
        Assert.Contains("Clockwise 0° to 180° was measured, counter-clockwise 90° to 270°", Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Fact]
    public void The_worked_example_of_the_method_comes_out_as_printed()
    {
        // docs/method/circular.md, section 8: eight readings each way on R 100 mm.
        var rows = string.Concat(new[] { 3, 5, 1, -1, 3, 5, 1, -1 }.Select((d, i) => $"{45 * i},{d},ccw\n{45 * i},{d - 3},cw\n"));

        var run = CommandLine.Run("evaluate", "circular", CommandLine.File(Header + rows), "--radius-mm", "100", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        foreach (var (name, expected) in new[]
        {
            ("circularClockwiseUm", 6.0), ("circularCounterClockwiseUm", 6), ("bidirectionalUm", 9), ("bidirectionalMinimumZoneUm", 9), ("radialMaxUm", 5), ("radialMinUm", -4), ("meanRadiusDeviationUm", 0.5),
            ("squarenessUmPerM", 60), ("scaleMismatchUmPerM", 20), ("scaleMismatchUm", 2), ("centreXUm", 0), ("centreYUm", 0),
        })
        {
            Near(expected, run.Json[name], 1e-3);
        }
    }

    private static string Constructed()
    {
        static string Row(int angle, double offset, string direction)
        {
            var t = angle * Math.PI / 180;
            var deviation = 2 + (12 * Math.Cos(t)) - (7 * Math.Sin(t)) + (6 * Math.Cos(2 * t)) + (3 * Math.Sin(2 * t)) + offset;
            return string.Create(CultureInfo.InvariantCulture, $"{angle},{deviation:R},{direction}\n");
        }

        var angles = Enumerable.Range(0, 72).Select(i => 5 * i).ToArray();
        return Header + string.Concat(angles.Select(a => Row(a, 0, "ccw"))) + string.Concat(angles.Select(a => Row(a, -4, "cw")));
    }

    private static void Near(double expected, JsonNode? found, double tolerance)
    {
        Assert.NotNull(found);
        Assert.True(Math.Abs(expected - found.GetValue<double>()) <= tolerance, $"found {found}, expected {expected} within {tolerance}");
    }
}
