using System.Text.Json.Nodes;
using BuildTrack.Metrology.RailPair;
using BuildTrack.Metrology.Straightness;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>A pair of rails from a table of heights of both.</summary>
internal static class RailPairCommand
{
    public static EvaluationKind Kind { get; } = new(
        "rail-pair", "a pair of rails: height difference, cross-level and its deviation, twist, level, parallelism, gauge variation",
        "position_mm,r1_um,r2_um; optional gauge_um (heights of one datum, stations toward +X; gauge from any zero)",
        [("gauge-mm", "distance of the rails, mm"), ("window-mm", "length of the stretch of local twist and straightness; 1000 where not given")]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var gauge = numbers.Need("gauge-mm", g => g is >= 1 / RailPairCalculation.LargestGaugeMm and <= RailPairCalculation.LargestGaugeMm, "the distance of the rails in mm, above 0, at most 1e6");
        var window = PositiveOption.Read(options, "window-mm", "mm", 1e9, StraightnessCalculation.UsualWindowMm, numbers.Faults);
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var (position, first, second, across) = (table.Need("position_mm", "a column position_mm"), table.Need("r1_um", "a column r1_um"), table.Need("r2_um", "a column r2_um"), table.Find("gauge_um"));
        var rows = table.Faults.Count > 0 ? [] : Rows(table, position, first, second, across);
        if (numbers.Faults.Count + table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        double[] positions = [.. rows.Select(r => r.X)];
        var result = RailPairCalculation.Of(positions, [.. rows.Select(r => r.First)], [.. rows.Select(r => r.Second)], gauge!.Value, across < 0 ? [] : [.. rows.Select(r => r.Gauge)], window!.Value);
        return result.Values is { } values ? EvaluationOutcome.Of(Json(positions, values)) : EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The stations give no pair of rails.");
    }

    /// <summary>Positions with two values each, and a third where there is a column for it.</summary>
    internal static List<(double X, double First, double Second, double Gauge)> Rows(PointTable table, int position, int first, int second, int across)
    {
        var rows = new List<(double, double, double, double)>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            var gauge = 0.0;
            if (table.RightLength(row)
                && table.Number(row, position, "mm", LevelReadings.LargestNumber, out var x) & table.Number(row, first, "µm", LevelReadings.LargestNumber, out var one)
                    & table.Number(row, second, "µm", LevelReadings.LargestNumber, out var two) & (across < 0 || table.Number(row, across, "µm", LevelReadings.LargestNumber, out gauge)))
            {
                rows.Add((x, one, two, gauge));
            }
        }

        return rows;
    }

    private static JsonObject Json(double[] positions, RailPairValues values)
    {
        var (cross, parallelism) = (values.CrossLevel, values.Parallelism);
        var json = new JsonObject
        {
            ["stations"] = new JsonArray([.. positions.Select((p, i) => (JsonNode)new JsonObject
            {
                ["positionMm"] = Number(p), ["heightDifferenceUm"] = Number(cross.HeightDifferencesUm[i]), ["crossLevelUmPerM"] = Number(cross.CrossLevelsUmPerM[i]),
            })]),
            ["heightDifferenceUm"] = Number(cross.LargestHeightDifferenceUm),
            ["levelAlongUmPerM"] = Number(values.LevelAlongUmPerM), ["levelAcrossUmPerM"] = Number(Math.Abs(cross.MeanUmPerM)), ["meanCrossLevelUmPerM"] = Number(cross.MeanUmPerM),
            ["crossLevelDeviationUmPerM"] = Number(cross.DeviationUmPerM), ["crossLevelDeviationAtMm"] = Number(cross.DeviationAtMm),
            ["twistUmPerM"] = Number(cross.TwistUmPerM), ["endTwistUmPerM"] = Number(cross.EndTwistUmPerM),
            ["localTwist"] = cross.LocalTwist is { } twist ? new JsonObject
            {
                ["lengthMm"] = Number(twist.LengthMm), ["umPerM"] = Number(twist.UmPerM), ["fromMm"] = Number(twist.FromMm), ["toMm"] = Number(twist.ToMm), ["complete"] = twist.Complete,
            } : null,
        };
        if (cross.LocalTwist is null)
        {
            json["localTwistAbsentBecause"] = "No stretch of this length holds two stations.";
        }

        json["parallelism"] = new JsonObject
        {
            ["endPointUm"] = Number(parallelism.EndPointUm), ["leastSquaresUm"] = Number(parallelism.LeastSquaresUm), ["minimumZoneUm"] = Number(parallelism.MinimumZoneUm),
            ["endPointDirectionUmPerM"] = Number(parallelism.EndPointDirectionUmPerM), ["leastSquaresDirectionUmPerM"] = Number(parallelism.LeastSquaresDirectionUmPerM),
        };
        json["gaugeVariationUm"] = Number(values.Gauge?.VariationUm);
        json["gaugeSlopeUmPerM"] = Number(values.Gauge?.SlopeUmPerM);
        (json["r1"], json["r2"]) = (Rail(values.R1), Rail(values.R2));
        return json;
    }

    private static JsonObject Rail(StraightnessValues rail) => new()
    {
        ["endPointUm"] = Number(rail.EndPointUm), ["leastSquaresUm"] = Number(rail.LeastSquaresUm), ["minimumZoneUm"] = Number(rail.MinimumZoneUm),
        ["perpendicularMinimumZoneUm"] = Number(rail.PerpendicularMinimumZoneUm), ["slopeUmPerM"] = Number(rail.SlopeUmPerM), ["endPointSlopeUmPerM"] = Number(rail.EndPointSlopeUmPerM),
        ["worstLocalUm"] = Number(rail.WorstLocal?.ValueUm), ["worstLocalFromMm"] = Number(rail.WorstLocal?.FromMm),
    };
}
