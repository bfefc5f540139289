using System.Text.Json.Nodes;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Control chart and capability of single values.</summary>
internal static class StatisticsCommands
{
    private const double Largest = IndividualsChart.LargestNumber;

    private static readonly (string, string) UnitOption = ("unit", "unit of the values, repeated in the answer");

    public static EvaluationKind ChartKind { get; } = new(
        "control-chart", "individuals and moving-range chart with run rules: limits, and the values at which a pattern is complete",
        "value, in order of time; optional id",
        [
            ("limits-from", "how many of the first values give the limits; all where not given"),
            ("centre", "known centre line in place of that of the values; with sigma"),
            ("sigma", "known standard deviation of a single value; with centre"), ("rules", "usual (beyond 3 sigma, 2 of 3, 4 of 5, 8 on one side) or all"),
            UnitOption,
        ]);

    public static EvaluationKind CapabilityKind { get; } = new(
        "capability", "capability of a process from values: Cp, Cpk, Cpu, Cpl, Cpm and k, with the 95 % intervals of Cp and Cpk", "value; optional id",
        [("upper", "upper limit"), ("lower", "lower limit"), ("target", "target for Cpm; the middle of the tolerance where not given"), UnitOption]);

    public static EvaluationOutcome Chart(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var from = numbers.Read("limits-from", n => n is >= 2 and <= IndividualsChart.MostValues && n == Math.Floor(n), "a whole number of 2 or more");
        var (centre, sigma) = (Value(numbers, "centre"), numbers.Read("sigma", s => s is >= 1 / Largest and <= Largest, "a standard deviation above 0"));
        if (options.ContainsKey("centre") != options.ContainsKey("sigma"))
        {
            numbers.Fault("centre, --sigma", "one of them", "both or neither");
        }

        if (options.ContainsKey("limits-from") && options.ContainsKey("sigma"))
        {
            numbers.Fault("limits-from", $"'{options["limits-from"]}'", "no such option with a known centre and sigma");
        }

        var rules = numbers.Word("rules", "usual", "all") == "all" ? IndividualsChart.AllRules : IndividualsChart.UsualRules;
        var (values, ids, faults) = Values(csv, fileName);
        if (faults.Count == 0 && from > values.Count)
        {
            numbers.Fault("limits-from", $"'{options["limits-from"]}'", $"no more than the {values.Count} values of the table");
        }

        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var chart = centre is { } known ? IndividualsChart.OfKnown(values, known, sigma!.Value, rules) : IndividualsChart.Of(values, rules, (int?)from);
        return chart.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect) : EvaluationOutcome.Of(new JsonObject
        {
            ["unit"] = Unit(options), ["values"] = chart.Count, ["limitsFrom"] = centre is null ? chart.LimitsFrom : null,
            ["centre"] = Number(chart.Centre), ["sigma"] = Number(chart.Sigma),
            ["upperLimit"] = Number(chart.UpperLimit), ["lowerLimit"] = Number(chart.LowerLimit), ["meanMovingRange"] = Number(chart.MeanMovingRange),
            ["movingRangeLimit"] = Number(chart.MovingRangeLimit), ["d2"] = IndividualsChart.D2, ["d4"] = IndividualsChart.D4,
            ["rules"] = new JsonArray([.. rules.Select(r => (JsonNode?)Camel(r))]),
            ["signals"] = new JsonArray([.. chart.Signals.Select(s => (JsonNode)new JsonObject
            {
                ["rule"] = Camel(s.Rule), ["value"] = s.Point, ["id"] = ids[s.Point - 1],
                ["side"] = s.Above switch { true => "above", false => "below", null => null },
            })]),
            ["movingRangeSignals"] = new JsonArray([.. chart.MovingRangeSignals.Select(p => (JsonNode)new JsonObject { ["value"] = p, ["id"] = ids[p - 1] })]),
            ["remarks"] = new JsonArray([.. chart.Remarks.Select(r => (JsonNode?)r)]),
        });
    }

    public static EvaluationOutcome Capabilities(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (upper, lower, target) = (Value(numbers, "upper"), Value(numbers, "lower"), Value(numbers, "target"));
        if (!options.ContainsKey("upper") && !options.ContainsKey("lower"))
        {
            numbers.Fault("upper, --lower", "neither", "at least one limit");
        }

        if (upper <= lower)
        {
            numbers.Fault("lower", $"'{options["lower"]}'", $"a limit below the upper limit {options["upper"]}");
        }

        if (options.ContainsKey("target") && options.ContainsKey("upper") != options.ContainsKey("lower"))
        {
            numbers.Fault("target", $"'{options["target"]}'", "no target with one limit: Cpm needs two");
        }

        var (values, _, faults) = Values(csv, fileName);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var result = Capability.OfValues(values, new Conformity.Limits(upper, lower), target);
        return result.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect) : EvaluationOutcome.Of(new JsonObject
        {
            ["unit"] = Unit(options), ["values"] = result.Count, ["mean"] = Number(result.Mean), ["sigma"] = Number(result.Sigma),
            ["cp"] = Number(result.Cp), ["cpk"] = Number(result.Cpk),
            ["cpu"] = Number(result.Cpu), ["cpl"] = Number(result.Cpl), ["cpm"] = Number(result.Cpm), ["target"] = Number(result.Target),
            ["k"] = Number(result.K),
            ["cpFrom"] = Number(result.CpLow), ["cpTo"] = Number(result.CpHigh), ["cpkFrom"] = Number(result.CpkLow), ["cpkTo"] = Number(result.CpkHigh),
            ["intervalProbability"] = 0.95,
        });
    }

    private static string? Unit(IReadOnlyDictionary<string, string> options) => options.TryGetValue("unit", out var unit) && unit.Trim().Length > 0
        ? unit.Trim() : null;

    private static double? Value(NumberOptions numbers, string name) => numbers.Read(name, v => Math.Abs(v) <= Largest, "a finite number within ±1e12");

    private static string Camel(RunRule rule)
    {
        var name = rule.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    private static (List<double> Values, List<string?> Ids, IReadOnlyList<EvaluationFault> Faults) Values(TextReader csv, string fileName)
    {
        var (values, ids) = (new List<double>(), new List<string?>());
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return (values, ids, table.Faults);
        }

        var (value, id) = (table.Need("value", "a column value"), table.Find("id"));
        while (value >= 0 && !table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row) || !table.Number(row, value, "the unit of the values", Largest, out var number))
            {
                continue;
            }

            if (values.Count == IndividualsChart.MostValues)
            {
                table.Fault(row[value], "more than 1000000 values", "at most 1000000");
                break;
            }

            values.Add(number);
            ids.Add(PointTable.Text(row, id) is { Length: > 0 } name ? name : null);
        }

        return (values, ids, table.Faults);
    }
}
