using System.Text.Json.Nodes;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static BuildTrack.Documents.Evaluate.MachineSafetyCommands;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Gas through a nozzle, gas for witnessed cuts, and the dew point against the coolant.</summary>
internal static class GasCommands
{
    public static EvaluationKind FlowKind { get; } = new(
        "gas-flow", "flow of nitrogen or oxygen out of a nozzle, choked or not", "",
        [
            ("gas", "nitrogen or oxygen; nitrogen where not given"), ("diameter-mm", "diameter of the nozzle, mm"), ("pressure-bar", "pressure before the nozzle above that of the air, bar"),
            ("temperature-c", "temperature of the gas, °C; 20 where not given"), ("discharge", "discharge coefficient, up to 1; 0.85 where not given (from memory)"),
        ]);

    public static EvaluationKind SupplyKind { get; } = new(
        "gas-supply", "whether stock and vaporiser suffice for a row of cuts, none of which may be interrupted", "minutes,flow_nm3_h; optional id",
        [
            ("stock-nm3", "gas that is there, Nm³"), ("vaporiser-nm3-h", "rating of the vaporiser, new and dry, Nm³/h; without it the gas comes from bottles"),
            ("derating", "what the rating is divided by; 2 where not given (common practice: 2 in a mild climate, 3 to 4 in winter)"), ("cut-factor", "for pierces and repeats; 1.3 where not given (common practice)"),
            ("stock-factor", "stock over need; 1.2 where not given (common practice)"),
        ]);

    public static EvaluationKind DewPointKind { get; } = new(
        "dew-point", "dew point of the air, and whether the coolant stands far enough above it", "",
        [
            ("temperature-c", "temperature of the air, °C"), ("humidity-percent", "relative humidity, %"), ("coolant-c", "temperature of the coolant, °C; gives a verdict"),
            ("margin-k", "how far the coolant must stand above the dew point, K; 2 where not given"), ("u-temperature-k", "standard uncertainty of the air's temperature, K; 0 where not given"),
            ("u-humidity-percent", "standard uncertainty of the humidity, %; 0 where not given"), ("u-coolant-k", "standard uncertainty of the coolant's temperature, K; 0 where not given"),
        ]);

    public static EvaluationOutcome Flow(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var gas = numbers.Word("gas", "nitrogen", "oxygen");
        var diameter = numbers.Need("diameter-mm", v => v is > 0 and <= NozzleFlow.WidestMm, "a diameter in mm above 0, at most 50");
        var pressure = numbers.Need("pressure-bar", v => v is >= 0 and <= NozzleFlow.HighestBar, "a pressure in bar from 0 to 400");
        var temperature = numbers.Read("temperature-c", v => v is >= -100 and <= 200, "a temperature in °C from -100 to 200");
        var discharge = numbers.Read("discharge", v => v is > 0 and <= 1, "a number above 0, at most 1");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var flow = NozzleFlow.Of(gas == "oxygen" ? CuttingGas.Oxygen : CuttingGas.Nitrogen, diameter!.Value, pressure!.Value, Temperature.FromDegreesCelsius(temperature ?? 20), discharge ?? 0.85);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["gas"] = gas, ["discharge"] = Number(discharge ?? 0.85), ["choked"] = flow.Choked, ["kgPerH"] = Number(flow.KilogramsPerHour), ["nm3PerH"] = Number(flow.NormalCubicMetresPerHour),
            ["liquidLPerH"] = Number(flow.LiquidLitresPerHour),
        });
    }

    public static EvaluationOutcome Supply(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var stock = numbers.Need("stock-nm3", v => v is >= 0 and <= GasSupply.Largest, "a number in Nm³ of 0 or more, at most 1e6");
        var vaporiser = numbers.Read("vaporiser-nm3-h", v => v is > 0 and <= GasSupply.Largest, "a number in Nm³/h above 0, at most 1e6");
        var (derating, cut, stocked) = (Factor(numbers, "derating") ?? 2, Factor(numbers, "cut-factor") ?? 1.3, Factor(numbers, "stock-factor") ?? 1.2);
        if (options.ContainsKey("derating") && !options.ContainsKey("vaporiser-nm3-h"))
        {
            numbers.Fault("derating", $"'{options["derating"]}'", "it together with --vaporiser-nm3-h");
        }

        var (cuts, faults) = Cuts(csv, fileName);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        if (cuts.Count == 0)
        {
            return EvaluationOutcome.NoAnswer("The table has no cut.");
        }

        var found = GasSupply.Of(cuts, new GasPlant(stock!.Value, vaporiser, derating, cut, stocked));
        return EvaluationOutcome.Of(new JsonObject
        {
            ["cuts"] = cuts.Count, ["needNm3"] = Number(found.NeedNm3), ["stockNeededNm3"] = Number(found.StockNeededNm3), ["stockSuffices"] = found.StockSuffices,
            ["peakNm3PerH"] = Number(found.PeakNm3PerHour), ["continuousNm3PerH"] = Number(found.ContinuousNm3PerHour), ["vaporiserSuffices"] = found.VaporiserSuffices,
            ["longestCutMin"] = Number(found.LongestCutMinutes), ["suffices"] = found.Suffices,
        });
    }

    public static EvaluationOutcome Dew(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var air = numbers.Need("temperature-c", v => v is >= DewPoint.ColdestCelsius and <= DewPoint.WarmestCelsius, "a temperature in °C from -45 to 60");
        var humidity = numbers.Need("humidity-percent", v => v is >= 1 and <= 100, "a relative humidity in % from 1 to 100");
        var coolant = numbers.Read("coolant-c", v => v is >= -50 and <= 100, "a temperature in °C from -50 to 100");
        var margin = Least(numbers, "margin-k", "K");
        var (airU, humidityU, coolantU) = (Least(numbers, "u-temperature-k", "K"), Least(numbers, "u-humidity-percent", "%"), Least(numbers, "u-coolant-k", "K"));
        foreach (var alone in new[] { "margin-k", "u-coolant-k" }.Where(o => options.ContainsKey(o) && !options.ContainsKey("coolant-c")))
        {
            numbers.Fault(alone, $"'{options[alone]}'", "it together with --coolant-c");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var found = DewPoint.Of(
            Temperature.FromDegreesCelsius(air!.Value), humidity!.Value, coolant is { } set ? Temperature.FromDegreesCelsius(set) : null, margin ?? 2, airU ?? 0, humidityU ?? 0, coolantU ?? 0);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["dewPointC"] = Number(found.DewPoint.DegreesCelsius), ["standardUncertaintyK"] = Number(found.StandardUncertaintyK), ["marginK"] = Number(found.MarginK),
            ["acceptFromK"] = Number(found.Decision?.AcceptFrom), ["rejectBelowK"] = Number(found.Decision?.RejectBelow), ["verdict"] = Word(found.Decision),
        });
    }

    private static double? Factor(NumberOptions numbers, string name) => numbers.Read(name, v => v is >= 1 and <= 100, "a number from 1 to 100");

    private static (List<PlannedCut> Cuts, IReadOnlyList<EvaluationFault> Faults) Cuts(TextReader csv, string fileName)
    {
        var (cuts, table) = (new List<PlannedCut>(), new PointTable(csv, fileName));
        if (!table.ReadHeader())
        {
            return (cuts, table.Faults);
        }

        var (minutes, flow) = (table.Need("minutes", "a column minutes"), table.Need("flow_nm3_h", "a column flow_nm3_h"));
        while (minutes >= 0 && flow >= 0 && !table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row) && Positive(table, row, minutes, "min", out var time) & Positive(table, row, flow, "Nm³/h", out var rate))
            {
                cuts.Add(new PlannedCut(time, rate));
            }
        }

        return (cuts, table.Faults);
    }

    internal static bool Positive(PointTable table, Field[] row, int at, string unit, out double value)
    {
        if (!table.Number(row, at, unit, GasSupply.Largest, out value))
        {
            return false;
        }

        if (value > 0)
        {
            return true;
        }

        table.Fault(row[at], $"'{row[at].Text}'", $"a number in {unit} above 0");
        return false;
    }
}
