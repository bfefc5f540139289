using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.LevelNetwork;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Adjustment of a table of height differences.</summary>
internal static class LevelNetworkCommand
{
    /// <summary>Standard uncertainties from 10⁻⁶ to 10⁶ µm, weights from 10⁻¹² to 10¹².</summary>
    private const double LargestSigmaUm = 1e6;

    public static EvaluationKind Kind { get; } = new(
        "level-network", "least-squares adjustment of height differences: heights, residuals, closures", "from,to,rise_um and sigma_um or weight; optional line (one unknown slope for each)",
        [("fixed", "ID=HEIGHT: a given height in µm; may be repeated; without it the heights add to zero")])
    {
        Repeated = ["fixed"],
    };

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var faults = new List<EvaluationFault>();
        var known = Fixed(options, faults);
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader() || Columns(table, fileName, faults) is not { } columns)
        {
            return EvaluationOutcome.Bad([.. faults, .. table.Faults]);
        }

        var net = new List<LevelObservation>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row) && Observation(table, row, columns) is { } observation)
            {
                net.Add(observation);
            }
        }

        if (table.Faults.Count == 0 && net.Count > 0)
        {
            var points = net.SelectMany(o => new[] { o.From, o.To }).ToHashSet(StringComparer.Ordinal);
            faults.AddRange(known.Keys.Where(k => !points.Contains(k)).Select(k => new EvaluationFault("--fixed", null, null, $"'{k}'", "a point that the table names")));
        }

        if (faults.Count > 0 || table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. faults, .. table.Faults]);
        }

        var result = LevelNetworkCalculation.Adjust(net, known, columns.Sigmas);
        return result.Values is { } values
            ? EvaluationOutcome.Of(Json(values, net))
            : EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The height differences give no heights.");
    }

    private static (int From, int To, int Rise, int Precision, int Line, bool Sigmas)? Columns(PointTable table, string fileName, List<EvaluationFault> faults)
    {
        var (from, to, rise) = (table.Need("from", "a column from"), table.Need("to", "a column to"), table.Need("rise_um", "a column rise_um"));
        var (sigma, weight) = (table.Find("sigma_um"), table.Find("weight"));
        if (sigma >= 0 && weight >= 0)
        {
            faults.Add(new EvaluationFault(fileName, table.Line, 1, "both sigma_um and weight", "one of them"));
        }
        else if (sigma < 0 && weight < 0)
        {
            table.Need("sigma_um", "a column sigma_um or weight");
        }

        return faults.Exists(f => f.Where == fileName) || table.Faults.Count > 0 ? null : (from, to, rise, Math.Max(sigma, weight), table.Find("line"), sigma >= 0);
    }

    private static LevelObservation? Observation(PointTable table, Field[] row, (int From, int To, int Rise, int Precision, int Line, bool Sigmas) columns)
    {
        var good = Name(table, row, columns.From, "from", out var from) & Name(table, row, columns.To, "to", out var to)
            & table.Number(row, columns.Rise, "µm", out var rise) & table.Number(row, columns.Precision, columns.Sigmas ? "µm" : "units of weight", out var precision);
        if (!good)
        {
            return null;
        }

        if (from == to)
        {
            table.Fault(row[columns.To], $"a rise from '{from}' to itself", "two points");
            return null;
        }

        if (Math.Abs(rise) > LevelObservation.LargestRiseUm)
        {
            table.Fault(row[columns.Rise], $"'{row[columns.Rise].Text}'", "a rise within ±1000000000000 µm");
            return null;
        }

        var largest = columns.Sigmas ? LargestSigmaUm : LevelObservation.LargestWeight;
        if (!(precision >= 1 / largest && precision <= largest))
        {
            table.Fault(row[columns.Precision], $"'{row[columns.Precision].Text}'", string.Create(
                CultureInfo.InvariantCulture, $"a number from {1 / largest:R} to {largest:R} for {(columns.Sigmas ? "sigma_um" : "weight")}"));
            return null;
        }

        var line = columns.Line >= 0 && columns.Line < row.Length && row[columns.Line].Text.Length > 0 ? row[columns.Line].Text : null;

        // 1/σ² of the smallest and largest σ rounds to just outside the limits of a weight.
        return columns.Sigmas
            ? new LevelObservation(from, to, rise, Math.Clamp(1 / precision / precision, 1 / LevelObservation.LargestWeight, LevelObservation.LargestWeight), line)
            : new LevelObservation(from, to, rise, precision, line);
    }

    private static bool Name(PointTable table, Field[] row, int index, string column, out string name)
    {
        name = index < row.Length ? row[index].Text : "";
        if (name.Length > 0)
        {
            return true;
        }

        table.Fault(index < row.Length ? row[index] : row[^1], "no point", $"the name of a point for {column}");
        return false;
    }

    private static Dictionary<string, double> Fixed(IReadOnlyDictionary<string, string> options, List<EvaluationFault> faults)
    {
        var known = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var text in options.GetValueOrDefault("fixed", "").Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            var at = text.LastIndexOf('=');
            var name = at > 0 ? text[..at].Trim() : "";
            if (name.Length == 0 || PositiveOption.Number(text[(at + 1)..]) is not { } height || Math.Abs(height) > LevelObservation.LargestRiseUm)
            {
                faults.Add(new EvaluationFault("--fixed", null, null, $"'{text}'", "ID=HEIGHT with a finite height in µm"));
            }
            else if (!known.TryAdd(name, height))
            {
                faults.Add(new EvaluationFault("--fixed", null, null, $"'{name}' a second time", "each point once"));
            }
        }

        return known;
    }

    private static JsonObject Json(LevelNetworkValues values, List<LevelObservation> net)
    {
        var json = new JsonObject
        {
            ["heights"] = Array(values.Heights, h => new JsonObject
            {
                ["id"] = h.Id, ["heightUm"] = FlatnessCommand.Number(h.HeightUm), ["sigmaUm"] = FlatnessCommand.Number(h.SigmaUm),
            }),
            ["residualsUm"] = Array(values.ResidualsUm, v => FlatnessCommand.Number(v)),
            ["redundancy"] = Array(values.Redundancy, v => FlatnessCommand.Number(v)),
            ["sumOfSquares"] = FlatnessCommand.Number(values.SumOfSquares),
            ["sigma0"] = FlatnessCommand.Number(values.Sigma0),
            ["degreesOfFreedom"] = values.DegreesOfFreedom,
            ["globalTest"] = values.Global is { } test
                ? new JsonObject { ["lower"] = FlatnessCommand.Number(test.Lower), ["upper"] = FlatnessCommand.Number(test.Upper), ["agrees"] = test.Agrees } : null,
            ["smallestDetectableUm"] = Array(values.SmallestDetectableUm, v => FlatnessCommand.Number(v)),
            ["closuresAre"] = values.Basis switch { LoopBasis.Shortest => "shortest", _ => "grown" },
            ["closures"] = Array(values.Loops, l => new JsonObject
            {
                ["points"] = Array(l.Points, p => JsonValue.Create(p)), ["closureUm"] = FlatnessCommand.Number(l.ClosureUm),
            }),
            ["doubtful"] = Array(values.Doubtful, d => new JsonObject
            {
                ["observation"] = d.Index + 1, ["from"] = net[d.Index].From, ["to"] = net[d.Index].To,
                ["test"] = FlatnessCommand.Number(d.Test), ["critical"] = FlatnessCommand.Number(d.Critical),
            }),
        };
        if (!values.Lines.IsEmpty)
        {
            json["lines"] = Array(values.Lines, l => new JsonObject { ["line"] = l.Line, ["riseUm"] = FlatnessCommand.Number(l.RiseUm) });
        }

        return json;
    }

    private static JsonArray Array<T>(ImmutableArray<T> items, Func<T, JsonNode?> node) => new([.. items.Select(node)]);
}
