using System.Globalization;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Commissioning by command; expected figures from the trade notes (6.2 to 6.6), standards' tables and the worked examples of docs/method/commissioning.md.</summary>
public class CommissioningCommandTests
{
    [Fact]
    public void Hot_and_humid_air_asks_for_a_warmer_coolant()
    {
        // docs/method/commissioning.md: 28 °C and 60 % have 19.5 °C.
        var run = Run("dew-point", "--temperature-c", "28", "--humidity-percent", "60", "--coolant-c", "21", "--u-coolant-k", "0.1");

        Assert.Equal(19.5, Math.Round(Value(run, "dewPointC"), 1));
        Assert.Equal(21, Value(run, "dewPointC") + Value(run, "marginK"), 9);
        Assert.Equal("rejected", (string)run.Json["verdict"]!);
        Assert.Equal((2.2, 1.8), (Math.Round(Value(run, "acceptFromK"), 9), Math.Round(Value(run, "rejectBelowK"), 9)));
        Assert.Null(Run("dew-point", "--temperature-c", "24", "--humidity-percent", "45").Json["verdict"]);
    }

    [Theory]
    [InlineData("stop_ms\n", ",")]
    [InlineData("id;stop_ms\n", ";")]
    public void Ten_stops_and_a_light_curtain_give_the_distance_of_the_standard(string header, string separator)
    {
        var rows = string.Concat(Enumerable.Range(1, 10).Select(i => header.StartsWith("id", StringComparison.Ordinal) ? $"s{i}{separator}60\n" : "60\n"));
        var run = Run("stopping-time", CommandLine.File(header + rows), "--approach-mm-per-s", "2000", "--response-ms", "30", "--intrusion-mm", "128", "--distance-mm", "320");

        Assert.Equal(308, Value(run, "neededDistanceMm"), 9);
        Assert.Equal((60.0, 0.0, "accepted"), (Value(run, "timeMs"), Value(run, "standardDeviationMs"), (string)run.Json["verdict"]!));
        var few = CommandLine.Run("evaluate", "stopping-time", CommandLine.File("stop_ms\n60\n"), "--json");
        Assert.Equal(3, few.Exit);
        Assert.Contains("ten are needed", few.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--conductor", "ideal", 0.086205)]
    [InlineData("--conductor", "stranded", 0.0924)]
    [InlineData("--conductor", "flexible", 0.099)]
    public void Thirty_metres_of_six_square_millimetres_have_their_limit(string option, string conductor, double ohm)
    {
        var run = Run("bonding", "--length-m", "30", "--cross-section-mm2", "6", option, conductor, "--measured-ohm", "0,085", "--uncertainty-ohm", "0.002");

        Assert.Equal(ohm, Value(run, "limitOhm"), 9);
        Assert.Equal(ohm - 0.002, Value(run, "acceptUpToOhm"), 9);
        Assert.Equal(conductor == "ideal" ? "notProven" : "accepted", (string)run.Json["verdict"]!);
    }

    [Theory]
    [InlineData("4", "16", 121, 188)]
    [InlineData("3", "16", 68, 106)]
    public void A_nozzle_blows_the_tabled_nitrogen(string diameter, string pressure, double normal, double liquid)
    {
        var run = Run("gas-flow", "--diameter-mm", diameter, "--pressure-bar", pressure);

        Assert.Equal((normal, liquid), (Math.Round(Value(run, "nm3PerH")), Math.Round(Value(run, "liquidLPerH"))));
        Assert.True((bool)run.Json["choked"]!);
        Assert.False((bool)Run("gas-flow", "--gas", "oxygen", "--diameter-mm", "1.5", "--pressure-bar", "0.6").Json["choked"]!);
    }

    [Fact]
    public void A_vaporiser_that_cannot_follow_stops_the_cut_although_there_is_gas()
    {
        var run = Run("gas-supply", CommandLine.File("id,minutes,flow_nm3_h\nplate 2 in,8,121\n"), "--stock-nm3", "100", "--vaporiser-nm3-h", "120");

        Assert.Equal((60.0, true, false, false), (Value(run, "continuousNm3PerH"), (bool)run.Json["stockSuffices"]!, (bool)run.Json["vaporiserSuffices"]!, (bool)run.Json["suffices"]!));
        Assert.Equal(8 * 121 / 60.0 * 1.3, Value(run, "needNm3"), 9);
    }

    [Theory]
    [InlineData("6000", "accepted")]
    [InlineData("5999", "notProven")]
    [InlineData("5600", "rejected")]
    public void A_meter_of_three_per_cent_needs_the_full_power(string measured, string verdict)
    {
        var run = Run("laser-power", "--measured-w", measured, "--rated-w", "6000", "--limit-percent", "3", "--uncertainty-w", "180");
        Assert.Equal((6000.0, 5640.0, verdict), (Value(run, "acceptFromW"), Value(run, "rejectBelowW"), (string)run.Json["verdict"]!));
    }

    [Fact]
    public void A_log_has_its_drift_after_warm_up()
    {
        var log = "time_min,power_w\n0,5000\n30,6005\n31,5996\n32,6010\n33,5989\n34,6002\n35,5998\n";
        var run = Run("power-drift", CommandLine.File(log), "--limit-percent", "1");

        Assert.Equal((6.0, 6000.0, 11.0), (Value(run, "readings"), Value(run, "meanW"), Value(run, "largestDepartureW")));
        Assert.Equal((7.35, 0.245), (Math.Round(Value(run, "standardDeviationW"), 2), Math.Round(Value(run, "relativeFluctuationPercent"), 3)));
        Assert.Equal("accepted", (string)run.Json["verdict"]!);
        Assert.Equal(3, CommandLine.Run("evaluate", "power-drift", CommandLine.File(log), "--warm-up-min", "60", "--json").Exit);
    }

    [Fact]
    public void A_caustic_has_its_waist_and_M2()
    {
        // d² = 0.15² (1 + (z − 2)²/9): waist 150 µm at 2 mm, Rayleigh length 3 mm, 50 mrad.
        var rows = string.Concat(Enumerable.Range(-6, 17).Select(z => string.Create(CultureInfo.InvariantCulture, $"{z},{150 * Math.Sqrt(1 + ((z - 2) * (z - 2) / 9.0)):R}\n")));
        var run = Run("beam-caustic", CommandLine.File("z_mm,diameter_um\n" + rows));

        foreach (var (name, expected) in new[] { ("waistPositionMm", 2), ("waistDiameterUm", 150), ("rayleighMm", 3), ("divergenceMrad", 50), ("beamParameterMmMrad", 1.875), ("timesDiffractionLimit", 1.875 * Math.PI / 1.07) })
        {
            Assert.Equal(expected, Value(run, name), 6);
        }

        Assert.Equal((17.0, 7.0), (Value(run, "planes"), Value(run, "withinRayleigh")));
    }

    [Fact]
    public void Kerf_edge_and_general_tolerances_are_those_of_the_tables()
    {
        Assert.Equal((0.28, 0.14), (Math.Round(Value(Run("kerf", "--nominal-mm", "100", "--measured-mm", "99.72"), "kerfMm"), 9), Math.Round(Value(Run("kerf", "--nominal-mm", "100", "--measured-mm", "99.72"), "offsetPerSideMm"), 9)));
        Assert.Equal(0.3, Value(Run("kerf", "--of", "hole", "--nominal-mm", "50", "--measured-mm", "50.3"), "kerfMm"), 9);
        Assert.Equal(3, CommandLine.Run("evaluate", "kerf", "--nominal-mm", "100", "--measured-mm", "101", "--json").Exit);

        // ISO 9013, range 2 at 10 mm: 0.15 + 0.007 · 10 and 40 + 0.8 · 10.
        var edge = Run("cut-edge", "--thickness-mm", "10", "--size-mm", "200").Json;
        Assert.Equal((0.22, 48.0), ((double)edge["ranges"]![1]!["squarenessMm"]!, (double)edge["ranges"]![1]!["roughnessUm"]!));
        Assert.Null(edge["ranges"]![4]!["roughnessUm"]);
        Assert.Equal(2, edge["sizes"]!.AsArray().Count);

        // ISO 13920, a frame of 3500 mm: B ± 6, F 6 (docs/method/acceptance.md, section 4).
        var frame = Run("general-tolerance", "--size-mm", "3500").Json;
        Assert.Equal(["A 4", "B 6", "C 11", "D 16"], frame["lengths"]!.AsArray().Select(c => $"{c!["class"]} {c["limitMm"]}"));
        Assert.Equal(["E 3", "F 6", "G 11", "H 18"], frame["forms"]!.AsArray().Select(c => $"{c!["class"]} {c["limitMm"]}"));
    }

    [Theory]
    [InlineData("dew-point --temperature-c 28 --humidity-percent 120", "--humidity-percent: found '120', expected a relative humidity in % from 1 to 100")]
    [InlineData("dew-point --temperature-c 28 --humidity-percent 60 --margin-k 2", "--margin-k: found '2', expected it together with --coolant-c")]
    [InlineData("bonding --length-m 30 --cross-section-mm2 7", "--cross-section-mm2: found '7', expected one of 0.5, 0.75")]
    [InlineData("bonding --length-m 30 --cross-section-mm2 6 --conductor steel", "--conductor: found 'steel', expected stranded or flexible or ideal")]
    [InlineData("gas-flow --diameter-mm 2", "--pressure-bar: found nothing, expected a pressure in bar from 0 to 400")]
    [InlineData("laser-power --measured-w NaN --rated-w 6000 --limit-percent 3", "--measured-w: found 'NaN', expected a power in W of 0 or more")]
    [InlineData("kerf --nominal-mm 0 --measured-mm 1", "--nominal-mm: found '0', expected a size in mm above 0")]
    [InlineData("cut-edge --thickness-mm 50", "--thickness-mm: found '50', expected a thickness in mm from 0.5 to 32")]
    [InlineData("general-tolerance --size-mm 1", "--size-mm: found '1', expected a size in mm from 2")]
    public void Bad_options_are_named(string arguments, string fault)
    {
        var run = CommandLine.Run(["evaluate", .. arguments.Split(' '), "--json"]);
        Assert.Equal(2, run.Exit);
        Assert.Contains(fault, run.Errors, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("stopping-time", "stop_ms\n60\n-1\n", ":3:1: found '-1', expected a number in ms of 0 or more")]
    [InlineData("stopping-time", "stop\n60\n", ":1:1: found the header 'stop', expected a column stop_ms")]
    [InlineData("gas-supply", "minutes,flow_nm3_h\n0,5\n", ":2:1: found '0', expected a number in min above 0")]
    [InlineData("power-drift", "time_min,power_w\n5,10\n5,11\n", ":3:1: found '5', expected a time after 5 min")]
    [InlineData("beam-caustic", "z_mm,diameter_um\n1,0\n", ":2:3: found '0', expected a number in µm of 0.001 or more")]
    [InlineData("beam-caustic", "z_mm,diameter_um\n1,-150\n", ":2:3: found '-150', expected a number in µm of 0.001 or more")]
    [InlineData("beam-caustic", "z_mm,diameter_um\n1,NaN\n", ":2:3: found 'NaN', expected a finite number in µm for diameter_um")]
    [InlineData("beam-caustic", "z_mm,diameter_um\n1,x\n", ":2:3: found 'x', expected a finite number in µm for diameter_um")]
    public void Bad_tables_are_told_with_line_and_column(string kind, string table, string fault)
    {
        string[] more = kind == "gas-supply" ? ["--stock-nm3", "5"] : [];
        var run = CommandLine.Run(["evaluate", kind, CommandLine.File(table), .. more, "--json"]);
        Assert.Equal(2, run.Exit);
        Assert.Contains(fault, run.Errors, StringComparison.Ordinal);
    }

    private static CommandLine Run(params string[] arguments)
    {
        var run = CommandLine.Run(["evaluate", .. arguments, "--json"]);
        Assert.True(run.Exit == 0, run.Errors);
        return run;
    }

    private static double Value(CommandLine run, string name) => run.Json[name]!.GetValue<double>();
}
