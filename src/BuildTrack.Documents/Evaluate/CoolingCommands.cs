using System.Text.Json.Nodes;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Thermal;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Time constant of a cooling part and the waiting time until it may be measured.</summary>
internal static class CoolingCommands
{
    public static EvaluationKind Kind { get; } = new(
        "cooling", "time constant of a part that cools (or warms), from rounds of thermometers, and the waiting time until a difference of temperature is small enough",
        "time_min,bed_c,air_c (or --air-c), in the order of time; or time_min,top_c,bottom_c for a gradient",
        [
            ("limit-k", "difference of temperature that is small enough, K"), ("air-c", "temperature of the air, °C, where the table has none"),
            ("u-k", "standard uncertainty of one difference, K; where not given, from the scatter of four rounds or more"),
        ]);

    public static EvaluationKind WallKind { get; } = new(
        "cooling-wall", "waiting time of a wall by its thickness (1 h for each 10 mm cooled from one side at about 10 W/m²K) or by a known time constant", "",
        [("from-k", "difference of temperature now, K"), ("to-k", "difference that is small enough, K"), ("wall-mm", "thickness, mm"), ("time-constant-h", "time constant in hours, in place of the thickness")]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var limit = numbers.Need("limit-k", Difference, "a difference in K above 0, at most 300");
        var air = ThermalCommands.Celsius(numbers, "air-c", needed: false);
        var u = numbers.Read("u-k", Difference, "a standard uncertainty in K above 0");
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var gradient = table.Find("top_c") >= 0 || table.Find("bottom_c") >= 0;
        if (gradient && table.Find("bed_c") >= 0)
        {
            numbers.Faults.Add(new EvaluationFault(fileName, table.Line, 1, "both bed_c and top_c or bottom_c", "bed and air, or top and bottom"));
        }

        var (warmName, coolName) = gradient ? ("top_c", "bottom_c") : ("bed_c", "air_c");
        var withAir = gradient || table.Find("air_c") >= 0;
        if (options.ContainsKey("air-c") && withAir)
        {
            numbers.Fault("air-c", $"'{options["air-c"]}'", $"no such option with the columns {warmName} and {coolName}");
        }

        var (time, warm) = (table.Need("time_min", "a column time_min"), table.Need(warmName, $"a column {warmName}"));
        var cool = withAir || !options.ContainsKey("air-c") ? table.Need(coolName, gradient ? "a column bottom_c" : "a column air_c, or --air-c") : -1;
        List<CoolingRound> rounds = table.Faults.Count > 0 ? [] : Rounds(table, time, warm, cool, air ?? 0);
        if (numbers.Faults.Count + table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var result = CoolingCalculation.Of(rounds, TemperatureDifference.FromKelvins(limit!.Value), u);
        return result.Figures is { } figures ? EvaluationOutcome.Of(Json(result, figures, limit.Value, gradient)) : EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The rounds give no time constant.");
    }

    public static EvaluationOutcome Wall(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (from, to) = (numbers.Need("from-k", Difference, "a difference in K above 0, at most 300"), numbers.Need("to-k", Difference, "a difference in K above 0, at most 300"));
        var wall = numbers.Read("wall-mm", w => w is >= 1 / ThermalShape.LargestMm and <= ThermalShape.LargestMm, "a number in mm above 0, at most 1e6");
        var constant = numbers.Read("time-constant-h", h => h is > 0 and <= 1e5, "a number of hours above 0, at most 1e5");
        if (options.ContainsKey("wall-mm") == options.ContainsKey("time-constant-h"))
        {
            numbers.Fault("wall-mm, --time-constant-h", options.ContainsKey("wall-mm") ? "both" : "neither", "one of them");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var hours = constant ?? CoolingCalculation.OfWallHours(wall!.Value);
        var wait = CoolingCalculation.Wait(TemperatureDifference.FromKelvins(from!.Value), TemperatureDifference.FromKelvins(to!.Value), hours);
        return EvaluationOutcome.Of(new JsonObject { ["timeConstantH"] = Number(wait.TimeConstantHours), ["timeConstants"] = Number(wait.TimeConstants), ["waitH"] = Number(wait.WaitHours) });
    }

    /// <summary>A difference of nothing is waited for without end.</summary>
    private static bool Difference(double kelvins) => kelvins is >= 1e-6 and <= ThermalShape.WarmestCelsius - ThermalShape.ColdestCelsius;

    private static List<CoolingRound> Rounds(PointTable table, int time, int warm, int cool, double airCelsius)
    {
        var rounds = new List<CoolingRound>();
        (double Time, string Text, long Line)? before = null;
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row))
            {
                continue;
            }

            var second = airCelsius;
            var good = table.Number(row, time, "minutes", CoolingCalculation.LongestMin, out var minutes) & Celsius(table, row, warm, out var first)
                & (cool < 0 || Celsius(table, row, cool, out second));
            if (!good)
            {
                continue;
            }

            if (before is { } last && minutes <= last.Time)
            {
                table.Fault(row[time], $"'{row[time].Text}'", Invariant($"a time after {last.Text} min of line {last.Line}"));
            }

            before = (minutes, row[time].Text, table.Line);
            rounds.Add(new CoolingRound(minutes, Temperature.FromDegreesCelsius(first), Temperature.FromDegreesCelsius(second)));
        }

        return rounds;
    }

    private static bool Celsius(PointTable table, Field[] row, int index, out double value)
    {
        if (!table.Number(row, index, "°C", out value))
        {
            return false;
        }

        if (ThermalCommands.IsOfPart(value))
        {
            return true;
        }

        table.FaultAt(row, index, "a temperature in °C from -50 to 250 (not in K)");
        return false;
    }

    private static JsonObject Json(CoolingResult result, CoolingFigures figures, double limitK, bool gradient) => new()
    {
        ["difference"] = gradient ? "top less bottom" : "bed less air", ["rounds"] = result.Rounds, ["limitK"] = Number(limitK),
        ["timeConstantH"] = Number(figures.TimeConstantMin / 60), ["timeConstantUncertaintyH"] = Number(figures.TimeConstantUncertaintyMin / 60),
        ["differenceNowK"] = Number(figures.ExcessNowK), ["fallKPerH"] = Number(figures.FallKPerHour),
        ["waitMin"] = Number(figures.WaitMin), ["waitUncertaintyMin"] = Number(figures.WaitUncertaintyMin), ["readyAtMin"] = Number(figures.ReadyAtMin),
        ["residualK"] = Number(figures.ResidualK), ["remarks"] = new JsonArray([.. figures.Remarks.Select(r => (JsonNode?)r)]),
    };
}
