using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Corrections;
using static BuildTrack.Documents.Evaluate.CorrectionJson;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Moves of levelling feet; with earlier rounds in the table also what was learned from them.</summary>
internal static class FootMovesCommand
{
    private const double UmPerMm = 1000;
    private const int History = 6;

    public static EvaluationKind Kind { get; } = new(
        "foot-moves", "moves of levelling feet in mm and degrees, in the order of work; with earlier rounds their influence on each other",
        "foot,x_mm,y_mm,height_um; optional rise_left_mm,fall_left_mm,mm_per_turn; of earlier rounds before_1_um,move_1_um,before_2_um,move_2_um",
        [
            ("goal", "raise (raise only, to the highest) or mean-plane (raise and lower); raise where not given"),
            ("reference", "level (heights as they are) or plane (the plane of least squares: the bed may stay tilted); level where not given"),
            ("round", "number of this round; one more than the earlier rounds in the table where not given"),
            ("smallest-mm", "smaller moves are left, mm; 0.02 where not given"), ("step-mm", "largest move in one pass, mm; 0.04 where not given"),
            ("influence", "none (each foot moves the bed over itself alone) or neighbours; neighbours where the table has earlier rounds, else none"),
            ("neighbour", "share of a move that the next foot goes along before anything was learned; 0.45 where not given"),
            ("u-influence", "standard uncertainty of every influence before anything was learned; 0.15 where not given"),
            ("u-um", "standard uncertainty of one height, µm; 2 where not given"),
            ("datum", "off-the-bed (heights from a bench mark) or on-the-bed (a level network: only differences are known); off-the-bed where not given"),
        ]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var goal = numbers.Word("goal", "raise", "mean-plane") == "raise" ? FootGoal.RaiseToHighest : FootGoal.MeanPlane;
        var reference = numbers.Word("reference", "level", "plane") == "level" ? FootReference.Level : FootReference.Plane;
        var datum = numbers.Word("datum", "off-the-bed", "on-the-bed") == "off-the-bed" ? HeightDatum.OffTheBed : HeightDatum.OnTheBed;
        var rules = new FootRules(
            numbers.Read("smallest-mm", n => n is >= 0 and <= 1, "a number in mm from 0 to 1") * UmPerMm ?? new FootRules().SmallestMoveUm,
            numbers.Read("step-mm", n => n is >= 0.001 and <= 1, "a number in mm from 0.001 to 1") * UmPerMm ?? new FootRules().StepUm);
        var neighbour = numbers.Read("neighbour", n => Math.Abs(n) <= 1, "a share within ±1") ?? FootInfluence.UsualNeighbour;
        var spread = numbers.Read("u-influence", n => n is >= 0.001 and <= 1, "a number from 0.001 to 1") ?? FootInfluence.UsualSigma;
        var sigma = numbers.Read("u-um", n => n is >= 0.001 and <= 1e4, "a number in µm from 0.001 to 10⁴") ?? 2;
        var given = numbers.Read("round", n => n is >= 1 and <= 100 && n == Math.Floor(n), "a whole number from 1 to 100");
        var read = Table(csv, fileName);
        var rounds = read.Has.Length == 0 ? 0 : read.Has[History + 2] ? 2 : read.Has[History] ? 1 : 0;
        var influence = options.ContainsKey("influence") ? numbers.Word("influence", "none", "neighbours") : rounds > 0 ? "neighbours" : "none";
        if (numbers.Faults.Count + read.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. read.Faults]);
        }

        FootPlace[] feet = [.. read.Rows.Select(r => new FootPlace(
            r.Name, r.Numbers[0]!.Value, r.Numbers[1]!.Value, r.Numbers[2]!.Value, r.Numbers[3] * UmPerMm, r.Numbers[4] * UmPerMm, r.Numbers[5]))];
        var round = (int)(given ?? rounds + 1);
        if (influence == "none" || feet.Length < 3)
        {
            return Outcome(FootMoves.Of(feet, goal, reference, rules, round), null);
        }

        var estimate = FootInfluence.Prior(feet, neighbour, spread, datum);
        if (rounds > 0)
        {
            FootRound[] done = [.. Enumerable.Range(0, rounds)
                .Select(k => new FootRound([.. Column(read, History + (2 * k))], [.. Column(read, History + (2 * k) + 1)]))];
            estimate = FootInfluence.Learn(estimate, done, [.. feet.Select(f => f.HeightUm)], sigma);
        }

        return Outcome(FootInfluence.Plan(feet, estimate, sigma, goal, reference, rules, round), (estimate, feet));
    }

    private static NamedRows Table(TextReader csv, string fileName)
    {
        NumberColumn[] columns =
        [
            new("x_mm", "mm", BedForm.LargestNumber), new("y_mm", "mm", BedForm.LargestNumber), new("height_um", "µm", FootMoves.LargestUm),
            new("rise_left_mm", "mm", 1000, MayBeEmpty: true, NotNegative: true), new("fall_left_mm", "mm", 1000, MayBeEmpty: true, NotNegative: true),
            new("mm_per_turn", "mm", 100, MayBeEmpty: true, NotNegative: true),
            new("before_1_um", "µm", FootMoves.LargestUm, MayBeEmpty: true), new("move_1_um", "µm", FootMoves.LargestUm, MayBeEmpty: true),
            new("before_2_um", "µm", FootMoves.LargestUm, MayBeEmpty: true), new("move_2_um", "µm", FootMoves.LargestUm, MayBeEmpty: true),
        ];
        var read = NamedRows.Read(csv, fileName, "foot", columns);
        if (read.Faults.Count > 0)
        {
            return read;
        }

        var has = read.Has[History..];
        if (has[0] != has[1] || has[2] != has[3] || (has[2] && !has[0]))
        {
            read.Faults.Add(new EvaluationFault(fileName, null, null, "an earlier round in part",
                "before_1_um and move_1_um, and for a second round before_2_um and move_2_um besides"));
        }
        else if (read.Rows.Find(r => has.Where((h, k) => h && r.Numbers[History + k] is null).Any()) is { Name: { } empty })
        {
            read.Faults.Add(new EvaluationFault(fileName, null, null, $"foot {empty} without height or move of an earlier round",
                "both for every foot; 0 where it was not moved"));
        }

        if (read.Rows.Find(r => r.Numbers[5] is < 0.01) is { Name: { } flat })
        {
            read.Faults.Add(new EvaluationFault(fileName, null, null, $"foot {flat} with no rise of a turn",
                "mm_per_turn from 0.01 to 100, empty for a wedge foot"));
        }

        if (read.Rows.Count > FootMoves.MostFeet)
        {
            read.Faults.Add(new EvaluationFault(fileName, null, null, string.Create(CultureInfo.InvariantCulture, $"{read.Rows.Count} feet"),
                string.Create(CultureInfo.InvariantCulture, $"{FootMoves.MostFeet} at most")));
        }

        return read;
    }

    private static IEnumerable<double> Column(NamedRows read, int at) => read.Rows.Select(r => r.Numbers[at]!.Value);

    private static EvaluationOutcome Outcome(FootMovesResult plan, (FootInfluenceEstimate Estimate, FootPlace[] Feet)? influence) =>
        plan.Moves.IsEmpty ? EvaluationOutcome.NoAnswer(plan.RefusalSentence!) : EvaluationOutcome.Of(new JsonObject
        {
            ["goal"] = Always(plan.Goal), ["reference"] = Always(plan.Reference), ["round"] = plan.Round, ["rangeUm"] = Number(plan.RangeUm),
            ["predictedRangeUm"] = Number(plan.PredictedRangeUm),
            ["moves"] = Array(plan.Moves, m => new JsonObject
            {
                ["foot"] = m.Name, ["deviationUm"] = Number(m.DeviationUm), ["wantedMm"] = Number(m.WantedUm / UmPerMm),
                ["moveMm"] = Number(m.MoveUm / UmPerMm), ["passes"] = m.Passes,
                ["turnDeg"] = Number(m.TurnDegrees), ["predictedHeightUm"] = Number(m.PredictedHeightUm), ["predictedSigmaUm"] = Number(m.PredictedSigmaUm),
                ["held"] = Word(m.Held),
            }),
            ["order"] = Array(plan.Order, s => new JsonObject { ["pass"] = s.Pass, ["foot"] = s.Foot, ["moveMm"] = Number(s.MoveUm / UmPerMm),
            ["totalMm"] = Number(s.TotalUm / UmPerMm) }),
            ["before"] = Form(plan.Before), ["after"] = Form(plan.After),
            ["influence"] = influence is { } i ? Influence(i.Estimate, i.Feet) : null, ["refusal"] = Word(plan.Refusal),
            ["refusalSentence"] = plan.RefusalSentence,
        });

    private static JsonObject Influence(FootInfluenceEstimate estimate, FootPlace[] feet) => new()
    {
        ["learnedFromRounds"] = estimate.Rounds, ["datum"] = Always(estimate.Datum), ["priorSigma"] = Number(estimate.PriorSigma),
        ["over"] = Array(feet.Select((f, i) => (f, i)), o => new JsonObject
        {
            ["foot"] = o.f.Name, ["shares"] = Array(Enumerable.Range(0, feet.Length), j => Number(estimate.Of(o.i, j))),
            ["sigmas"] = Array(Enumerable.Range(0, feet.Length), j => Number(estimate.Sigmas[(o.i * feet.Length) + j])),
        }),
    };
}
