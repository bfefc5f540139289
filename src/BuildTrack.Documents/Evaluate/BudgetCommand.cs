using System.Text.Json.Nodes;
using BuildTrack.Metrology.Uncertainty;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Uncertainty budget of a linear or linearised model from a table of its components.</summary>
internal static class BudgetCommand
{
    private const double Largest = 1e12;

    public static EvaluationKind Kind { get; } = new(
        "budget", "uncertainty budget after the GUM (JCGM 100:2008): combined and expanded uncertainty, effective degrees of freedom, share of each component",
        "name and in each row u, or expanded,k, or half_width,distribution (rectangular, triangular, u-shaped); optional sensitivity (1 where empty), "
            + "degrees_of_freedom (infinite where empty; needed for type A), type (A or B), unit",
        [
            ("probability", "coverage probability, 0.5 to 0.9999; 0.95 where not given"), ("k", "coverage factor in place of a probability"),
            ("degrees", "next-lower or interpolated: what to do where the effective degrees of freedom are no whole number"),
            ("correlation", "NAME,NAME=r: correlation of two components, -1 to 1; may be repeated"), ("unit", "unit of the result, for the statement"),
        ])
    {
        Repeated = ["correlation"],
    };

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var probability = numbers.Read(
            "probability", p => p is >= UncertaintyBudget.SmallestProbability and <= UncertaintyBudget.LargestProbability, "a probability from 0.5 to 0.9999");
        var factor = numbers.Read("k", k => k is > 0 and <= 1e6, "a coverage factor above 0");
        if (options.ContainsKey("probability") && options.ContainsKey("k"))
        {
            numbers.Fault("probability, --k", "both", "one of them");
        }

        var rule = numbers.Word("degrees", "next-lower", "interpolated") == "interpolated" ? DegreesRule.Interpolated : DegreesRule.NextLower;
        var correlations = Correlations(options, numbers);
        var table = new PointTable(csv, fileName);
        List<BudgetComponent> components = table.ReadHeader() ? Components(table) : [];
        if (numbers.Faults.Count + table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        if (components.Count == 0)
        {
            return EvaluationOutcome.NoAnswer("There are no rows: a budget needs one component or more.");
        }

        foreach (var name in correlations.SelectMany(c => new[] { c.First, c.Second }).Distinct().Where(n => components.All(c => c.Name != n)))
        {
            numbers.Fault("correlation", $"'{name}'", "a component that the table names");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        try
        {
            var result = UncertaintyBudget.Of(components, correlations, probability ?? 0.95, factor, rule);
            return result.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect)
                : EvaluationOutcome.Of(Json(result, rule, options.GetValueOrDefault("unit", "").Trim()));
        }
        catch (ArgumentException contradiction) when (contradiction.ParamName == "correlations")
        {
            numbers.Fault("correlation", "coefficients that contradict each other", "a matrix of correlations that is positive semidefinite");
            return EvaluationOutcome.Bad(numbers.Faults);
        }
    }

    private static List<BudgetComponent> Components(PointTable table)
    {
        var columns = new Columns(
            table.Need("name", "a column name"), table.Find("u"), table.Find("expanded"), table.Find("k"), table.Find("half_width"), table.Find("distribution"),
            table.Find("sensitivity"), table.Find("degrees_of_freedom"), table.Find("type"), table.Find("unit"));
        if (columns is { U: < 0, Expanded: < 0, HalfWidth: < 0 })
        {
            table.Need("u", "a column u, or expanded and k, or half_width and distribution");
        }

        if (columns is { Expanded: >= 0, K: < 0 })
        {
            table.Need("k", "a column k beside expanded");
        }

        if (columns is { HalfWidth: >= 0, Distribution: < 0 })
        {
            table.Need("distribution", "a column distribution beside half_width");
        }

        var components = new List<BudgetComponent>();
        var lines = new Dictionary<string, long>(StringComparer.Ordinal);
        if (table.Faults.Count > 0)
        {
            return components;
        }

        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row) && Component(table, columns, row) is { } component)
            {
                if (!lines.TryAdd(component.Name, table.Line))
                {
                    table.Fault(row[columns.Name], Invariant($"'{component.Name}' a second time (first in line {lines[component.Name]})"),
                        "each component once");
                }
                else if (components.Count == UncertaintyBudget.MostComponents)
                {
                    table.Fault(row[columns.Name], Invariant($"more than {UncertaintyBudget.MostComponents} components"),
                        Invariant($"at most {UncertaintyBudget.MostComponents}"));
                    break;
                }

                components.Add(component);
            }
        }

        return components;
    }

    private static BudgetComponent? Component(PointTable table, Columns columns, Field[] row)
    {
        var before = table.Faults.Count;
        var (name, unit) = (PointTable.Text(row, columns.Name), PointTable.Text(row, columns.Unit));
        if (name.Length == 0)
        {
            table.FaultAt(row, columns.Name, "the name of the component");
        }

        var sensitivity = Given(row, columns.Sensitivity) ? Signed(table, row, columns.Sensitivity) : 1;
        var type = PointTable.Text(row, columns.Type).ToUpperInvariant() is "A" ? EvaluationType.A : EvaluationType.B;
        if (PointTable.Text(row, columns.Type).ToUpperInvariant() is not ("A" or "B" or ""))
        {
            table.FaultAt(row, columns.Type, "A or B for type");
        }

        var degrees = Degrees(table, columns, row, type);
        var ways = new[] { columns.U, columns.Expanded, columns.HalfWidth }.Where(c => Given(row, c)).ToArray();
        if (ways.Length != 1)
        {
            table.Fault(row[0], ways.Length == 0 ? "no uncertainty" : "several uncertainties",
                "one of u, expanded (with k), half_width (with distribution) in each row");
            return null;
        }

        var value = Positive(table, row, ways[0]);
        var k = ways[0] == columns.Expanded ? Positive(table, row, columns.K) : 1;
        var shape = BoundedShape.Rectangular;
        if (ways[0] == columns.HalfWidth)
        {
            var word = PointTable.Text(row, columns.Distribution).ToLowerInvariant();
            shape = word switch { "triangular" => BoundedShape.Triangular, "u-shaped" => BoundedShape.UShaped, _ => BoundedShape.Rectangular };
            if (word is not ("rectangular" or "triangular" or "u-shaped"))
            {
                table.FaultAt(row, columns.Distribution, "rectangular, triangular or u-shaped for distribution");
            }
        }

        return table.Faults.Count > before ? null
            : ways[0] == columns.U ? BudgetComponent.OfStandard(name, value, sensitivity, degrees, type, unit)
            : ways[0] == columns.Expanded ? BudgetComponent.OfExpanded(name, value, k, sensitivity, degrees, type, unit)
            : BudgetComponent.OfHalfWidth(name, value, shape, sensitivity, degrees, type, unit);
    }

    /// <summary>Degrees of freedom; infinity where the row says so or, for type B, nothing.</summary>
    private static double? Degrees(PointTable table, Columns columns, Field[] row, EvaluationType type)
    {
        const string expected = "degrees of freedom of 1 or more, or inf";
        if (!Given(row, columns.Degrees))
        {
            if (type == EvaluationType.A)
            {
                table.FaultAt(row, columns.Degrees >= 0 ? columns.Degrees : columns.Type,
                    columns.Degrees >= 0 ? expected + ", for type A" : "type B, or a column degrees_of_freedom");
            }

            return null;
        }

        if (PointTable.Text(row, columns.Degrees).ToLowerInvariant() is "inf" or "infinite" or "∞")
        {
            return double.PositiveInfinity;
        }

        if (table.Number(row, columns.Degrees, "1 (or inf)", Largest, out var degrees) && degrees < 1)
        {
            table.FaultAt(row, columns.Degrees, expected);
        }

        return degrees;
    }

    private static bool Given(Field[] row, int column) => PointTable.Text(row, column).Length > 0;

    private static double Signed(PointTable table, Field[] row, int column) =>
        table.Number(row, column, "unit of the result over unit of the component", Largest, out var value) ? value : 0;

    private static double Positive(PointTable table, Field[] row, int column)
    {
        if (!table.Number(row, column, "the unit of the component", Largest, out var value))
        {
            return 0;
        }

        if (value < 1 / Largest)
        {
            table.FaultAt(row, column, "a number above 0");
        }

        return value;
    }

    private static List<BudgetCorrelation> Correlations(IReadOnlyDictionary<string, string> options, NumberOptions numbers)
    {
        var correlations = new List<BudgetCorrelation>();
        foreach (var text in options.GetValueOrDefault("correlation", "").Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            var equals = text.LastIndexOf('=');
            string[] names = equals < 0 ? [] : text[..equals].Split(',', StringSplitOptions.TrimEntries);
            var twoNames = names.Length == 2 && names.All(n => n.Length > 0) && names[0] != names[1];
            if (!twoNames || PositiveOption.Number(text[(equals + 1)..]) is not { } r || Math.Abs(r) > 1)
            {
                numbers.Fault("correlation", $"'{text}'", "NAME,NAME=r with two components and r from -1 to 1");
            }
            else if (correlations.Any(c => (c.First == names[0] && c.Second == names[1]) || (c.First == names[1] && c.Second == names[0])))
            {
                numbers.Fault("correlation", $"'{names[0]},{names[1]}' a second time", "each pair once");
            }
            else
            {
                correlations.Add(new BudgetCorrelation(names[0], names[1], r));
            }
        }

        return correlations;
    }

    private static JsonObject Json(BudgetResult result, DegreesRule rule, string unit)
    {
        var space = unit.Length > 0 ? " " + unit : "";
        var degrees = result switch
        {
            { InfiniteDegrees: true } => "infinite effective degrees of freedom",
            { EffectiveDegreesOfFreedom: { } effective } => Invariant($"{effective:F1} effective degrees of freedom"),
            _ => "no effective degrees of freedom (correlated components)",
        };
        var covers = result.CoverageProbability is { } p ? Invariant($" for {100 * p:G6} %") : "";
        return new JsonObject
        {
            ["source"] = "JCGM 100:2008", ["unit"] = unit.Length > 0 ? unit : null,
            ["combinedStandardUncertainty"] = Number(result.CombinedStandardUncertainty),
            ["effectiveDegreesOfFreedom"] = Number(result.EffectiveDegreesOfFreedom), ["degreesOfFreedomInfinite"] = result.InfiniteDegrees,
            ["degreesOfFreedomUsed"] = Number(result.DegreesUsed), ["degreesRule"] = rule == DegreesRule.Interpolated ? "interpolated" : "next-lower",
            ["coverageProbability"] = Number(result.CoverageProbability), ["k"] = Number(result.CoverageFactor),
            ["expandedUncertainty"] = Number(result.ExpandedUncertainty),
            ["correlationShare"] = Number(result.CorrelationShare), ["largest"] = result.Largest,
            ["components"] = new JsonArray([.. result.Lines.Select(l => (JsonNode)new JsonObject
            {
                ["name"] = l.Component.Name, ["type"] = l.Component.Type.ToString(), ["unit"] = l.Component.Unit.Length > 0 ? l.Component.Unit : null,
                ["standardUncertainty"] = Number(l.Component.StandardUncertainty), ["sensitivity"] = Number(l.Component.Sensitivity),
                ["degreesOfFreedom"] = Number(l.Component.DegreesOfFreedom), ["contribution"] = Number(l.ContributionSize),
                ["varianceShare"] = Number(l.VarianceShare),
            })]),
            ["because"] = result.Because,
            ["statement"] = result.ExpandedUncertainty is { } expanded
                ? Invariant($"U = {expanded:G4}{space} (k = {result.CoverageFactor:G4}{covers}; {degrees}); largest component: {result.Largest}.")
                : Invariant($"u = {result.CombinedStandardUncertainty:G4}{space} ({degrees}); largest component: {result.Largest}."),
        };
    }

    private sealed record Columns(int Name, int U, int Expanded, int K, int HalfWidth, int Distribution, int Sensitivity, int Degrees, int Type, int Unit);
}
