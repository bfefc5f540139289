using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>The shipped route as an inspection and test plan: nothing is left out and nothing stands there twice.</summary>
public sealed class ShippedInspectionPlanTests
{
    private static readonly ChecklistRevision Shipped = ChecklistLoader.Load(ChecklistFiles.Shipped).Revision!;

    public static TheoryData<string> Models { get; } = [.. Shipped.Models.Select(m => m.Id)];

    private static MachineRecord Machine(string model) => new("X-1", Shipped.Model(model), "", Shipped, true, [], [], [], [], [], [], [], new Instant(0), 0);

    [Theory, MemberData(nameof(Models))]
    public void Every_result_list_photo_review_witness_and_hold_point_stands_there_once(string model)
    {
        var machine = Machine(model);
        var lines = InspectionPlan.Of(machine);
        Assert.Equal(lines.Length, lines.Select(l => l.Number).Distinct().Count());
        string[] Of(params PlanLineKind[] kinds) => [.. lines.Where(l => kinds.Contains(l.Kind)).Select(l => l.Number).Order(StringComparer.Ordinal)];

        var asked = Shipped.Characteristics.Where(c => Shipped.RequirementOf(c.Limit, machine.Model) is not null).ToList();
        Assert.Equal(asked.Where(c => c.Evaluator != AnswersEvaluator.Name).Select(c => c.Line).Order(StringComparer.Ordinal), Of(PlanLineKind.Check));
        Assert.Equal(asked.Where(c => c.Evaluator == AnswersEvaluator.Name).Select(c => c.Line).Order(StringComparer.Ordinal), Of(PlanLineKind.List));
        Assert.Equal(Shipped.Holds.Select(h => h.Id).Order(StringComparer.Ordinal), Of(PlanLineKind.Hold));
        Assert.Equal(Shipped.Holds.Where(h => h.Witness is not null).Select(h => $"{h.Id}-W").Order(StringComparer.Ordinal), Of(PlanLineKind.Witness));
        Assert.Equal(Shipped.Steps.SelectMany(s => s.Photos.Select((_, i) => $"{s.Number}-P{i + 1}")).Order(StringComparer.Ordinal), Of(PlanLineKind.Photo));
        Assert.Equal(["240-R", "60-R"], Of(PlanLineKind.Review));

        // Every survey that a result of the class rests on is done for some line; a shorter machine has no travel of X over its window.
        Assert.Equal(asked.SelectMany(c => machine.SurveysOf(c)).Distinct().Order(StringComparer.Ordinal), lines.SelectMany(l => l.Surveys).Select(s => s.Id).Distinct().Order(StringComparer.Ordinal));
        Assert.Equal(lines.Select(l => l.Step.Number).Order(), lines.Select(l => l.Step.Number));
        Assert.All(lines, l => Assert.Equal(PlanLineStatus.NotBegun, l.Status));
        Assert.All(lines, l => Assert.NotEmpty(l.Roles));
    }

    /// <summary>Letters of trade notes 1.5 for the plant and the customer, as far as the shipped route has them (H0 is the customer's by the contract itself; H5 and H8 are witnessed where a contract says so).</summary>
    [Fact]
    public void Points_have_the_letters_of_the_trade()
    {
        var lines = InspectionPlan.Of(Machine("OV-1530/06"));
        Assert.Equal(
            "H0 H/– H1 H/R H2 H/– H3 H/– H4 H/– H5 H/– H6 H/– H7a H/– H7b H/– H7 H/R H8 H/– H9a H/– H9b H/– H10 H/– H11 H/W H12 H/R H13 H/W H14 H/W H15 H/–",
            string.Join(' ', lines.Where(l => l.Kind == PlanLineKind.Hold).Select(l => $"{l.Number} {PlanLine.Letter(l.Plant)}/{PlanLine.Letter(l.Customer)}")));
        Assert.Equal("R/–", string.Join(' ', lines.Where(l => l.Kind == PlanLineKind.Review).Select(l => $"{PlanLine.Letter(l.Plant)}/{PlanLine.Letter(l.Customer)}").Distinct()));
    }

    [Fact]
    public void A_machine_that_is_just_ordered_waits_at_H10_for_every_earlier_line()
    {
        var machine = Machine("OV-1530/06");
        var obstacles = ReleaseObstacles.Of(machine, Shipped.Holds.Single(h => h.Id == "H10"));
        var points = Shipped.Holds.TakeWhile(h => h.Id != "H11").Select(h => h.Id).ToHashSet();
        Assert.Equal(
            machine.Agreed().Where(a => points.Contains(a.Characteristic.Hold)).Select(a => a.Characteristic.Line).Order(StringComparer.Ordinal),
            obstacles.Where(o => o.At == ObstacleAt.Result).Select(o => o.Thing).Order(StringComparer.Ordinal));

        // Steps without a hold point are told by themselves, and all of it in the order of the route by hold point.
        var steps = Shipped.Steps.Where(s => s.Number < 250 && !Shipped.Holds.Any(h => h.Step == s.Number)).Select(s => $"{s.Number}");
        Assert.Equal(steps, obstacles.Where(o => o.At == ObstacleAt.RouteCard).Select(o => o.Thing));
        Assert.Empty(ReleaseObstacles.Of(machine, Shipped.Holds.Single(h => h.Id == "H0")).Where(o => o.At != ObstacleAt.Result));
    }
}
