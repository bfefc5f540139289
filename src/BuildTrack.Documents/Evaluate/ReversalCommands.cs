using System.Text.Json.Nodes;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Straightness;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Reversals of a straightedge and of a level; that of a square is a method of squareness.</summary>
internal static class ReversalCommands
{
    public static EvaluationKind StraightedgeKind { get; } = new(
        "straightedge-reversal", "straightness of a guide and of the straightedge it was measured with, from two readings with the straightedge turned over", "position_mm,r1_um,r2_um",
        [
            ("indicator", "kept (default) where readings grow to the same side of the machine both times, turned where the indicator was turned with the straightedge"),
            ("window-mm", "length of the window of the worst stretch; 1000 where not given"),
            ("window-reference", "line by which a stretch is judged: end-point (default), least-squares or minimum-zone"),
        ]);

    public static EvaluationKind LevelKind { get; } = new(
        "level-zero", "zero error of a level and true slope from two readings, the second end for end", "",
        [("a", "first reading in the level's own sense, µm/m"), ("b", "second reading at the same place end for end, in the level's own sense, µm/m")]);

    public static EvaluationOutcome Straightedge(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var sense = numbers.Word("indicator", "kept", "turned") == "kept" ? IndicatorSense.Kept : IndicatorSense.Turned;
        var window = PositiveOption.Read(options, "window-mm", "mm", 1e9, StraightnessCalculation.UsualWindowMm, numbers.Faults);
        var reference = StraightnessCommand.Reference(numbers);
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var (position, first, second) = (table.Need("position_mm", "a column position_mm"), table.Need("r1_um", "a column r1_um"), table.Need("r2_um", "a column r2_um"));
        var rows = table.Faults.Count > 0 ? [] : RailPairCommand.Rows(table, position, first, second, -1);
        if (numbers.Faults.Count + table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        double[] positions = [.. rows.Select(r => r.X)];
        var parted = Reversals.OfStraightedge([.. rows.Select(r => r.First)], [.. rows.Select(r => r.Second)], sense);
        var guide = StraightnessCalculation.Of(positions, parted.GuideUm.AsSpan(), window!.Value, reference);
        var edge = StraightnessCalculation.Of(positions, parted.StraightedgeUm.AsSpan(), window.Value, reference);
        if (guide.Values is not { } guideValues || edge.Values is not { } edgeValues)
        {
            return EvaluationOutcome.NoAnswer(guide.DefectSentence ?? "The stations give no straightness.");
        }

        var json = StraightnessCommand.Json(positions, parted.GuideUm, guideValues, null, reference);
        json["straightedge"] = new JsonObject
        {
            ["deviationsUm"] = new JsonArray([.. edgeValues.EndPointDeviationsUm.Select(d => Number(d))]),
            ["endPointUm"] = Number(edgeValues.EndPointUm), ["leastSquaresUm"] = Number(edgeValues.LeastSquaresUm), ["minimumZoneUm"] = Number(edgeValues.MinimumZoneUm),
        };
        return EvaluationOutcome.Of(json);
    }

    public static EvaluationOutcome Level(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (a, b) = (Reading(numbers, "a"), Reading(numbers, "b"));
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var zero = Reversals.OfLevel(a!.Value, b!.Value);
        return EvaluationOutcome.Of(new JsonObject { ["zeroErrorUmPerM"] = Number(zero.ZeroErrorUmPerM), ["slopeUmPerM"] = Number(zero.SlopeUmPerM) });
    }

    private static double? Reading(NumberOptions numbers, string name) => numbers.Need(name, v => Math.Abs(v) <= 1e6, "a finite number in µm/m within ±1e6");
}
