using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Corrections;

/// <summary>Rounds of foot moves. The bed is the crossing of constructed-minimum-zone-3x3.json with its corners lower by hundredths of a millimetre.</summary>
public sealed class FootActsTests
{
    private const string Line = "100-03";

    /// <summary>Four feet under the corners, µm: F1 8, F2 −67, F3 −109, F4 6.</summary>
    private static readonly string[] Bed = ["8", "2", "-67", "1", "0", "-2", "-109", "1", "6"];

    private static async Task<string> Measured(TestPlant plant, string serial, string[] heights)
    {
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin(serial, "crossing-heights"), heights);
        return (await plant.Machine(serial)).EvaluationOf(Line)!.Hash;
    }

    private static Task<ActReceipt> Record(TestPlant plant, string serial, string evaluation, params (string Foot, string? Move)[] moves) => plant.Get<FootActs>().Record(
        TestPlant.Technician, new RecordFeetRequest(serial, Line, evaluation, null, null, [.. moves.Select(m => new FootMoveTyped(m.Foot, m.Move))], "settled for 20 min"), null, default);

    private static async Task<FootPlan> Plan(TestPlant plant, string serial) =>
        (await plant.Get<FootReader>().Plan(serial, Line, FootGoal.RaiseToHighest, FootReference.Level, default)).Plan!;

    [Theory, OnBoth]
    public async Task A_round_is_kept_makes_results_void_and_is_shown_by_the_next_measurement(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-1", "TST-3C");
        var hash = await Measured(plant, "F-1", Bed);
        var plan = await Plan(plant, "F-1");
        Assert.Equal((1, 0, 4), (plan.No, plan.Influence.Rounds, plan.Feet.Length));
        Assert.Equal([0.0, 75.0, 117.0, 0.0], plan.Feet.Select(f => f.AloneUm));

        await Record(plant, "F-1", hash, ("F2", "0,05"), ("F3", "0.10 mm"), ("F4", ""));
        var machine = await plant.Machine("F-1");
        var round = machine.FootRounds.Single();
        Assert.Equal((1, 0, hash, "settled for 20 min", TestPlant.Technician.Person), (round.No, round.LearnedFrom, round.EvaluationHash, round.Note, round.Person));
        Assert.Equal([0.0, 50.0, 100.0, 0.0], round.Feet.Select(f => f.MadeUm));

        // By hand: 0.45 of a move goes over to the next foot on the same side: F1 with F2, F4 with F3.
        Assert.Equal([30.5, -17.0, -9.0, 51.0], round.Feet.Select(f => Math.Round(f.PredictedUm, 9)));
        Assert.Equal("Levelling foot moved: round 1, F2 +0.05 mm, F3 +0.10 mm", machine.Changes.Single().Sentence(machine.Revision));
        Assert.Equal(Standing.ToBeRepeated, machine.StandingOf(machine.Agreed().Single(a => a.Characteristic.Line == Line)).Standing);
        Assert.Equal(FootPlan.NoHeights, (await plant.LeavesNothing<RefusedException>(() => Record(plant, "F-1", hash, ("F2", "0.02")))).Rule.Id);

        await Measured(plant, "F-1", ["31", "2", "-20", "1", "0", "-2", "-10", "1", "51"]);
        machine = await plant.Machine("F-1");
        Assert.InRange(FootRounds.ShownOf(machine, round)!.WorstUm, 0.5, 5);
        plan = await Plan(plant, "F-1");
        Assert.Equal((2, 1, 50.0), (plan.No, plan.Influence.Rounds, plan.Feet[1].MovedUm));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_was_not_done_or_cannot_be_is_refused(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-2", "TST-3C");
        var hash = await Measured(plant, "F-2", Bed);
        Assert.Equal(FootPlan.NothingMoved, (await plant.LeavesNothing<RefusedException>(() => Record(plant, "F-2", hash, ("F2", "0.00")))).Rule.Id);
        Assert.Equal(["foot", "F2", "F3", "F1"], (await plant.LeavesNothing<BadInputException>(() => Record(plant, "F-2", hash, ("F9", "1"), ("F2", "0.1"), ("F2", "0.1"), ("F3", "10.01"), ("F1", "NaN")))).Faults.Select(f => f.Where).OrderBy(w => w is "foot" ? 0 : w is "F2" ? 1 : w is "F3" ? 2 : 3));
        await plant.LeavesNothing<ChangedMeanwhileException>(() => Record(plant, "F-2", new string('0', 64), ("F2", "0.05")));
        await plant.LeavesNothing<NotFoundException>(() => plant.Get<FootActs>().Record(TestPlant.Technician, new RecordFeetRequest("F-2", "999-99", hash, null, null, [], null), null, default));
        await plant.LeavesNothing<NotAllowedException>(() => plant.Get<FootActs>().Record(TestPlant.Planner, new RecordFeetRequest("F-2", Line, hash, null, null, [new FootMoveTyped("F2", "0.05")], null), null, default));

        await plant.Accepted("F-3");
        Assert.Equal(FootPlan.NoHeights, (await plant.Get<FootReader>().Plan("F-3", "100-02", FootGoal.RaiseToHighest, FootReference.Level, default)).WhyNot!.Id);
    }
}
