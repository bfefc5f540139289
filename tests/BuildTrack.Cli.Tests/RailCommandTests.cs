using System.Globalization;
using System.Text.Json.Nodes;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Pairs of rails, joints, reversals and agreement by command.</summary>
public class RailCommandTests
{
    [Fact]
    public void The_constructed_pair_of_rails_comes_out_as_constructed()
    {
        var reference = Reference.Load("constructed-two-rails");
        var expected = reference.Data.GetProperty("recomputed");
        var rows = reference.Data.GetProperty("points").EnumerateArray().Select((p, i) =>
            $"{p.GetProperty("x_mm").GetRawText()},{p.GetProperty("rail_A_um").GetRawText()},{p.GetProperty("rail_B_um").GetRawText()},{10 + (2 * i)}");

        var run = Run("rail-pair", CommandLine.File("position_mm,r1_um,r2_um,gauge_um\n" + string.Join('\n', rows)), "--gauge-mm", "1200", "--window-mm", "500");

        Near(30.0 / 7, run.Json["crossLevelDeviationUmPerM"], 1e-12);
        Assert.Equal(4.286, Math.Round(run.Json["crossLevelDeviationUmPerM"]!.GetValue<double>(), 3));
        Near(expected.GetProperty("twist_total_um_per_m").GetDouble(), run.Json["twistUmPerM"], 1e-12);
        Near(-5, run.Json["endTwistUmPerM"], 1e-12);
        Near(expected.GetProperty("max_twist_change_per_500mm_um_per_m").GetDouble(), run.Json["localTwist"]!["umPerM"], 1e-12);
        Near(expected.GetProperty("parallelism_B_to_minimum_zone_line_of_A_um").GetDouble(), run.Json["parallelism"]!["minimumZoneUm"], 1e-12);
        Near(expected.GetProperty("parallelism_B_to_ls_line_of_A_um").GetDouble(), run.Json["parallelism"]!["leastSquaresUm"], 1e-12);
        Near(expected.GetProperty("rail_A").GetProperty("ls").GetDouble(), run.Json["r1"]!["leastSquaresUm"], 1e-12);
        Near(expected.GetProperty("rail_B").GetProperty("end_point").GetDouble(), run.Json["r2"]!["endPointUm"], 1e-12);
        Near(12, run.Json["gaugeVariationUm"], 1e-12);
        Near(4, run.Json["gaugeSlopeUmPerM"], 1e-12);
        Near(9, run.Json["heightDifferenceUm"], 0);
        Near(4, run.Json["levelAlongUmPerM"], 1e-12);
        Assert.Equal(7, run.Json["stations"]!.AsArray().Count);
    }

    [Fact]
    public void Without_gauge_readings_there_is_no_gauge_and_without_stretches_no_local_twist()
    {
        var run = Run("rail-pair", CommandLine.File("position_mm;r1_um;r2_um\n0;0;1,5\n2000;1;2\n4000;0;1\n"), "--gauge-mm", "1750");

        Assert.True(run.Json.ContainsKey("gaugeVariationUm") && run.Json["gaugeVariationUm"] is null);
        Assert.Null(run.Json["localTwist"]);
        Assert.Contains("two stations", run.Json["localTwistAbsentBecause"]!.GetValue<string>(), StringComparison.Ordinal);
    }

    [Fact]
    public void A_helical_rack_whose_roller_sinks_at_the_joint_has_a_gap_that_is_too_wide()
    {
        // docs/method/joints.md, section 3: the roller lies 20 µm below its neighbours; factor 0.772 of the trade notes.
        var rows = "joint,space,height_um\n" + string.Concat(new[] { (-3, 6), (-2, 4), (-1, 2), (0, -20), (1, -2), (2, -4), (3, -6) }.Select(r => $"J2,{r.Item1},{r.Item2}\n"));

        var run = Run("rack-joint", CommandLine.File(rows), "--helix-angle-deg", "19.528333333333333");

        Assert.Equal(15.4, Math.Round(run.Json["joints"]![0]!["pitchErrorUm"]!.GetValue<double>(), 1));
        Assert.Equal(0.772, Math.Round(run.Json["factor"]!.GetValue<double>(), 3));
        Near(-8, run.Json["joints"]![0]!["stepUm"], 1e-12);
        Assert.Equal("J2", run.Json["largestAt"]!.GetValue<string>());
        Assert.Equal(0.728, Math.Round(Run("rack-joint", CommandLine.File(rows)).Json["factor"]!.GetValue<double>(), 3));
    }

    [Fact]
    public void Steps_of_three_runs_are_told_by_joint()
    {
        var run = Run("joint-step", CommandLine.File("joint,run,step_um\nJ1,1,2\nJ1,2,1\nJ1,3,3\nJ2,1,-3\nJ2,2,-5\nJ2,3,-1\n"));

        Near(5, run.Json["largestUm"], 0);
        Assert.Equal("J2", run.Json["largestAt"]!.GetValue<string>());
        Near(-3, run.Json["joints"]![1]!["meanUm"], 1e-12);
        Near(2, run.Json["joints"]![0]!["rangeUm"], 1e-12);
    }

    [Fact]
    public void Stations_in_any_order_give_the_same_figures()
    {
        const string header = "position_mm,r1_um,r2_um\n";
        string[] rows = ["0,0,0", "500,1,3", "1000,0,1", "1500,2,6"];
        JsonObject Figures(params int[] order)
        {
            var run = CommandLine.Run("evaluate", "rail-pair", CommandLine.File(header + string.Join('\n', order.Select(i => rows[i]))), "--gauge-mm", "1750", "--json");
            Assert.True(run.Exit == 0, run.Errors);
            var json = run.Json;
            Assert.True(json.Remove("stations"));
            return json;
        }

        var sorted = Figures(0, 1, 2, 3);
        foreach (var (name, value) in Figures(2, 0, 3, 1).Where(f => f.Value is JsonValue v && v.TryGetValue<double>(out _)))
            Assert.Equal(sorted[name]!.GetValue<double>(), value!.GetValue<double>(), 9);
    }

    [Theory]
    [InlineData("kept", -1)]
    [InlineData("turned", 1)]
    public void A_straightedge_turned_over_leaves_the_guide(string indicator, int sign)
    {
        // docs/method/reversal.md, section 4: guide 0 4 6 4 0, straightedge 0 −1 2 −1 0.
        double[] guide = [0, 4, 6, 4, 0], edge = [0, -1, 2, -1, 0];
        var rows = string.Concat(guide.Select((m, i) => string.Create(CultureInfo.InvariantCulture, $"{100 * i},{m + edge[i]},{sign * (edge[i] - m)}\n")));

        var run = Run("straightedge-reversal", CommandLine.File("position_mm,r1_um,r2_um\n" + rows), "--indicator", indicator);

        Near(6, run.Json["endPointUm"], 1e-12);
        Near(3, run.Json["straightedge"]!["endPointUm"], 1e-12);
        Assert.Equal(guide, run.Json["stations"]!.AsArray().Select(s => s!["endPointUm"]!.GetValue<double>()));
        Assert.Equal(edge, run.Json["straightedge"]!["deviationsUm"]!.AsArray().Select(d => d!.GetValue<double>()));
    }

    [Fact]
    public void A_level_read_end_for_end_has_its_zero_and_its_slope()
    {
        var run = Run("level-zero", "--a", "14", "--b=-6");

        Near(4, run.Json["zeroErrorUmPerM"], 0);
        Near(10, run.Json["slopeUmPerM"], 0);
    }

    [Theory]
    [InlineData("end-point", 28.0 / 3)]
    [InlineData("least-squares", 8.4)]
    [InlineData("minimum-zone", 8)]
    public void The_worst_stretch_is_judged_by_the_line_asked_for(string reference, double expected)
    {
        // By hand: of 0 4 0 8 and 4 0 8 0 over 600 mm the second is worse by each line; about its ends 0 −8/3 20/3 0, about least squares 0.4 −3.2 5.2 −2.4, in the zone of slope nought 8.
        var run = Run("straightness", CommandLine.File("position_mm,height_um\n0,0\n200,4\n400,0\n600,8\n800,0\n"), "--window-mm", "600", "--window-reference", reference);

        Assert.Equal(reference, run.Json["worstLocal"]!["reference"]!.GetValue<string>());
        Near(expected, run.Json["worstLocal"]!["valueUm"], 1e-9);
    }

    [Theory]
    [InlineData("40", "3", "35", "4", 1, true, "the two methods agree.")]
    [InlineData("40", "3", "34", "4", 1.2, false, "E_n = 1.20: the two methods do not agree.")]
    public void Two_methods_agree_or_not(string first, string firstU, string second, string secondU, double en, bool agree, string words)
    {
        var run = Run("two-methods", "--value-1", first, "--uncertainty-1", firstU, "--value-2", second, "--uncertainty-2", secondU, "--unit", "µm/m");

        Near(en, run.Json["en"], 1e-12);
        Near(5, run.Json["uncertaintyOfDifference"], 1e-12);
        Assert.Equal(agree, run.Json["agree"]!.GetValue<bool>());
        Assert.EndsWith(words, run.Json["statement"]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Contains($"{first} µm/m (U {firstU} µm/m)", run.Json["statement"]!.GetValue<string>(), StringComparison.Ordinal);
    }

    [Fact]
    public void The_statement_for_people_is_written_without_escapes()
    {
        var run = CommandLine.Run("evaluate", "two-methods", "--value-1", "40", "--uncertainty-1", "3", "--value-2", "35", "--uncertainty-2", "4", "--unit", "µm/m");

        Assert.Contains("statement: \"40 µm/m (U 3 µm/m) and 35 µm/m", run.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("rail-pair", "position_mm,r1_um,r2_um\n0,x,0\n", "t.csv:2:3: found 'x', expected a finite number in µm for r1_um", "--gauge-mm", "1750")]
    [InlineData("rail-pair", "position_mm,r1_um,r2_um\n0,0,NaN\n", "t.csv:2:5: found 'NaN'", "--gauge-mm", "1750")]
    [InlineData("rail-pair", "position_mm,r1_um,r2_um,gauge_um\n0,0,0\n", "found 3 fields, expected 4 fields, among them gauge_um", "--gauge-mm", "1750")]
    [InlineData("rail-pair", "position_mm,r1_um,r2_um\n0,0,0\n", "--gauge-mm: found nothing")]
    [InlineData("rail-pair", "position_mm,r1_um\n", "expected a column r2_um", "--gauge-mm", "1750")]
    [InlineData("joint-step", "joint,run,step_um\nJ1,0,2\n", "t.csv:2:4: found '0', expected the number of the run, 1 or more")]
    [InlineData("joint-step", "joint,run,step_um\n,1,2\n", "t.csv:2:1: found nothing, expected the name of the joint")]
    [InlineData("joint-step", "joint,run,step_um\nJ1,1,2\nJ1,1,2\n", "t.csv:3:4: found run 1 at joint J1 a second time (first in line 2), expected each once at a joint")]
    [InlineData("rack-joint", "joint,space,height_um\nJ1,a,2\n", "t.csv:2:4: found 'a', expected the number of the tooth space, 0 at the joint")]
    [InlineData("rack-joint", "joint,space,height_um\nJ1,0,2\n", "--pressure-angle-deg: found '50', expected an angle in degrees from 5 to 45", "--pressure-angle-deg", "50")]
    [InlineData("straightedge-reversal", "position_mm,r1_um,r2_um\n0,0\n", "found 2 fields, expected 3 fields, among them r2_um")]
    [InlineData("straightedge-reversal", "position_mm,r1_um,r2_um\n0,0,0\n", "--indicator: found 'up', expected kept or turned", "--indicator", "up")]
    [InlineData("straightness", "position_mm,height_um\n0,0\n", "--window-reference: found 'mean', expected end-point or least-squares or minimum-zone", "--window-reference", "mean")]
    public void Input_that_cannot_be_used_is_named_once_with_its_place(string kind, string table, string expected, params string[] options)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table, "t.csv"), .. options, "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("rail-pair", "position_mm,r1_um,r2_um\n0,0,0\n500,0,0\n", "A pair of rails needs three stations; there are 2", "--gauge-mm", "1750")]
    [InlineData("joint-step", "joint,run,step_um\n", "no rows")]
    [InlineData("rack-joint", "joint,space,height_um\nJ1,0,2\nJ1,1,2\n", "the same spaces are needed")]
    [InlineData("straightedge-reversal", "position_mm,r1_um,r2_um\n0,0,0\n", "three stations")]
    public void Data_that_leave_no_answer_end_with_3_and_a_sentence(string kind, string table, string expected, params string[] options)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table), .. options, "--json"]);

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("two-methods --value-1 1 --uncertainty-1 0 --value-2 1 --uncertainty-2 0", "found nothing above 0")]
    [InlineData("two-methods --value-1 x --uncertainty-1 1 --value-2 1 --uncertainty-2 1", "--value-1: found 'x'")]
    [InlineData("two-methods --value-1 1 --uncertainty-1=-1 --value-2 1 --uncertainty-2 1", "--uncertainty-1: found '-1'")]
    [InlineData("level-zero --a 1", "--b: found nothing, expected a finite number in µm/m")]
    public void Options_that_cannot_be_used_are_named_once(string arguments, string expected)
    {
        var run = CommandLine.Run(["evaluate", .. arguments.Split(' '), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

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
