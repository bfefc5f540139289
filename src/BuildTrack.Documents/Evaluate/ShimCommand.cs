using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Corrections;
using static BuildTrack.Documents.Evaluate.CorrectionJson;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Shim stacks for the pads of a table out of one stock.</summary>
internal static class ShimCommand
{
    private const double LargestMm = 100;
    private const double NmPerMm = 1e6;

    public static EvaluationKind Kind { get; } = new(
        "shim-stack", "shim leaves for each pad out of one stock: never thicker, fewest leaves, then nearest",
            "pad,wanted_mm; optional x_mm,y_mm,height_um (heights after the shims; enough alone with --zone-mm)",
        [
            ("leaf", "MM, MM=COUNT or, measured, NAME=MM=COUNT; may be repeated; without it 1.0 0.5 0.3 0.2 0.1 0.05 0.03 0.02 mm that do not run out"),
            ("most-leaves", "leaves in one stack at most; 4 where not given"),
            ("zone-mm", "instead of wanted_mm: shim the fewest pads that bring all of them into a zone of this width, mm"),
            ("most-pads", "pads that are then shimmed at most, 1 to 8; 4 where not given"),
            ("thinner-mm", "how much thinner than wanted a stack may be, mm; 0.010 where not given"),
        ])
    {
        Repeated = ["leaf"],
    };

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var most = numbers.Read("most-leaves", n => n is >= 1 and <= 6 && n == Math.Floor(n), "a whole number from 1 to 6") ?? ShimStack.UsualMostLeaves;
        var thinner = numbers.Read("thinner-mm", n => n is >= 0 and <= 1, "a number in mm from 0 to 1") ?? ShimStack.UsualThinnerNm / NmPerMm;
        var zone = numbers.Read("zone-mm", n => n is > 0 and <= LargestMm, "a number in mm above 0 and up to 100");
        var mostPads = numbers.Read("most-pads", n => n is >= 1 and <= 8 && n == Math.Floor(n), "a whole number from 1 to 8") ?? ShimSelection.UsualMostPads;
        var stock = Stock(options, numbers);
        var read = Table(csv, fileName, options.ContainsKey("zone-mm"));
        if (numbers.Faults.Count + read.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. read.Faults]);
        }

        if (read.Rows.Count == 0)
        {
            return EvaluationOutcome.NoAnswer("There are no pads.");
        }

        PadPlace? Place(double?[] row) => row[1] is null ? null : new PadPlace(row[1]!.Value, row[2]!.Value, row[3]!.Value);
        IReadOnlyList<ShimPad> pads = [.. read.Rows.Select(r => new ShimPad(r.Name, Nm(r.Numbers[0] ?? 0), Place(r.Numbers)))];
        if (zone is { } width)
        {
            var selected = ShimSelection.Of([.. pads.Select(p => (p.Name, p.Place!))], width * 1000, (int)mostPads);
            if (selected.AbsentBecause is { } sentence)
            {
                return EvaluationOutcome.NoAnswer(sentence);
            }

            pads = selected.Pads;
        }

        var plan = ShimPlan.Of(pads, stock, new ShimRules((int)most, Nm(thinner)));
        return plan.Pads.All(p => p.Choice.Refusal == ShimRefusal.EmptyStock) ? EvaluationOutcome.NoAnswer(plan.Pads[0].Choice.RefusalSentence!)
            : EvaluationOutcome.Of(Json(plan));
    }

    private static NamedRows Table(TextReader csv, string fileName, bool byZone)
    {
        NumberColumn[] columns =
        [
            new("wanted_mm", "mm", LargestMm, MayBeEmpty: byZone), new("x_mm", "mm", BedForm.LargestNumber, MayBeEmpty: true),
            new("y_mm", "mm", BedForm.LargestNumber, MayBeEmpty: true),
            new("height_um", "µm", BedForm.LargestNumber, MayBeEmpty: true),
        ];
        var read = NamedRows.Read(csv, fileName, "pad", columns);
        if (read.Faults.Count > 0)
        {
            return read;
        }

        void Fault(string found, string expected) => read.Faults.Add(new EvaluationFault(fileName, null, null, found, expected));
        if (byZone && read.Has[0])
        {
            Fault("wanted_mm beside --zone-mm", "one of them");
        }
        else if (byZone && !read.Has[1..].All(h => h))
        {
            Fault("no place of each pad", "x_mm, y_mm and height_um for --zone-mm");
        }
        else if (read.Has[1..].Any(h => h) && read.Rows.Any(r => r.Numbers[1..].Any(n => n is null)))
        {
            Fault("places of some pads only", "x_mm, y_mm and height_um for all pads, or none of them");
        }

        if (read.Rows.Count > ShimPlan.MostPads)
        {
            Fault(string.Create(CultureInfo.InvariantCulture, $"{read.Rows.Count} pads"),
                string.Create(CultureInfo.InvariantCulture, $"{ShimPlan.MostPads} at most"));
        }

        return read;
    }

    private static JsonObject Json(ShimPlanResult plan) => new()
    {
        ["pads"] = Array(plan.Pads, p => new JsonObject
        {
            ["pad"] = p.Name, ["wantedMm"] = Mm(p.Choice.WantedNm), ["leavesFromBelow"] = Array(p.Choice.FromBelow, l => l.Name),
            ["leavesFromBelowMm"] = Array(p.Choice.FromBelow, l => Mm(l.ThicknessNm)), ["thicknessMm"] = Mm(p.Choice.ThicknessNm),
            ["thinnerMm"] = p.Choice.Refusal == ShimRefusal.None ? Mm(p.Choice.ThinnerNm) : null,
            ["predictedHeightUm"] = Number(p.PredictedHeightUm), ["refusal"] = Word(p.Choice.Refusal), ["refusalSentence"] = p.Choice.RefusalSentence,
        }),
        ["used"] = Array(plan.Used, Leaf), ["left"] = Array(plan.Left, Leaf), ["leaves"] = plan.Leaves, ["thinnerMm"] = Mm(plan.ThinnerNm),
        ["proved"] = plan.Proved,
        ["before"] = Form(plan.Before), ["after"] = Form(plan.After),
    };

    private static JsonObject Leaf(ShimLeaf leaf) => new() { ["leaf"] = leaf.Name, ["thicknessMm"] = Mm(leaf.ThicknessNm), ["count"] = leaf.Count };

    private static List<ShimLeaf> Stock(IReadOnlyDictionary<string, string> options, NumberOptions numbers)
    {
        if (!options.TryGetValue("leaf", out var given))
        {
            return [.. ShimStack.UsualStock];
        }

        List<ShimLeaf> stock = [];
        foreach (var text in given.Split('\n', StringSplitOptions.TrimEntries))
        {
            string[] parts = text.Split('=', StringSplitOptions.TrimEntries);
            var measured = parts.Length == 3;
            var thickness = PositiveOption.Number(measured ? parts[1] : parts[0]);
            int? count = parts.Length == 1 ? null : int.TryParse(parts[^1], NumberStyles.None, CultureInfo.InvariantCulture, out var n) ? n : -1;
            if (parts.Length > 3 || thickness is not { } mm || mm <= 0 || mm > LargestMm || Nm(mm) < 1 || count is < 0 || parts[0].Length == 0)
            {
                numbers.Fault("leaf", text.Length == 0 ? "nothing" : $"'{text}'", "MM, MM=COUNT or NAME=MM=COUNT with a thickness in mm above 0 and up to 100");
            }
            else if (stock.Exists(l => l.Name == parts[0]))
            {
                numbers.Fault("leaf", $"'{parts[0]}' a second time", "each leaf once");
            }
            else
            {
                stock.Add(new ShimLeaf(parts[0], Nm(mm), count));
            }
        }

        if (stock.Count > ShimStack.MostKinds)
        {
            numbers.Fault("leaf", string.Create(CultureInfo.InvariantCulture, $"{stock.Count} kinds of leaves"),
                string.Create(CultureInfo.InvariantCulture, $"{ShimStack.MostKinds} at most"));
        }

        return stock;
    }

    private static long Nm(double mm) => (long)Math.Round(mm * NmPerMm);

    private static JsonValue Mm(long nm) => JsonValue.Create(nm / NmPerMm);
}
