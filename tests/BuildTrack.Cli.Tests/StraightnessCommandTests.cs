using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

public class StraightnessCommandTests
{
    [Theory]
    [InlineData(',', '.')]
    [InlineData(';', ',')]
    [InlineData('\t', ',')]
    public void Readings_of_the_worked_rail_give_its_table_in_every_way_of_writing(char separator, char point)
    {
        var reference = Reference.Load("worked-level-3000mm");
        var readings = Numbers(reference.Data.GetProperty("readings_um_per_m"));
        var text = $"run{separator}reading_um_per_m\n" + string.Join('\n', readings.Select(r => $"1{separator}{r.ToString("F1", CultureInfo.InvariantCulture).Replace('.', point)}"));

        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File(text), "--base-mm", "250", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        var values = reference.Data.GetProperty("values");
        Near(values.GetProperty("end_point_um").GetDouble(), run.Json["endPointUm"], 0.005, reference.Origin);
        Near(values.GetProperty("least_squares_um").GetDouble(), run.Json["leastSquaresUm"], 0.005, reference.Origin);
        Near(values.GetProperty("minimum_zone_um").GetDouble(), run.Json["minimumZoneUm"], 1e-9, reference.Origin);
        Near(values.GetProperty("minimum_zone_um").GetDouble(), run.Json["perpendicularMinimumZoneUm"], 1e-6, reference.Origin);
        Near(values.GetProperty("slope_um_per_m").GetDouble(), run.Json["slopeUmPerM"], 0.0005, reference.Origin);
        Near(values.GetProperty("worst_local_1m_um").GetDouble(), run.Json["worstLocal"]!["valueUm"], 1e-9, reference.Origin);
        Near(1000, run.Json["worstLocal"]!["lengthMm"], 0, reference.Origin);
        Near(500, run.Json["worstLocal"]!["fromMm"], 0, reference.Origin);
        Assert.False(run.Json.ContainsKey("outBackDifferenceUm"));
        var stations = run.Json["stations"]!.AsArray();
        Assert.Equal(13, stations.Count);
        for (var i = 0; i < 13; i++)
        {
            Near(250 * i, stations[i]!["positionMm"], 1e-9, reference.Origin);
            Near(reference.Data.GetProperty("heights_um")[i].GetDouble(), stations[i]!["heightUm"], 1e-9, reference.Origin);
            Near(reference.Data.GetProperty("end_point_um")[i].GetDouble(), stations[i]!["endPointUm"], 0.0051, reference.Origin);
            Near(reference.Data.GetProperty("least_squares_um")[i].GetDouble(), stations[i]!["leastSquaresUm"], 0.0051, reference.Origin);
        }

        var seconds = CommandLine.Run("evaluate", "straightness", CommandLine.File(text.Replace("reading_um_per_m", "reading_arcsec", StringComparison.Ordinal)), "--base-mm", "250", "--json");
        Near(values.GetProperty("as_arcsec_end_point_um").GetDouble(), seconds.Json["endPointUm"], 0.05, reference.Origin);
    }

    [Theory]
    [InlineData("axis1")]
    [InlineData("axis2")]
    public void Heights_of_the_handbook_axes_give_their_straightness(string axis)
    {
        var reference = Reference.Load("straightness-squareness-two-axes");
        var expected = reference.Data.GetProperty("recomputed").GetProperty(axis);
        var rows = reference.Data.GetProperty(axis).EnumerateArray().Select(r => string.Create(CultureInfo.InvariantCulture, $"{1000 * r[0].GetDouble()},{r[1].GetDouble()}"));

        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File("position_mm,height_um\n" + string.Join('\n', rows)), "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(expected.GetProperty("end_point").GetProperty("straightness").GetDouble(), run.Json["endPointUm"], 1e-11, reference.Origin);
        Near(expected.GetProperty("least_squares").GetProperty("STRt").GetDouble(), run.Json["leastSquaresUm"], 1e-11, reference.Origin);
        Near(expected.GetProperty("minimum_zone_vertical").GetProperty("STRt").GetDouble(), run.Json["minimumZoneUm"], 1e-11, reference.Origin);
        Near(expected.GetProperty("least_squares").GetProperty("slope").GetDouble(), run.Json["slopeUmPerM"], 1e-9, reference.Origin);
        Assert.Equal(3, run.Json["contactsMm"]!.AsArray().Count);
        Near(0, run.Json["weights"]!.AsArray().Sum(w => w!.GetValue<double>()), 1e-12, "weights");
    }

    [Fact]
    public void Out_and_back_of_the_published_autocollimator_are_averaged_and_compared()
    {
        var reference = Reference.Load("straightness-autocollimator-600mm");
        double[] forward = Numbers(reference.Data.GetProperty("readings").GetProperty("forward_seconds_over_2min"));
        double[] backward = Numbers(reference.Data.GetProperty("readings").GetProperty("backward_seconds_over_2min"));

        // The first station is the reference of the notes and gives no rise.
        var text = "direction,reading_arcsec\n" + string.Concat(forward.Skip(1).Select(f => $"+,{f - forward[0]}\n")) + string.Concat(backward.Skip(1).Select(b => $"-,{b - backward[0]}\n"));

        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File(text), "--base-mm", "100", "--json");

        Assert.True(run.Exit == 0, run.Errors);
        Near(reference.Data.GetProperty("recomputed").GetProperty("exact_arcsec").GetProperty("end_point_straightness_um").GetDouble(), run.Json["endPointUm"], 1e-6, reference.Origin);

        // Less the first reading, out is 0 3 7 0 1 6 and back 0 3 7 -4 -1 2 seconds: steps differ by 0 0 0 4 2 4, sums by 10; 0.484814 µm each on 100 mm.
        Near(10 * 0.484813681109536, run.Json["outBackDifferenceUm"], 1e-9, reference.Origin);
        Near(4 * 4.84813681109536, run.Json["outBackDifferencePerStationUmPerM"], 1e-9, reference.Origin);
        Near(10 * 0.484813681109536, run.Json["stations"]![6]!["outBackDifferenceUm"], 1e-9, reference.Origin);
    }

    [Fact]
    public void The_arrow_of_the_level_decides_the_sign_and_a_forgotten_one_is_refused()
    {
        var readings = Numbers(Reference.Load("worked-level-3000mm").Data.GetProperty("readings_um_per_m"));
        string Table(string back) => "run,direction,arrow,reading_um_per_m\n" + string.Concat(readings.Select(r => $"1,+,+X,{r}\n")) + string.Concat(readings.Select(r => $"1,-,{back},{-r}\n"));

        var turned = CommandLine.Run("evaluate", "straightness", CommandLine.File(Table("-X")), "--base-mm", "250", "--json");
        var forgotten = CommandLine.Run("evaluate", "straightness", CommandLine.File(Table("+X")), "--base-mm", "250", "--json");

        Assert.True(turned.Exit == 0, turned.Errors);
        Near(0, turned.Json["outBackDifferenceUm"], 1e-12, "same line");
        Near(11.58, turned.Json["endPointUm"], 0.005, "worked example");
        Assert.Equal(3, forgotten.Exit);
        Assert.Contains("Out and back nearly cancel", Assert.Single(forgotten.ErrorLines), StringComparison.Ordinal);

        // With a level this coarse the rises are noise; the mean is given and says how far the runs differ.
        Assert.Equal(0, CommandLine.Run("evaluate", "straightness", CommandLine.File(Table("+X")), "--base-mm", "250", "--u", "5", "--json").Exit);
    }

    [Fact]
    public void Positions_put_the_readings_of_the_way_back_in_order_and_runs_of_one_direction_are_averaged()
    {
        const string text = "run,direction,position_mm,reading_um_per_m\n1,+,0,4\n1,+,500,8\n1,+,1000,-4\n1,-,1000,-6\n1,-,500,8\n1,-,0,4\n2,+,0,8\n2,+,500,8\n2,+,1000,-4\n";

        var json = CommandLine.Run("evaluate", "straightness", CommandLine.File(text), "--base-mm", "500", "--json").Json;

        // Out: mean of (0 2 6 4) and (0 4 8 6) is 0 3 7 5; back: 0 2 6 3; mean 0 2.5 6.5 4.
        Assert.Equal([0, 2.5, 6.5, 4], json["stations"]!.AsArray().Select(s => s!["heightUm"]!.GetValue<double>()));
        Near(2, json["outBackDifferenceUm"], 1e-12, "at the last station");
    }

    [Fact]
    public void A_window_without_three_stations_has_no_worst_stretch_but_a_reason()
    {
        var json = CommandLine.Run("evaluate", "straightness", CommandLine.File("position_mm,height_um\n0,0\n500,3\n1000,0\n"), "--window-mm", "600", "--json").Json;

        Assert.True(json.ContainsKey("worstLocal") && json["worstLocal"] is null);
        Assert.NotEmpty(json["worstLocalAbsentBecause"]!.GetValue<string>());
    }

    [Theory]
    [InlineData("position_mm,height_um\n0,0\n250,x\n", "points.csv:3:5: found 'x', expected a finite number in µm for height_um")]
    [InlineData("position_mm,height_um\n0,0\n250,NaN\n", "points.csv:3:5: found 'NaN', expected a finite number")]
    [InlineData("position_mm,height_um\n0,1e200\n", "points.csv:2:3: found '1e200', expected a number within ±1000000000000 µm")]
    [InlineData("position_mm,height_um\n0,0\n0,1\n", "points.csv:3:1: found the position 0 mm a second time in direction +, expected each station once")]
    [InlineData("position_mm\n0\n", "points.csv:1:1: found the header 'position_mm', expected a column height_um, or reading_um_per_m")]
    [InlineData("height_um\n0\n", "points.csv:1:1: found the header 'height_um', expected a column position_mm")]
    [InlineData("reading_um_per_m\n0\n", "--base-mm: found nothing, expected the base of the level in mm")]
    [InlineData("reading_um_per_m,reading_arcsec\n0,0\n", "points.csv:1:1: found reading_um_per_m and reading_arcsec, expected one of them")]
    [InlineData("direction,position_mm,height_um\nup,0,0\n", "points.csv:2:1: found 'up', expected + or - for direction")]
    [InlineData("position_mm,height_um,arrow\n0,0,\n", "points.csv:2:5: found nothing, expected +X or -X for arrow")]
    [InlineData("direction,position_mm,height_um\n+,0,0\n+,9,1\n+,18,0\n-,0,0\n-,9,1\n", "points.csv:6:1: found other stations in direction -, expected the 3 stations of direction +")]
    [InlineData("position_mm,height_um\n0,0,7\n", "points.csv:2:5: found 3 fields, expected 2")]
    [InlineData("", "points.csv:1:1: found nothing, expected a header line")]
    public void What_cannot_be_read_is_named_with_its_place(string text, string expected)
    {
        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File(text), "--json");

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, run.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("reading_um_per_m\n1\n", "0", "--base-mm: found '0', expected one number above 0 and up to 1000000 in mm")]
    [InlineData("reading_um_per_m\n1\n", "zwei", "--base-mm: found 'zwei'")]
    [InlineData("position_mm,height_um\n0,0\n", "250", "--base-mm: found a base with a table of heights")]
    [InlineData("position_mm,reading_um_per_m\n0,1\n250,1\n750,1\n", "250", "points.csv:4:1: found a reading at 750 mm, expected the next base at 500 mm")]
    [InlineData("reading_um_per_m\n2e6\n", "250", "points.csv:2:1: found '2e6', expected a number within ±1000000 µm/m")]
    public void A_faulty_base_is_named(string text, string baseMm, string expected)
    {
        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File(text), "--base-mm", baseMm, "--json");

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, run.Errors, StringComparison.Ordinal);
        Assert.Single(run.ErrorLines);
    }

    [Fact]
    public void All_faults_are_told_at_once_options_too()
    {
        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File("position_mm,height_um\na,0\n0,b\n"), "--window-mm=-5", "--json");

        Assert.Equal(["--window-mm: ", "points.csv:2:1:", "points.csv:3:3:"], run.ErrorLines.Select(l => l[Math.Max(0, l.IndexOf("points.csv", StringComparison.Ordinal))..]).Select(l => l[..(l[0] == '-' ? 13 : 15)]));
    }

    [Theory]
    [InlineData("")]
    [InlineData("0,0\n250,1\n")]
    [InlineData("0,0\n250,1\n250.0001,1\n500,2\n")]
    public void Data_that_leave_no_answer_end_with_3_and_a_sentence(string rows)
    {
        var run = CommandLine.Run("evaluate", "straightness", CommandLine.File("position_mm,height_um\n" + rows), "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Single(run.ErrorLines);
    }

    private static double[] Numbers(JsonElement array) => [.. array.EnumerateArray().Select(v => v.GetDouble())];

    private static void Near(double expected, JsonNode? found, double tolerance, string origin)
    {
        Assert.True(found is not null, origin);
        Assert.True(Math.Abs(expected - found.GetValue<double>()) <= tolerance, $"found {found}, expected {expected} within {tolerance}; {origin}");
    }
}
