using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Corrections;
using static BuildTrack.Documents.Evaluate.CorrectionJson;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>The plane to which the pads of a bed are milled again.</summary>
internal static class RemillCommand
{
    private const double UmPerMm = 1000;
    private const double LargestMm = 1e5;

    public static EvaluationKind Kind { get; } = new(
        "re-mill", "plane to mill the pads of a bed again: depth and thickness left at each pad",
            "pad,x_mm,y_mm,z_um (or z_mm); optional thickness_mm,minimum_mm",
        [
            ("goal", "deepest (smallest deepest cut), margin (largest thickness over the minimum) or metal (least metal); deepest where not given"),
            ("clean-up-mm", "least depth that cleans a pad, mm; 0.05 where not given"),
            ("set-up-mm", "error with which the mill takes up the bed, mm; 0 where not given"),
            ("minimum-mm", "least thickness of every pad, mm, where the table has no column minimum_mm"),
            ("foot-travel-mm", "how far each corner foot can rise and fall to level the new plane, mm; no bound where not given"),
            ("feet-length-mm", "distance of the corner feet along X, mm; extent of the pads where not given"),
            ("feet-width-mm", "distance of the corner feet across, mm; extent of the pads where not given"),
            ("across-least-um-per-m", "smallest slope across that rail over rack allows, µm/m"), ("across-largest-um-per-m", "largest slope across, µm/m"),
            ("along-least-um-per-m", "smallest slope along X, µm/m"), ("along-largest-um-per-m", "largest slope along X, µm/m"),
            ("pad-area-mm2", "area of one pad, square mm: gives the metal"), ("slot-h", "hours of the mill for such a bed; passed on"),
        ]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var goal = numbers.Word("goal", "deepest", "margin", "metal") switch { "margin" => RemillGoal.LargestMargin, "metal" => RemillGoal.LeastMetal,
            _ => RemillGoal.SmallestDeepestCut };
        var request = Request(numbers, goal);
        var minimum = Length(numbers, "minimum-mm");
        NumberColumn[] columns =
        [
            new("x_mm", "mm", BedForm.LargestNumber), new("y_mm", "mm", BedForm.LargestNumber), new("z_um", "µm", BedForm.LargestNumber),
            new("z_mm", "mm", BedForm.LargestNumber / UmPerMm),
            new("thickness_mm", "mm", LargestMm, MayBeEmpty: true, NotNegative: true), new("minimum_mm", "mm", LargestMm, MayBeEmpty: true, NotNegative: true),
        ];
        var read = NamedRows.Read(csv, fileName, "pad", columns, ("z_um", "z_mm"));
        if (read.Faults.Count == 0 && read.Rows.Count > RemillPlane.MostPads)
        {
            read.Faults.Add(new EvaluationFault(fileName, null, null, string.Create(CultureInfo.InvariantCulture, $"{read.Rows.Count} pads"),
                string.Create(CultureInfo.InvariantCulture, $"{RemillPlane.MostPads} at most")));
        }

        if (numbers.Faults.Count + read.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. read.Faults]);
        }

        RemillPad[] pads = [.. read.Rows.Select(r => new RemillPad(
            r.Name, r.Numbers[0]!.Value, r.Numbers[1]!.Value, r.Numbers[2] ?? (r.Numbers[3]!.Value * UmPerMm), r.Numbers[4] * UmPerMm,
                (r.Numbers[5] ?? minimum) * UmPerMm))];
        if (goal == RemillGoal.LargestMargin && !pads.Any(p => p.ThicknessUm is not null && p.MinimumUm is not null))
        {
            return EvaluationOutcome.NoAnswer("The largest margin needs thickness and minimum of one pad or more.");
        }

        var result = RemillPlane.Of(pads, request);
        return result.Plane is null ? EvaluationOutcome.NoAnswer(result.RefusalSentence!) : EvaluationOutcome.Of(Json(result));
    }

    private static RemillRequest Request(NumberOptions numbers, RemillGoal goal)
    {
        double? travel = Length(numbers, "foot-travel-mm"), length = Length(numbers, "feet-length-mm"), width = Length(numbers, "feet-width-mm");
        double? leastAcross = Slope(numbers, "across-least-um-per-m"), largestAcross = Slope(numbers, "across-largest-um-per-m");
        double? leastAlong = Slope(numbers, "along-least-um-per-m"), largestAlong = Slope(numbers, "along-largest-um-per-m");
        var tilt = travel is null && leastAcross is null && largestAcross is null && leastAlong is null && largestAlong is null
            ? null
            : new RemillTilt(travel, length, width, leastAcross, largestAcross, leastAlong, largestAlong);
        return new RemillRequest(
            goal, Length(numbers, "clean-up-mm") * UmPerMm ?? RemillPlane.UsualCleanUpUm, Length(numbers, "set-up-mm") * UmPerMm ?? 0, tilt,
            numbers.Read("pad-area-mm2", n => n is >= 0 and <= 1e8, "a number in square mm from 0 to 10⁸"),
                numbers.Read("slot-h", n => n is >= 0 and <= 1e4, "a number of hours from 0 to 10⁴"));
    }

    private static double? Length(NumberOptions numbers, string name) => numbers.Read(name, n => n is >= 0 and <= LargestMm, "a number in mm from 0 to 10⁵");

    private static double? Slope(NumberOptions numbers, string name) => numbers.Read(name, n => Math.Abs(n) <= 1e6, "a slope in µm/m within ±10⁶");

    private static JsonObject Json(RemillResult r) => new()
    {
        ["goal"] = Always(r.Goal), ["deepestUm"] = Number(r.DeepestUm), ["deepestAt"] = r.DeepestAt, ["tiltCostUm"] = Number(r.TiltCostUm),
        ["plane"] = new JsonObject { ["slopeXUmPerM"] = Number(r.Plane!.SlopeXUmPerM), ["slopeYUmPerM"] = Number(r.Plane.SlopeYUmPerM),
        ["offsetUm"] = Number(r.Plane.OffsetUm) },
        ["pads"] = Array(r.Pads, p => new JsonObject
        {
            ["pad"] = p.Name, ["depthUm"] = Number(p.DepthUm), ["heightAfterUm"] = Number(p.HeightAfterUm), ["leftMm"] = Number(p.LeftUm / UmPerMm),
            ["marginMm"] = Number(p.MarginUm / UmPerMm),
            ["standing"] = Always(p.Standing),
        }),
        ["thinnestAt"] = r.ThinnestAt, ["thinnestMm"] = Number(r.ThinnestUm / UmPerMm), ["thinnestLessDeepestMm"] = Number(r.ThinnestLessDeepestUm / UmPerMm),
        ["leastMarginMm"] = Number(r.LeastMarginUm / UmPerMm), ["leastMarginAt"] = r.LeastMarginAt, ["largestMarginMm"] = Number(r.LargestMarginUm / UmPerMm),
        ["depthSumUm"] = Number(r.DepthSumUm), ["metalMm3"] = Number(r.MetalMm3), ["footMoveMm"] = Number(r.FootMoveUm / UmPerMm),
        ["slotH"] = Number(r.SlotHours),
        ["heldBy"] = Array(r.HeldBy, h => new JsonObject { ["name"] = h.Name, ["side"] = h.Side, ["weight"] = Number(h.Weight) }),
        ["before"] = Form(r.Before), ["after"] = Form(r.After), ["refusal"] = Word(r.Refusal), ["refusalSentence"] = r.RefusalSentence,
    };
}
