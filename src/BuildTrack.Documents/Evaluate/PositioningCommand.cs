using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Positioning;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Positioning of a linear axis from a table of readings.</summary>
internal static class PositioningCommand
{
    public static EvaluationKind Kind { get; } = new(
        "positioning", "positioning of a linear axis after ISO 230-2: reversal, repeatability, systematic deviation, accuracy", "target_mm,run,direction,deviation_um (direction + or -)", []);

    public static EvaluationOutcome Run(TextReader csv, string fileName)
    {
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        var columns = new Columns(
            table.Need("target_mm", "a column target_mm"), table.Need("run", "a column run"),
            table.Need("direction", "a column direction"), table.Need("deviation_um", "a column deviation_um"));
        if (table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        var readings = new List<PositioningReading>();
        var lines = new Dictionary<(double, int, Approach), long>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row) && Reading(table, row, columns) is { } reading)
            {
                if (lines.TryAdd((reading.TargetMm, reading.Run, reading.Approach), table.Line))
                {
                    readings.Add(reading);
                }
                else
                {
                    table.Fault(
                        row[columns.Run], Invariant($"run {reading.Run} in this direction at {reading.TargetMm} mm a second time (first in line {lines[(reading.TargetMm, reading.Run, reading.Approach)]})"),
                        "each run once at a target in each direction");
                }
            }
        }

        if (table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        var result = PositioningCalculation.Of(readings);
        return result.Figures is { } figures ? EvaluationOutcome.Of(Json(result, figures)) : EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The readings give no figures.");
    }

    private static PositioningReading? Reading(PointTable table, Field[] row, Columns columns)
    {
        if (new[] { columns.Target, columns.Run, columns.Direction, columns.Deviation }.Max() >= row.Length)
        {
            table.Fault(row[^1] with { Column = row[^1].Column + row[^1].Text.Length }, Invariant($"{row.Length} fields"), "a field for each of target_mm, run, direction and deviation_um");
            return null;
        }

        var good = table.Number(row, columns.Target, "mm", PositioningCalculation.LargestNumber, out var target) & table.Number(row, columns.Deviation, "µm", PositioningCalculation.LargestNumber, out var deviation);
        var (runText, directionText) = (row[columns.Run].Text, row[columns.Direction].Text);
        if (!int.TryParse(runText, NumberStyles.None, CultureInfo.InvariantCulture, out var run) || run < 1)
        {
            table.Fault(row[columns.Run], Found(runText), "the number of the run, 1 or more");
            good = false;
        }

        Approach? approach = directionText switch { "+" => Approach.Forward, "-" or "−" => Approach.Backward, _ => null };
        if (approach is null)
        {
            table.Fault(row[columns.Direction], Found(directionText), "+ or - for direction");
        }

        return good && approach is { } known ? new PositioningReading(target, run, known, deviation) : null;
    }

    private static string Found(string text) => text.Length == 0 ? "nothing" : $"'{text}'";

    private static JsonObject Json(PositioningResult result, PositioningFigures figures)
    {
        var json = new JsonObject
        {
            ["standard"] = PositioningCalculation.Standard,
            ["runs"] = result.Runs,
            ["targets"] = new JsonArray([.. result.Targets.Select(Target)]),
        };
        (string Name, double? Value)[] members =
        [
            ("reversalUm", figures.ReversalUm), ("meanReversalUm", figures.MeanReversalUm),
            ("repeatabilityForwardUm", figures.RepeatabilityForwardUm), ("repeatabilityBackwardUm", figures.RepeatabilityBackwardUm), ("repeatabilityUm", figures.RepeatabilityUm),
            ("systematicForwardUm", figures.SystematicForwardUm), ("systematicBackwardUm", figures.SystematicBackwardUm), ("systematicUm", figures.SystematicUm),
            ("meanRangeUm", figures.MeanRangeUm),
            ("accuracyForwardUm", figures.AccuracyForwardUm), ("accuracyBackwardUm", figures.AccuracyBackwardUm), ("accuracyUm", figures.AccuracyUm),
        ];
        var notReported = new JsonObject();
        foreach (var (name, value) in members)
        {
            json[name] = Number(value);
            if (value is null)
            {
                notReported[name] = Because(name, result);
            }
        }

        json["notReported"] = notReported;
        json["remarks"] = new JsonArray([.. result.Remarks.Select(r => (JsonNode?)r)]);
        return json;
    }

    /// <summary>A figure needs its directions first, and then a spread.</summary>
    private static string? Because(string name, PositioningResult result)
    {
        var missing = result.MissingApproach;
        var needsForward = !name.EndsWith("BackwardUm", StringComparison.Ordinal);
        var needsBackward = !name.EndsWith("ForwardUm", StringComparison.Ordinal);
        return missing == Approach.Forward && needsForward ? "No target was approached in direction +."
            : missing == Approach.Backward && needsBackward ? "No target was approached in direction -."
            : result.SpreadAbsentBecause;
    }

    private static JsonObject Target(PositioningTarget target) => new()
    {
        ["targetMm"] = Number(target.TargetMm),
        ["meanForwardUm"] = Number(target.MeanForwardUm), ["meanBackwardUm"] = Number(target.MeanBackwardUm), ["meanUm"] = Number(target.MeanUm),
        ["reversalUm"] = Number(target.ReversalUm),
        ["standardDeviationForwardUm"] = Number(target.StandardDeviationForwardUm), ["standardDeviationBackwardUm"] = Number(target.StandardDeviationBackwardUm),
        ["repeatabilityForwardUm"] = Number(target.RepeatabilityForwardUm), ["repeatabilityBackwardUm"] = Number(target.RepeatabilityBackwardUm),
        ["repeatabilityUm"] = Number(target.RepeatabilityUm),
    };

    private sealed record Columns(int Target, int Run, int Direction, int Deviation);
}
