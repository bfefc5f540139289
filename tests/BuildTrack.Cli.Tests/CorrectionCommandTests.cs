using System.Globalization;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Corrections by command: the worked examples of docs/method/corrections.md, and tables and options that cannot be used.</summary>
public class CorrectionCommandTests
{
    private const string SixFeet = "foot,x_mm,y_mm,height_um,mm_per_turn\nF1,0,0,-110,2\nF2,1500,0,40,2\nF3,3000,0,100,2\n"
        + "F4,0,1600,-160,2\nF5,1500,1600,20,2\nF6,3000,1600,110,2\n";
    private const string SixPads = "pad,x_mm,y_mm,z_um\nP1,0,0,12\nP2,1500,0,-3\nP3,3000,0,8\nP4,0,1600,-6\nP5,1500,1600,-22\nP6,3000,1600,11\n";

    [Fact]
    public void Six_feet_move_as_in_the_worked_example()
    {
        var run = Run("foot-moves", CommandLine.File(SixFeet));

        Assert.Equal([0.22, 0.07, 0, 0.27, 0.09, 0], All(run, "moves", "moveMm"));
        Assert.Equal([40, 13, 0, 49, 16, 0], All(run, "moves", "turnDeg").Select(d => Math.Round(d!.Value)));
        Assert.Equal([null, null, "tooSmall", null, null, null], run.Json["moves"]!.AsArray().Select(m => m!["held"]?.GetValue<string>()));
        Assert.Equal(["F4", "F1", "F5", "F2"], run.Json["order"]!.AsArray().Where(s => s!["pass"]!.GetValue<int>() == 1)
            .Select(s => s!["foot"]!.GetValue<string>()));
        Assert.Equal(["raiseToHighest", "level"], new[] { "goal", "reference" }.Select(n => run.Json[n]!.GetValue<string>()));
        Assert.Null(run.Json["influence"]);
        Assert.Null(run.Json["refusal"]);
        Assert.True(Inner(run, "before") > Inner(run, "after"));
    }

    [Fact]
    public void Earlier_rounds_in_the_table_are_learned_from()
    {
        // docs/method/corrections.md, section 5: F1 was raised by 100 µm and F2 went along by 70: the share of 0.45 ± 0.15 moves
        // toward 0.70 by 225/233 of the way (2² + 2² µm² of two surveys against 15² µm²).
        const string table = "foot;x_mm;y_mm;height_um;before_1_um;move_1_um\nF1;0;0;0;-100;100\nF2;1500;0;70;0;0\nF3;0;1600;0;0;0\nF4;1500;1600;-90;-90;0\n";
        var run = Run("foot-moves", CommandLine.File(table), "--goal", "mean-plane", "--u-um", "2");

        var gain = 225.0 / (225 + 8);
        Assert.Equal(0.45 + (gain * 0.25), Share(run, 1, 0), 9);
        Assert.Equal(0.15 * Math.Sqrt(1 - gain), run.Json["influence"]!["over"]![1]!["sigmas"]![0]!.GetValue<double>(), 9);
        Assert.Equal(0, Share(run, 2, 0), 9);
        Assert.Equal(2, run.Json["round"]!.GetValue<int>());
        Assert.True(Value(run, "predictedRangeUm") < 0.7 * Value(run, "rangeUm"));
        Assert.All(All(run, "moves", "predictedSigmaUm"), s => Assert.True(s > 2));
    }

    [Fact]
    public void A_rail_of_pads_gets_its_leaves()
    {
        var run = Run("shim-stack", CommandLine.File("pad,wanted_mm\nP1,0.17\nP2,0.28\nP3,0.41\nP4,0.64\nP5,1.27\nP6,-0.02\n"));

        Assert.Equal([0.17, 0.28, 0.4, 0.63, 1.27, 0], All(run, "pads", "thicknessMm"));
        Assert.Equal(["1.00", "0.02", "0.05", "0.20"], run.Json["pads"]![4]!["leavesFromBelow"]!.AsArray().Select(l => l!.GetValue<string>()));
        Assert.Equal("padIsHigh", run.Json["pads"]![5]!["refusal"]!.GetValue<string>());
        Assert.Equal(15, Value(run, "leaves"));
        Assert.True(run.Json["proved"]!.GetValue<bool>());
    }

    [Fact]
    public void A_limited_stock_is_used_jointly_and_heights_follow()
    {
        const string table = "pad;wanted_mm;x_mm;y_mm;height_um\nP1;0,10;0;0;-100\nP2;0;1500;0;0\nP3;0;0;1600;0\nP4;0,10;1500;1600;-100\n";
        var run = Run("shim-stack", CommandLine.File(table), "--leaf", "0.1=1", "--leaf", "half a=0,049=1", "--leaf", "0.05=1", "--most-leaves", "2");

        Assert.Equal([0, 0, 0, -1], All(run, "pads", "predictedHeightUm"));
        Assert.Equal(3, Value(run, "leaves"));
        Assert.True(Inner(run, "before") > 40 && Inner(run, "after") < 1.01);
        Assert.Empty(run.Json["left"]!.AsArray());
    }

    [Fact]
    public void The_fewest_pads_are_shimmed_that_bring_the_bed_into_a_zone()
    {
        // docs/method/corrections.md, section 2: P3 and P8 of ten pads lie low by 0.14 and 0.06 mm.
        double[] low = [0, 3, -140, 1, 0, 2, 0, -60, 1, 0];
        var rows = low.Select((z, i) => FormattableString.Invariant($"P{i + 1},{700 * (i % 5)},{1600 * (i / 5)},{z}"));
        var file = CommandLine.File("pad,x_mm,y_mm,height_um\n" + string.Join('\n', rows));
        var run = Run("shim-stack", file, "--zone-mm", "0.02");

        Assert.Equal(["P3", "P8"], run.Json["pads"]!.AsArray().Where(p => p!["thicknessMm"]!.GetValue<double>() > 0)
            .Select(p => p!["pad"]!.GetValue<string>()));
        Assert.True(Inner(run, "before") > 60 && Inner(run, "after") < 20);
        var refused = CommandLine.Run("evaluate", "shim-stack", file, "--zone-mm", "0.02", "--most-pads", "1", "--json");
        Assert.Equal(3, refused.Exit);
        Assert.Contains("With 1 pad shimmed the zone is", refused.Errors, StringComparison.Ordinal);
    }

    [Fact]
    public void The_six_pads_are_milled_as_in_the_worked_example()
    {
        var run = Run("re-mill", CommandLine.File(SixPads));

        Assert.Equal(74.5, Value(run, "deepestUm"), 9);
        Assert.Equal(24.5, Inner(run, "before"), 6);
        Assert.Equal(375, Value(run, "depthSumUm"), 6);
        Assert.Null(run.Json["thinnestMm"]);
        Assert.Null(run.Json["refusal"]);
        Assert.Equal(98, Value(Run("re-mill", CommandLine.File(SixPads), "--goal", "metal", "--along-largest-um-per-m", "-10"), "deepestUm"), 6);
        Assert.Equal(84.5, Value(Run("re-mill", CommandLine.File(SixPads), "--set-up-mm", "0.01"), "deepestUm"), 9);
    }

    [Fact]
    public void The_large_bed_of_the_demonstration_is_allowed_its_cut()
    {
        string[] heights = Demo("bed-heights"), thicknesses = Demo("pad-thickness");
        var rows = heights.Skip(1).Zip(thicknesses.Skip(1), (h, t) =>
        {
            var (station, rail) = (h.Split(',')[0], h[1] == '1' ? 0 : 3000);
            var along = 250 * (int.Parse(station[3..], CultureInfo.InvariantCulture) - 1);
            return FormattableString.Invariant($"{station},{along},{rail},{h.Split(',')[1]},{t.Split(',')[1]}");
        });
        var run = Run("re-mill", CommandLine.File("pad,x_mm,y_mm,z_mm,thickness_mm\n" + string.Join('\n', rows)), "--minimum-mm", "16.0", "--foot-travel-mm",
            "10", "--slot-h", "28", "--pad-area-mm2", "5000");

        Assert.Equal(0.171, Math.Round(Value(run, "deepestUm") / 1000, 3));
        Assert.Equal(("R2-03", 17.4, 17.23), (run.Json["thinnestAt"]!.GetValue<string>(), Value(run, "thinnestMm"),
            Math.Round(Value(run, "thinnestLessDeepestMm"), 2)));
        Assert.Equal(28, Value(run, "slotH"));
        Assert.All(run.Json["pads"]!.AsArray(), p => Assert.Equal("allowed", p!["standing"]!.GetValue<string>()));
        Assert.True(Value(run, "footMoveMm") < 10 && Value(run, "metalMm3") > 0);
    }

    [Fact]
    public void A_bowed_rail_is_pushed()
    {
        var run = Run("rail-push", CommandLine.File("position_mm,deviation_um\n0,0\n500,12\n1000,16\n1500,12\n2000,0\n"), "--limit-um", "20");

        Assert.Equal(16, Value(run, "beforeUm"), 9);
        Assert.Equal(0, Value(run, "afterUm"), 9);
        Assert.Equal([0, -12, -16, -12, 0], All(run, "stations", "pushUm").Select(p => Math.Round(p!.Value, 9) + 0.0));
        Assert.Equal([1000, 500, 1500, 0, 2000], run.Json["orderMm"]!.AsArray().Select(p => p!.GetValue<double>()));
        Assert.Equal("nothingToPush", Run("rail-push", CommandLine.File("position_mm,deviation_um\n0,0\n500,1\n1000,0\n1500,0\n"), "--limit-um", "20")
            .Json["refusal"]!.GetValue<string>());
    }

    [Theory]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um\nF1,0,0,NaN\n", "t.csv:2:8: found 'NaN', expected a finite number in µm for height_um")]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um\nF1,0,0,1\nF1,1,0,1\n", "t.csv:3:1: found foot F1 a second time (first in line 2)")]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um,before_1_um\nF1,0,0,1,1\n", "t.csv: found an earlier round in part")]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um,rise_left_mm\nF1,0,0,1,-1\n", "t.csv:2:10: found '-1', expected a number in mm of 0 or more")]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um,mm_per_turn\nF1,0,0,1,0\n", "found foot F1 with no rise of a turn")]
    [InlineData("foot-moves", "foot,x_mm,y_mm\n", "expected a column height_um")]
    [InlineData("foot-moves", SixFeet, "--goal: found 'lower', expected raise or mean-plane", "--goal", "lower")]
    [InlineData("foot-moves", SixFeet, "--u-um: found '0'", "--u-um", "0")]
    [InlineData("shim-stack", "pad,wanted_mm,x_mm\nP1,0.1,0\n", "t.csv: found places of some pads only")]
    [InlineData("shim-stack", "pad,wanted_mm\nP1,1000\n", "expected a number in mm within ±100")]
    [InlineData("shim-stack", "pad,wanted_mm\nP1,0.1\n", "--leaf: found '0.1=x'", "--leaf", "0.1=x")]
    [InlineData("shim-stack", "pad,wanted_mm\nP1,0.1\n", "--leaf: found '0.1' a second time", "--leaf", "0.1=2", "--leaf", "0.1=3")]
    [InlineData("shim-stack", "pad,wanted_mm\nP1,0.1\n", "t.csv: found wanted_mm beside --zone-mm", "--zone-mm", "0.1")]
    [InlineData("shim-stack", "pad,x_mm\nP1,0.1\n", "t.csv: found no place of each pad", "--zone-mm", "0.1")]
    [InlineData("re-mill", "pad,x_mm,y_mm,z_um,z_mm\n", "found both z_um and z_mm, expected one of them")]
    [InlineData("re-mill", "pad,x_mm,y_mm\n", "expected a column z_um or z_mm")]
    [InlineData("re-mill", SixPads, "--clean-up-mm: found '-1'", "--clean-up-mm", "-1")]
    [InlineData("rail-push", "position_mm,deviation_um\n0,0\n", "--limit-um: found nothing")]
    [InlineData("rail-push", "position_mm,deviation_um\n0,x\n", "t.csv:2:3: found 'x'", "--limit-um", "30")]
    public void Tables_and_options_that_cannot_be_used_are_named(string kind, string table, string expected, params string[] options)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table, "t.csv"), .. options, "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("foot-moves", SixFeet, "3 rounds are done; a further one needs the engineer", "--round", "4")]
    [InlineData("foot-moves", "foot,x_mm,y_mm,height_um\nF1,0,0,1\nF2,1,0,1\n", "three feet or more; there are 2")]
    [InlineData("shim-stack", "pad,wanted_mm\nP1,0.1\n", "There are no shim leaves in stock.", "--leaf", "0.1=0")]
    [InlineData("shim-stack", "pad,wanted_mm\n", "There are no pads.")]
    [InlineData("re-mill", "pad,x_mm,y_mm,z_um\nP1,0,0,1\nP2,1,0,1\nP3,2,0,5\n", "not on one line")]
    [InlineData("re-mill", SixPads, "contradict each other", "--across-least-um-per-m", "5", "--across-largest-um-per-m", "-5")]
    [InlineData("re-mill", SixPads, "needs thickness and minimum", "--goal", "margin")]
    [InlineData("rail-push", "position_mm,deviation_um\n0,0\n1,1\n", "Straightness needs three stations", "--limit-um", "30")]
    public void What_gives_no_answer_ends_with_3_and_a_sentence(string kind, string table, string expected, params string[] options)
    {
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table), .. options, "--json"]);

        Assert.Equal(3, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static string[] Demo(string what)
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!Directory.Exists(Path.Combine(folder.FullName, "demo-data")))
        {
            folder = folder.Parent!;
        }

        return [.. File.ReadAllLines(Path.Combine(folder.FullName, "demo-data", $"OV2661-0031-{what}.csv")).Where(l => l.Length > 0)];
    }

    private static CommandLine Run(params string[] arguments)
    {
        var run = CommandLine.Run(["evaluate", .. arguments, "--json"]);
        Assert.True(run.Exit == 0, run.Errors);
        return run;
    }

    private static double Value(CommandLine run, string name) => run.Json[name]!.GetValue<double>();

    private static double Inner(CommandLine run, string form) => run.Json[form]!["minimumZoneUm"]!.GetValue<double>();

    private static double Share(CommandLine run, int over, int moved) => run.Json["influence"]!["over"]![over]!["shares"]![moved]!.GetValue<double>();

    private static IEnumerable<double?> All(CommandLine run, string list, string name) => run.Json[list]!.AsArray().Select(m => m![name]?.GetValue<double>());
}
