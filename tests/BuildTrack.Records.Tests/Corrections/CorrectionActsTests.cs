using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Corrections;

/// <summary>Corrections side by side. The bed is the crossing of reference-data constructed-minimum-zone-3x3.json: zone 15 µm of 13 allowed, corners +8 −7 −9 +6.</summary>
public sealed class CorrectionActsTests
{
    private const string Line = "100-03";

    private static async Task<string> Measured(TestPlant plant, string serial)
    {
        await plant.Order(serial, "TST-3C");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin(serial, "crossing-heights"), TestPlant.Crossing);
        return (await plant.Machine(serial)).EvaluationOf(Line)!.Hash;
    }

    private static Task<ActReceipt> Choose(TestPlant plant, string serial, CorrectionKind? kind, string evaluation, string reason = "as the planner said") =>
        plant.Get<CorrectionActs>().Choose(TestPlant.Planner, new ChooseCorrectionRequest(serial, Line, kind, evaluation, reason), null, default);

    [Theory, OnBoth]
    public async Task Every_option_tells_what_it_leads_to_and_the_choice_is_kept_as_it_was_shown(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var hash = await Measured(plant, "K-1");
        var (_, _, options, rule) = await plant.Get<CorrectionReader>().Options("K-1", Line, default);
        Assert.Null(rule);
        Assert.Equal([CorrectionKind.Shim, CorrectionKind.Remill, CorrectionKind.Concession], options.Select(o => o.Kind));

        // Deepest cut: the zone of 15 µm and the clean-up of 50 µm (the re-mill rule of the method notes).
        var mill = options.Single(o => o.Kind == CorrectionKind.Remill);
        Assert.StartsWith("Mill all pads to the plane of the smallest deepest cut: 0.065 mm", mill.Steps[0], StringComparison.Ordinal);
        Assert.Equal((9, (double?)null, "no bed was measured after milling yet; only a measurement tells what the mill leaves"), (mill.Places.Length, mill.Chance, mill.ChanceFrom));

        // Shims are only laid under pads that lie low, and never so thick that the pad stands out on top.
        var shim = options.Single(o => o.Kind == CorrectionKind.Shim);
        Assert.Null(shim.Refusal);
        Assert.InRange(shim.PredictedUm!.Value, 0, 13);
        Assert.Equal(Verdict.Accepted, shim.PredictedVerdict);
        Assert.InRange(shim.Chance!.Value, 0.9, 1);
        Assert.Equal((Verdict.NotProven, 15.0), (options[2].PredictedVerdict!.Value, Math.Round(options[2].PredictedUm!.Value, 6)));

        await Choose(plant, "K-1", CorrectionKind.Shim, hash);
        var choice = (await plant.Machine("K-1")).Choices.Single();
        Assert.Equal((Line, hash, CorrectionKind.Shim, "as the planner said", shim.PredictedUm), (choice.Line, choice.EvaluationHash, choice.Kind, choice.Reason, choice.Option.PredictedUm));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_cannot_be_done_is_refused_with_its_numbers(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("K-4", "TST-3C");
        // A hundred times as high: shims of more than a millimetre.
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("K-4", "crossing-heights"), [.. TestPlant.Crossing.Select(t => t == "0" ? t : t + "00")]);
        var hash = (await plant.Machine("K-4")).EvaluationOf(Line)!.Hash;
        var refused = await plant.LeavesNothing<RefusedException>(() => Choose(plant, "K-4", CorrectionKind.Shim, hash));
        Assert.Equal(CorrectionPlan.NotPossible, refused.Rule.Id);
        Assert.Contains("With 4 pads shimmed the zone is", refused.Rule.Sentence, StringComparison.Ordinal);
        await Choose(plant, "K-4", CorrectionKind.Remill, hash);
    }

    [Theory, OnBoth]
    public async Task Nothing_is_chosen_for_an_accepted_result_for_another_state_or_for_what_cannot_be_done(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("K-2");
        var accepted = await plant.LeavesNothing<RefusedException>(() => plant.Get<CorrectionActs>().Choose(
            TestPlant.Planner, new ChooseCorrectionRequest("K-2", "100-02", CorrectionKind.Shim, "-", "why not"), null, default));
        Assert.Equal(CorrectionPlan.NothingToCorrect, accepted.Rule.Id);

        var hash = await Measured(plant, "K-3");
        await plant.LeavesNothing<ChangedMeanwhileException>(() => Choose(plant, "K-3", CorrectionKind.Shim, new string('0', 64)));
        Assert.Equal(["reason", "correction"], (await plant.LeavesNothing<BadInputException>(() => Choose(plant, "K-3", null, hash, " "))).Faults.Select(f => f.Where));
        await plant.LeavesNothing<NotFoundException>(() => plant.Get<CorrectionActs>().Choose(TestPlant.Planner, new ChooseCorrectionRequest("K-3", "999-99", CorrectionKind.Shim, hash, "why not"), null, default));
        await plant.ChangeBed("K-3");
        Assert.Equal(CorrectionPlan.NothingToCorrect, (await plant.LeavesNothing<RefusedException>(() => Choose(plant, "K-3", CorrectionKind.Shim, hash))).Rule.Id);
    }
}
