using System.Text.Json.Nodes;
using BuildTrack.Metrology.Circular;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Circular test of two linear axes from a table of readings.</summary>
internal static class CircularCommand
{
    public static EvaluationKind Kind { get; } = new(
        "circular", "circular test of two axes after ISO 230-4, about the least-squares centre: circular and radial deviation, squareness and scale mismatch",
        "angle_deg,radius_deviation_um,direction (cw or ccw; angles counter-clockwise from +X, deviations positive outward)",
        [("radius-mm", "nominal radius of the path, mm")]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var radius = numbers.Need("radius-mm", r => r is >= 1 / CircularCalculation.LargestRadiusMm and <= CircularCalculation.LargestRadiusMm, "the nominal radius in mm, above 0 and up to 100000");
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var columns = new Columns(
            table.Need("angle_deg", "a column angle_deg"), table.Need("radius_deviation_um", "a column radius_deviation_um"), table.Need("direction", "a column direction"));
        var readings = table.Faults.Count > 0 ? [] : Readings(table, columns, radius);
        if (numbers.Faults.Count + table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. table.Faults]);
        }

        var result = CircularCalculation.Of(readings, radius!.Value);
        return result.Figures is { } figures ? EvaluationOutcome.Of(Json(result, figures, radius.Value)) : EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The readings give no circle.");
    }

    private static List<CircularReading> Readings(PointTable table, Columns columns, double? radiusMm)
    {
        var readings = new List<CircularReading>();
        var lines = new Dictionary<(double, ContouringSense), long>();
        var largest = radiusMm * 1000 * CircularCalculation.LargestPart ?? double.MaxValue;
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row))
            {
                continue;
            }

            var good = table.Number(row, columns.Angle, "degrees", 1e6, out var angle) & table.Number(row, columns.Deviation, "µm", largest, out var deviation);
            ContouringSense? sense = PointTable.Text(row, columns.Direction).ToLowerInvariant() switch { "cw" => ContouringSense.Clockwise, "ccw" => ContouringSense.CounterClockwise, _ => null };
            if (sense is null)
            {
                table.FaultAt(row, columns.Direction, "cw or ccw for direction");
            }

            if (good && sense is { } known)
            {
                var place = (Math.Round(CircularCalculation.WithinTurn(angle), 9), known);
                if (!lines.TryAdd(place, table.Line))
                {
                    table.Fault(
                        row[columns.Angle], Invariant($"the angle {angle}° {(known == ContouringSense.Clockwise ? "clockwise" : "counter-clockwise")} a second time (first in line {lines[place]}; whole turns make no difference)"),
                        "each angle of a turn once in each direction");
                }

                readings.Add(new CircularReading(angle, deviation, known));
            }
        }

        return readings;
    }

    private static JsonObject Json(CircularResult result, CircularFigures figures, double radiusMm)
    {
        var json = new JsonObject
        {
            ["standard"] = "ISO 230-4:2005", ["path"] = result.Clockwise?.Arc is null && result.CounterClockwise?.Arc is null ? "full circle" : "arc", ["centre"] = "least squares", ["radiusMm"] = Number(radiusMm),
            ["circularClockwiseUm"] = Number(result.Clockwise?.CircularUm), ["circularCounterClockwiseUm"] = Number(result.CounterClockwise?.CircularUm),
            ["bidirectionalUm"] = Number(figures.BidirectionalUm), ["bidirectionalMinimumZoneUm"] = Number(figures.BidirectionalNarrowestUm), ["radialMaxUm"] = Number(figures.RadialMaxUm), ["radialMinUm"] = Number(figures.RadialMinUm),
            ["squarenessUmPerM"] = Number(figures.SquarenessUmPerM), ["scaleMismatchUm"] = Number(figures.ScaleMismatchUm), ["scaleMismatchUmPerM"] = Number(figures.ScaleMismatchUmPerM),
            ["meanRadiusDeviationUm"] = Number(figures.MeanRadiusUm), ["centreXUm"] = Number(figures.CentreXUm), ["centreYUm"] = Number(figures.CentreYUm),
            ["setUpRadialMaxUm"] = Number(figures.SetUpRadialMaxUm), ["setUpRadialMinUm"] = Number(figures.SetUpRadialMinUm),
            ["clockwise"] = Path(result.Clockwise), ["counterClockwise"] = Path(result.CounterClockwise),
        };
        var notReported = new JsonObject();
        if (result.Clockwise is null || result.CounterClockwise is null)
        {
            var (missing, word) = result.Clockwise is null ? ("circularClockwiseUm", "cw") : ("circularCounterClockwiseUm", "ccw");
            foreach (var name in new[] { missing, "bidirectionalUm", "bidirectionalMinimumZoneUm", "meanRadiusDeviationUm" })
            {
                notReported[name] = $"No reading in direction {word}.";
            }
        }

        foreach (var (path, name) in new[] { (result.Clockwise, "clockwise"), (result.CounterClockwise, "counterClockwise") })
        {
            NotCarried(notReported, path?.SquarenessAbsentBecause, "squarenessUmPerM", name + ".squarenessUmPerM");
            NotCarried(notReported, path?.ScaleAbsentBecause, "scaleMismatchUm", "scaleMismatchUmPerM", name + ".scaleMismatchUmPerM");
        }

        json["notReported"] = notReported;
        json["remarks"] = new JsonArray([.. result.Remarks.Select(r => (JsonNode?)r)]);
        return json;
    }

    private static void NotCarried(JsonObject notReported, string? because, params ReadOnlySpan<string> names)
    {
        foreach (var name in because is null ? [] : names)
        {
            notReported[name] = because;
        }
    }

    private static JsonObject? Path(CircularPath? path) => path is null ? null : new JsonObject
    {
        ["points"] = path.Points,
        ["arc"] = path.Arc is { } arc ? new JsonObject { ["fromDeg"] = Number(arc.FromDeg), ["toDeg"] = Number(arc.ToDeg), ["lengthDeg"] = Number(arc.LengthDeg), ["radiusNoiseFactor"] = Number(arc.RadiusNoiseFactor) } : null,
        ["minimumZoneUm"] = Number(path.NarrowestUm), ["radiusDeviationUm"] = Number(path.RadiusUm), ["centreXUm"] = Number(path.CentreXUm), ["centreYUm"] = Number(path.CentreYUm),
        ["radialMaxUm"] = Number(path.RadialMaxUm), ["radialMinUm"] = Number(path.RadialMinUm),
        ["squarenessUmPerM"] = Number(path.SquarenessUmPerM), ["scaleMismatchUmPerM"] = Number(path.ScaleMismatchUmPerM),
    };

    private sealed record Columns(int Angle, int Deviation, int Direction);
}
