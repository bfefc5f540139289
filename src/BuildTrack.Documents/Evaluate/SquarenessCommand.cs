using System.Collections.Immutable;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Squareness;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Squareness of two axes from diagonals, from a square that is turned over, or from two slopes.</summary>
internal static class SquarenessCommand
{
    private static readonly ImmutableArray<Method> Methods =
    [
        new("diagonals", ["d1", "d2", "length", "width"], ["length-far", "width-far"], Diagonals),
        new("reversal", ["r1", "r2", "length"], ["indicator"], Reversal),
        new("slopes", ["slope-x", "slope-y"], [], Slopes),
    ];

    public static EvaluationKind Kind { get; } = new(
        "squareness", "squareness of two axes, by --method diagonals, reversal or slopes; lengths in mm, positive where the angle between +X and +Y is below 90 degrees", "",
        [
            ("method", "diagonals, reversal or slopes"),
            ("d1", "diagonals: from the corner where both axes stand at their smaller coordinate to the corner opposite, mm"), ("d2", "diagonals: the other one, mm"),
            ("length", "diagonals: side along X at the corner where d1 starts, mm; reversal: travel along the blade, mm"), ("width", "diagonals: side along Y at that corner, mm"),
            ("length-far", "diagonals: the other side along X, mm; with width-far"), ("width-far", "diagonals: the other side along Y, mm; with length-far"),
            ("r1", "reversal: change of the indicator along the blade, mm, positive towards the side where the angle gets smaller"), ("r2", "reversal: the same with the square turned over, mm"),
            ("indicator", "reversal: kept (default) where readings grow to the same side of the machine both times, turned where the indicator was turned with the square"),
            ("slope-x", "slopes: turn of the X line from +X towards +Y, µm/m"), ("slope-y", "slopes: turn of the Y line in the same sense, µm/m"),
            ("gauge", "distance of the two drives of a gantry, mm; gives the drive offset"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var name = options.GetValueOrDefault("method", "");
        if (Methods.FirstOrDefault(m => m.Name == name) is not { } method)
        {
            numbers.Fault("method", name.Length == 0 ? "nothing" : $"'{name}'", "diagonals, reversal or slopes");
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        string[] all = [.. Methods.SelectMany(m => m.Needs.Concat(m.Takes))];
        foreach (var other in options.Keys.Where(o => all.Contains(o) && !method.Needs.Contains(o) && !method.Takes.Contains(o)).Order(StringComparer.Ordinal))
        {
            numbers.Fault(other, $"'{options[other]}'", $"no such option with --method {name}");
        }

        foreach (var need in method.Needs.Where(n => !options.ContainsKey(n)))
        {
            numbers.Fault(need, "nothing", "a number");
        }

        var gauge = Positive(numbers, "gauge");
        return method.Evaluate(numbers, options, gauge);
    }

    private static EvaluationOutcome Diagonals(NumberOptions numbers, IReadOnlyDictionary<string, string> options, double? gauge)
    {
        var (d1, d2, length, width) = (Positive(numbers, "d1"), Positive(numbers, "d2"), Positive(numbers, "length"), Positive(numbers, "width"));
        var (farLength, farWidth) = (Positive(numbers, "length-far"), Positive(numbers, "width-far"));
        if (options.ContainsKey("length-far") != options.ContainsKey("width-far"))
        {
            numbers.Fault(options.ContainsKey("length-far") ? "width-far" : "length-far", "nothing", "all four sides, or two");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var result = farLength is { } fl && farWidth is { } fw
            ? SquarenessCalculation.OfQuadrilateral(new Quadrilateral(d1!.Value, d2!.Value, length!.Value, width!.Value, fl, fw))
            : SquarenessCalculation.OfDiagonals(d1!.Value, d2!.Value, length!.Value, width!.Value);
        if (result.Angle is not { } angle)
        {
            return EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The lengths give no angle.");
        }

        var json = Json(angle, gauge);
        if (result.ClosureMm is { } closure)
        {
            json["cornersUmPerM"] = new JsonArray([.. result.CornersUmPerM.Select(c => Number(c))]);
            json["closureUm"] = Number(closure * 1000);
        }

        return EvaluationOutcome.Of(json);
    }

    private static EvaluationOutcome Reversal(NumberOptions numbers, IReadOnlyDictionary<string, string> options, double? gauge)
    {
        var (length, r1, r2) = (Positive(numbers, "length"), Any(numbers, "r1"), Any(numbers, "r2"));
        var sense = numbers.Word("indicator", "kept", "turned") == "kept" ? IndicatorSense.Kept : IndicatorSense.Turned;
        foreach (var (name, reading) in new[] { ("r1", r1), ("r2", r2) })
        {
            if (reading is { } r && length is { } l && Math.Abs(r / l * 1e6) > SquarenessCalculation.LargestAngleUmPerM)
            {
                numbers.Fault(name, Invariant($"{r} mm over {l} mm"), "at most 30 mm/m");
            }
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var result = SquarenessCalculation.OfReversal(r1!.Value, r2!.Value, length!.Value, sense);
        var json = Json(result.Angle, gauge);
        json["squareUmPerM"] = Number(result.SquareUmPerM);
        return EvaluationOutcome.Of(json);
    }

    private static EvaluationOutcome Slopes(NumberOptions numbers, IReadOnlyDictionary<string, string> options, double? gauge)
    {
        var (x, y) = (Slope(numbers, "slope-x"), Slope(numbers, "slope-y"));
        return numbers.Faults.Count > 0 ? EvaluationOutcome.Bad(numbers.Faults) : EvaluationOutcome.Of(Json(SquarenessCalculation.OfSlopes(x!.Value, y!.Value), gauge));
    }

    private static JsonObject Json(SquarenessAngle angle, double? gauge) => new()
    {
        ["angleUmPerM"] = Number(angle.AngleUmPerM),
        ["angleArcsec"] = Number(angle.AngleArcsec),
        ["driveOffsetUm"] = Number(gauge is { } g ? angle.DriveOffsetUm(g) : null),
    };

    private delegate EvaluationOutcome Evaluate(NumberOptions numbers, IReadOnlyDictionary<string, string> options, double? gauge);

    private sealed record Method(string Name, ImmutableArray<string> Needs, ImmutableArray<string> Takes, Evaluate Evaluate);

    private static double? Any(NumberOptions numbers, string name) => numbers.Read(name, _ => true, "a finite number in mm");

    private static double? Positive(NumberOptions numbers, string name) =>
        numbers.Read(name, v => v is >= 1 / SquarenessCalculation.LargestLengthMm and <= SquarenessCalculation.LargestLengthMm, "a number in mm above 0, at most 1e9");

    private static double? Slope(NumberOptions numbers, string name) =>
        numbers.Read(name, v => Math.Abs(v) <= SquarenessCalculation.LargestAngleUmPerM, "a number in µm/m within ±30000");
}
