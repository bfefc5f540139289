using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Domain.Tests.Corrections;

/// <summary>Foot moves from measured heights, and rounds that show what the feet do to each other.</summary>
public sealed class FootPlanTests
{
    /// <summary>The worked example of the method notes (docs/method/corrections.md, six feet): heights in mm, moves in mm if each foot moves the bed over itself alone.</summary>
    private static readonly double[] Heights = [-110, 40, 100, -160, 20, 110];
    private static readonly double[] ByHand = [220, 70, 0, 270, 90, 0];

    private static FootPlan Plan(MachineRecord machine, FootGoal goal = FootGoal.RaiseToHighest, FootReference reference = FootReference.Level) =>
        FootPlan.Of(machine, Beds.Standing(machine), goal, reference);

    /// <summary>The round as the act writes it, after the bed's own change.</summary>
    private static MachineRecord Done(MachineRecord machine, long id, params double[] moves)
    {
        var plan = Plan(machine);
        var round = new FootRoundMade(id, plan.Line, plan.Survey, plan.Measurement, "-", plan.No, plan.Influence.Rounds, FootGoal.RaiseToHighest, FootReference.Level, "tom", Make.Noon, null, plan.Made(moves));
        return machine with { Changes = [.. machine.Changes, new BedChange(id - 1, plan.Change, "round", "tom", Make.Noon)], FootRounds = [.. machine.FootRounds, round] };
    }

    [Fact]
    public void The_worked_example_of_six_feet()
    {
        var plan = Plan(Beds.OnFeet(Heights));
        Assert.Equal(ByHand, plan.Feet.Select(f => Math.Round(f.AloneUm, 6)));
        Assert.Equal(["F1", "F2", "F3", "F4", "F5", "F6"], plan.Feet.Select(f => f.Foot.Id));
        Assert.Equal(["S1", "S2", "S3", "S4", "S5", "S6"], plan.Feet.Select(f => f.Station));
        Assert.Equal((1, 0, "foot-move"), (plan.No, plan.Influence.Rounds, plan.Change));

        // A neighbour lifts with it: nobody turns the whole amount by hand that each foot alone would want.
        Assert.All(plan.Feet, f => Assert.True(f.Move!.MoveUm == 0 || f.Move.MoveUm >= plan.SmallestUm));
        Assert.All(plan.Round.Order, s => Assert.InRange(s.MoveUm, 0, plan.StepUm + 1e-9));
        Assert.InRange(plan.Feet.Sum(f => f.Move!.MoveUm), 1, ByHand.Sum());
    }

    [Fact]
    public void The_predicted_flatness_is_that_of_the_predicted_heights()
    {
        var plan = Plan(Beds.OnFeet(Heights), FootGoal.MeanPlane);
        var twin = FlatnessCalculation.Of([.. Beds.OverFeet.Select(s => s.XMm)], [.. Beds.OverFeet.Select(s => s.YMm)], [.. plan.Feet.Select(f => f.Move!.PredictedHeightUm)]);
        Assert.Equal(twin.LeastSquares!.FlatnessUm, plan.PredictedUm!.Value, 1e-9);
        Assert.InRange(plan.PredictedUm.Value, 0, plan.BeforeUm);
    }

    [Fact]
    public void The_next_measurement_shows_a_round_and_the_next_is_learned_from_it()
    {
        var machine = Done(Beds.OnFeet(Heights), 20, 80, 0, 0, 120, 0, 0);
        Assert.Null(FootRounds.ShownOf(machine, machine.FootRounds[0]));
        Assert.Equal(Standing.ToBeRepeated, Beds.Standing(machine).Standing);
        Assert.Equal(FootPlan.NoHeights, FootPlan.WhyNot(machine, Beds.Standing(machine))!.Id);

        // 6 µm more over F2 than predicted: less the mean of 1 µm, 5 and five times −1: √(30/6).
        double[] predicted = [.. machine.FootRounds[0].Feet.Select(f => f.PredictedUm)];
        Assert.Equal([-30.0, 76.0, 100.0, -40.0, 74.0, 110.0], predicted.Select(p => Math.Round(p, 9)));
        var measured = Beds.Again(machine, 30, [predicted[0], predicted[1] + 6, .. predicted[2..]]);
        var shown = FootRounds.ShownOf(measured, measured.FootRounds[0])!;
        Assert.Equal(30, shown.Measurement);
        Assert.Equal(Math.Sqrt(5), shown.MissUm, 1e-9);
        Assert.Equal(5, shown.WorstUm, 1e-9);
        var next = Plan(measured);
        Assert.Equal((2, 1), (next.No, next.Influence.Rounds));
        Assert.True(next.Influence.Of(1, 0) > FootInfluence.UsualNeighbour);
        Assert.True(next.Influence.Sigmas[0] < FootInfluence.UsualSigma);
        Assert.Equal((80.0, 120.0), (next.Feet[0].MovedUm, next.Feet[3].MovedUm));
    }

    [Fact]
    public void Work_that_came_between_closes_no_round_and_begins_the_count_anew()
    {
        var machine = Done(Beds.OnFeet(Heights), 20, 80, 0, 0, 120, 0, 0);
        machine = Beds.Again(machine with { Changes = [.. machine.Changes, new BedChange(25, "re-mill", "0.1 mm", "tom", Make.Noon)] }, 30, Heights);
        Assert.Null(FootRounds.ShownOf(machine, machine.FootRounds[0]));
        Assert.Equal((1, 0), (Plan(machine).No, Plan(machine).Influence.Rounds));
    }

    [Fact]
    public void After_three_rounds_the_engineer_is_asked()
    {
        var machine = Beds.OnFeet(Heights);
        for (var no = 0; no < 3; no++)
        {
            machine = Beds.Again(Done(machine, 20 + (20 * no), 130, 0, 0, 0, 0, 0), 30 + (20 * no), Heights);
            Assert.Equal(no + 2, Plan(machine).No);
        }

        Assert.Null(Plan(machine).PredictedUm);
        Assert.Contains("engineer", Plan(machine).Round.RefusalSentence, StringComparison.Ordinal);
    }

    /// <summary>0.5 mm of travel, 0.45 of it used: less is left than the bed wants.</summary>
    [Fact]
    public void A_foot_moves_no_farther_than_its_travel()
    {
        var machine = Beds.Again(Done(Beds.OnFeet(Heights), 20, 0, 0, 0, 450, 0, 0), 30, Heights);
        var plan = Plan(machine);
        Assert.Equal((450.0, FootRefusal.TravelUsedUp), (plan.Feet[3].MovedUm, plan.Round.Refusal));
        Assert.InRange(plan.Feet[3].Move!.MoveUm, 0, 50 + 1e-9);
        Assert.Contains("F4 wants", plan.Round.RefusalSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_feet_figures_heights_or_a_station_near_the_foot_there_is_no_plan()
    {
        var machine = Beds.OnFeet(Heights);
        var standing = Beds.Standing(machine);
        Assert.Null(FootPlan.WhyNot(machine, standing));
        Assert.Equal(FootPlan.NoFeet, FootPlan.WhyNot(machine with { Model = machine.Model with { FeetMm = null } }, standing)!.Id);
        Assert.Equal(CorrectionPlan.NoFigures, FootPlan.WhyNot(machine with { Revision = machine.Revision with { Corrections = [.. machine.Revision.Corrections.Where(c => c.Id != CorrectionFigure.FootStep)] } }, standing)!.Id);
        var far = FootPlan.WhyNot(machine with { Model = machine.Model with { FeetMm = [250, 1400, 3750] } }, standing)!;
        Assert.Equal((FootPlan.NoStation, "The station nearest to F2 is S2, 600 mm away; a height farther than 300 mm says nothing of a foot."), (far.Id, far.Sentence));
    }
}
