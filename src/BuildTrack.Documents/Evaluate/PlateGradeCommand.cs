using System.Text.Json.Nodes;
using BuildTrack.Metrology.Acceptance;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Flatness limits of surface plates by standard, size and grade.</summary>
internal static class PlateGradeCommand
{
    private static readonly (string Word, PlateStandard Standard, string Name, string Size, string Applied)[] Standards =
    [
        ("din-876", PlateStandard.Din876, "DIN 876", "longest side", "formula"),
        ("ggg-p-463c", PlateStandard.GggP463c, "GGG-P-463c", "diagonal", "formula"),
        ("iso-8512", PlateStandard.Iso8512, "ISO 8512", "diagonal rounded up to the next 100 mm", "formula rounded as in the table"),
    ];

    public static EvaluationKind Kind { get; } = new(
        "plate-grade", "flatness limits of a surface plate by its size: all grades of DIN 876, GGG-P-463c or ISO 8512, or one", "",
        [
            ("standard", "din-876, ggg-p-463c or iso-8512"), ("length-mm", "one side, mm"), ("width-mm", "the other side, mm"),
            ("grade", "one grade: 00, 0, I, II, III; AA, A, B; 0, 1, 2, 3; all where not given"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var known = Array.Find(Standards, s => s.Word == options.GetValueOrDefault("standard", ""));
        if (known.Word is null)
        {
            numbers.Fault("standard", options.GetValueOrDefault("standard", "") is { Length: > 0 } word ? $"'{word}'" : "nothing", string.Join(" or ", Standards.Select(s => s.Word)));
        }

        var (length, width) = (Side(numbers, "length-mm"), Side(numbers, "width-mm"));
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var limits = PlateGrade.Limits(known.Standard, length!.Value, width!.Value);
        PlateGradeLimit[] grades = [.. limits.Grades.Where(g => !options.TryGetValue("grade", out var grade) || g.Grade == grade)];
        if (grades.Length == 0)
        {
            numbers.Fault("grade", options["grade"].Length == 0 ? "nothing" : $"'{options["grade"]}'", string.Join(" or ", limits.Grades.Select(g => g.Grade)));
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        return EvaluationOutcome.Of(new JsonObject
        {
            ["standard"] = known.Name, ["lengthMm"] = Number(length), ["widthMm"] = Number(width), ["size"] = known.Size, ["sizeMm"] = Number(limits.SizeMm),
            ["applied"] = known.Applied, ["withinTable"] = limits.WithinTable,
            ["grades"] = new JsonArray([.. grades.Select(g => (JsonNode)Grade(g))]),
        });
    }

    private static JsonObject Grade(PlateGradeLimit grade)
    {
        var json = new JsonObject { ["grade"] = grade.Grade, ["limitUm"] = Number(grade.LimitUm), ["fromMemory"] = grade.FromMemory };
        if (grade.TabulatedUm is { } tabulated)
        {
            json["tabulatedUm"] = Number(tabulated);
        }

        return json;
    }

    private static double? Side(NumberOptions numbers, string name) =>
        numbers.Need(name, v => v is >= PlateGrade.SmallestSideMm and <= PlateGrade.LargestSideMm, "the side of the plate in mm, from 50 to 10000");
}
