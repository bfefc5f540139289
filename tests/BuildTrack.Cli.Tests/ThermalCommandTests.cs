using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Length, bow and cooling by command; expected figures from the tables of the trade notes, section 2.3, or closed form.</summary>
public class ThermalCommandTests
{
    [Theory]
    [InlineData("3100", 178)]
    [InlineData("6500", 374)]
    public void A_rail_at_25_degrees_is_longer_by_the_tabled_amount(string length, double expected)
    {
        var run = Run("thermal-length", "--length-mm", length, "--temperature-c", "25", "--u-temperature-k", "0.15", "--u-expansion-per-million-per-k", "0.5");

        Assert.Equal(expected, Math.Round(Value(run, "changeUm")));
        double temperature = Value(run, "temperatureTermUm"), expansion = Value(run, "expansionTermUm");
        Assert.Equal(Value(run, "changeUm") * 0.15 / 5, temperature, 9);
        Assert.Equal(Value(run, "changeUm") * 0.5 / 11.5, expansion, 9);
        Assert.Equal(2 * Math.Sqrt((temperature * temperature) + (expansion * expansion)), Value(run, "uncertaintyUm"), 9);
    }

    [Theory]
    [InlineData("--difference-k", "1")]
    [InlineData("--top-c", "21,5", "--bottom-c", "20,5")]
    public void A_class_B_bed_bows_by_31_um_for_a_degree_and_may_have_0_48(params string[] difference)
    {
        var run = Run(["thermal-bow", "--length-mm", "3300", "--height-mm", "500", .. difference, "--share-um", "15", "--u-difference-k", "0.025"]);

        Assert.Equal(31, Math.Round(Value(run, "bowUm")));
        Assert.Equal(0.48, Math.Round(Value(run, "allowedDifferenceK"), 2));
        Assert.Equal(Value(run, "bowUmPerK") * 0.05, Value(run, "uncertaintyUm"), 9);
    }

    [Fact]
    public void The_worked_example_of_the_method_cools_as_printed()
    {
        // docs/method/thermal.md, section 6: 8, 4, 2 K in rounds an hour apart halve each hour.
        var run = Run("cooling", CommandLine.File("time_min,bed_c,air_c\n0,28,20\n60,24,20\n120,22,20\n"), "--limit-k", "0.5");

        Assert.Equal(1.443, Math.Round(Value(run, "timeConstantH"), 3));
        Assert.Equal(120, Value(run, "waitMin"), 6);
        Assert.Equal(240, Value(run, "readyAtMin"), 6);
        Assert.Equal(2, Value(run, "differenceNowK"), 9);
        Assert.Null(run.Json["waitUncertaintyMin"]);
        Assert.Empty(run.Json["remarks"]!.AsArray());
    }

    [Theory]
    [InlineData("time_min,bed_c\n0,28\n60,24\n120,22\n", "bed less air", "--air-c", "20")]
    [InlineData("time_min;top_c;bottom_c\n0;22,4;22\n60;21,6;21,4\n120;21,2;21,1\n", "top less bottom")]
    public void Air_from_an_option_and_gradients_are_understood(string table, string difference, params string[] options)
    {
        var run = Run(["cooling", CommandLine.File(table), "--limit-k", "0.05", "--u-k", "0.02", .. options]);

        Assert.Equal(difference, run.Json["difference"]!.GetValue<string>());
        Assert.Equal(1.443, Math.Round(Value(run, "timeConstantH"), 3));
        Assert.True(Value(run, "waitUncertaintyMin") > 0);
    }

    [Theory]
    [InlineData("--wall-mm", "20", 160, 11.5)]
    [InlineData("--wall-mm", "10", 8, 2.8)]
    [InlineData("--time-constant-h", "2", 160, 11.5)]
    public void A_wall_waits_by_its_thickness_or_its_time_constant(string option, string value, double from, double hours)
    {
        var run = Run("cooling-wall", option, value, "--from-k", from.ToString(System.Globalization.CultureInfo.InvariantCulture), "--to-k", "0.5");

        Assert.Equal(hours, Math.Round(Value(run, "waitH"), 1));
    }

    [Theory]
    [InlineData("time_min,bed_c,air_c\n0,293,20\n", "bed.csv:2:3: found '293', expected a temperature in °C from -50 to 250 (not in K)")]
    [InlineData("time_min,bed_c,air_c\n0,NaN,20\n", "bed.csv:2:3: found 'NaN'")]
    [InlineData("time_min,bed_c,air_c\n0,28,20\n60,25,20\n50,24,20\n", "bed.csv:4:1: found '50', expected a time after 60 min of line 3")]
    [InlineData("time_min,bed_c,air_c\n0,28,20\n0,25,20\n", "bed.csv:3:1: found '0', expected a time after 0 min of line 2")]
    [InlineData("time_min,bed_c\n0,28\n", "expected a column air_c, or --air-c")]
    [InlineData("time_min,top_c\n0,28\n", "expected a column bottom_c")]
    [InlineData("time_min,bed_c,top_c,bottom_c\n", "found both bed_c and top_c or bottom_c")]
    public void Rounds_that_cannot_be_used_are_named(string table, string expected)
    {
        var run = CommandLine.Run("evaluate", "cooling", CommandLine.File(table, "bed.csv"), "--limit-k", "0.5", "--json");

        Assert.Equal(2, run.Exit);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0,28,20\n", "there is 1")]
    [InlineData("0,28,20\n60,29,20\n", "does not fall")]
    [InlineData("0,28,20\n60,20,20\n", "At 60 min the difference is 0 K")]
    public void Rounds_that_do_not_cool_end_with_3_and_a_sentence(string rows, string expected)
    {
        var run = CommandLine.Run("evaluate", "cooling", CommandLine.File("time_min,bed_c,air_c\n" + rows), "--limit-k", "0.5", "--json");

        Assert.Equal(3, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("thermal-length --length-mm 3000 --temperature-c 298", "--temperature-c: found '298', expected a temperature in °C from -50 to 250 (not in K)")]
    [InlineData("thermal-length --temperature-c 25", "--length-mm: found nothing, expected a number in mm above 0")]
    [InlineData("thermal-length --length-mm 3000 --temperature-c 25 --expansion-per-million-per-k 0", "--expansion-per-million-per-k: found '0'")]
    [InlineData("thermal-length --length-mm 3000 --temperature-c 25 --u-temperature-k=-1", "--u-temperature-k: found '-1', expected a number in K of 0 or more")]
    [InlineData("thermal-bow --length-mm 3000 --height-mm 500 --top-c 22", "--bottom-c: found nothing")]
    [InlineData("thermal-bow --length-mm 3000 --height-mm 500 --top-c 22 --bottom-c 21 --difference-k 1", "--difference-k: found a difference and temperatures, expected one or the other")]
    [InlineData("thermal-bow --length-mm 3000 --height-mm 500 --difference-k 400", "--difference-k: found '400'")]
    [InlineData("cooling-wall --from-k 8 --to-k 0.5", "--wall-mm, --time-constant-h: found neither, expected one of them")]
    [InlineData("cooling-wall --from-k 0 --to-k 0.5 --wall-mm 10", "--from-k: found '0'")]
    public void Options_that_cannot_be_used_are_named_once(string arguments, string expected)
    {
        var run = CommandLine.Run(["evaluate", .. arguments.Split(' '), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static CommandLine Run(params string[] arguments)
    {
        var run = CommandLine.Run(["evaluate", .. arguments, "--json"]);
        Assert.True(run.Exit == 0, run.Errors);
        return run;
    }

    private static double Value(CommandLine run, string name) => run.Json[name]!.GetValue<double>();
}
