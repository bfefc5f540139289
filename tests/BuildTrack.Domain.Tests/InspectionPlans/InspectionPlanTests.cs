using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.Tests.InspectionPlans;

/// <summary>Lines of a small machine; that the shipped route stands in it line by line is tested beside the shipped checklists.</summary>
public sealed class InspectionPlanTests
{
    private static readonly RequiredPhoto Clamps = new("clamps", "Clamp pattern");

    [Theory]
    [InlineData(10, PlanLineStatus.Accepted, "accepted")]
    [InlineData(29, PlanLineStatus.NotProven, "not proven")]
    [InlineData(300, PlanLineStatus.Rejected, "rejected")]
    public void A_line_stands_as_its_result_does(double um, PlanLineStatus status, string word)
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.Run(2, 1, Make.Instrument("small difference", 2), Make.Corners.Select(c => c.Id).Zip(Make.Saddle(um)))));
        var line = InspectionPlan.Of(machine)[0];
        Assert.Equal(("100-01", PlanLineKind.Check, status, word), (line.Number, line.Kind, line.Status, line.Word));
        Assert.Equal(word, line.Standing!.Word);
        Assert.Equal("Heights, instrument for height", line.Method);
    }

    [Fact]
    public void Nothing_recorded_is_not_begun_and_what_an_act_voids_is_to_be_repeated()
    {
        Assert.Equal([("100-01", PlanLineStatus.NotBegun), ("H1", PlanLineStatus.NotBegun)], InspectionPlan.Of(Make.Machine()).Select(l => (l.Number, l.Status)));
        var measured = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        Assert.Equal(PlanLineStatus.Ready, InspectionPlan.Of(measured)[^1].Status);
        var voided = InspectionPlan.Of(measured with { Changes = [new BedChange(50, "re-mill", "0.1 mm off", "tom", Make.Noon)] });
        Assert.Equal([(PlanLineStatus.ToBeRepeated, "Milled again: 0.1 mm off"), (PlanLineStatus.Waits, null)], voided.Select(l => (l.Status, l.Note)));

        // A run without a finished end says nothing yet.
        var begun = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(4) with { Finished = null, Readings = [] }));
        Assert.Contains(InspectionPlan.Of(begun)[0].Word, new[] { "incomplete", "not begun" });
    }

    [Fact]
    public void A_point_stands_after_its_witness_with_the_letters_of_both_parties()
    {
        var good = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        MachineRecord With(HoldPoint hold) => good with { Revision = good.Revision with { Holds = [hold, good.Revision.Holds[1]] } };
        var point = good.Revision.Holds[0];
        var witnessed = With(point with { Witness = new WitnessPoint(10, true) });
        var lines = InspectionPlan.Of(witnessed);
        Assert.Equal(["100-01", "H1-W", "H1"], lines.Select(l => l.Number));
        Assert.Equal(["H W", "– W", "H W"], lines.Select(l => $"{PlanLine.Letter(l.Plant)} {PlanLine.Letter(l.Customer)}"));
        Assert.Equal(("not invited", "invited 10 working days before the visit", "signed statement"), (lines[1].Word, lines[1].Method, lines[1].Record));
        Assert.Equal(["H R", "H R"], InspectionPlan.Of(With(point with { CustomerReviews = true })).Select(l => $"{PlanLine.Letter(l.Plant)} {PlanLine.Letter(l.Customer)}"));
        Assert.Equal(["H –", "H –"], InspectionPlan.Of(good).Select(l => $"{PlanLine.Letter(l.Plant)} {PlanLine.Letter(l.Customer)}"));

        WitnessEntry Entry(long id, WitnessAct act) => new(id, "H1", act, "A. Guest", "Somebody", "2026-03-20", 12, null, null, null, null, "maren", Make.Noon);
        PlanLineStatus Of(params WitnessEntry[] entries) => InspectionPlan.Of(witnessed with { Witness = [.. entries] })[1].Status;
        Assert.Equal(PlanLineStatus.Invited, Of(Entry(60, WitnessAct.Invited)));
        Assert.Equal(PlanLineStatus.Accepted, Of(Entry(60, WitnessAct.Invited), Entry(61, WitnessAct.Accepts)));
        Assert.Equal(PlanLineStatus.Rejected, Of(Entry(60, WitnessAct.Invited), Entry(61, WitnessAct.DoesNotAccept)));
        Assert.Equal(PlanLineStatus.Recorded, Of(Entry(60, WitnessAct.Waived)));
    }

    [Fact]
    public void A_release_stands_on_the_point_and_on_the_lines_it_covers()
    {
        var good = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        var released = new HoldDecision(500, "H1", HoldDecisionKind.Released, "ina", Make.Noon, null, "s", [], 500);
        var lines = InspectionPlan.Of(good with { Decisions = [released] });
        Assert.All(lines, l => Assert.Equal(released, l.Released));
        Assert.Equal([PlanLineStatus.Accepted, PlanLineStatus.Released], lines.Select(l => l.Status));
        var returned = InspectionPlan.Of(good with { Decisions = [released with { Kind = HoldDecisionKind.Returned, Reason = "look again" }] });
        Assert.Equal((PlanLineStatus.Returned, "look again"), (returned[^1].Status, returned[^1].Note));
    }

    [Fact]
    public void Photos_reviews_and_surveys_that_are_only_recorded_are_lines()
    {
        var machine = Make.Machine();
        machine = machine with
        {
            Revision = machine.Revision with
            {
                Steps = [machine.Revision.Steps[0] with { Photos = [Clamps], Review = "Chart" }],
                Surveys = [.. machine.Revision.Surveys, machine.Revision.Surveys[0] with { Id = "note", Title = "Weights", Passes = 2, BothDirections = true, ForEach = ["R1", "R2"], BaseLengthMm = 250 }],
            },
        };
        var lines = InspectionPlan.Of(machine);
        Assert.Equal(["100-01", "100-S1", "100-P1", "100-R", "H1"], lines.Select(l => l.Number));
        Assert.All(lines, l => Assert.Equal(PlanLineStatus.NotBegun, l.Status));
        Assert.Equal("Weights, instrument for height, base 250 mm, 2 passes, out and back, each of R1, R2", lines[1].Method);
        Assert.Equal((PlanLineKind.Review, "Chart", "R –"), (lines[3].Kind, lines[3].What, $"{PlanLine.Letter(lines[3].Plant)} {PlanLine.Letter(lines[3].Customer)}"));

        var photo = new StepFile(70, 100, "clamps", "Clamp pattern", "c.jpg", "image/jpeg", 3, new string('a', 64), "tom", Make.Noon, null);
        var filed = InspectionPlan.Of(machine with { Files = [photo] });
        Assert.Equal([(PlanLineStatus.Recorded, "recorded"), (PlanLineStatus.Incomplete, "to be looked at")], filed.Skip(2).Take(2).Select(l => (l.Status, l.Word)));
        var looked = InspectionPlan.Of(machine with { Files = [photo], Reviews = [new RecordReview(71, 100, "as asked for", "ina", Make.Noon)] })[3];
        Assert.Equal((PlanLineStatus.Recorded, "looked at", "as asked for"), (looked.Status, looked.Word, looked.Note));
        var weights = Make.Measurement(30, 1, Make.GoodPass(31)) with { Survey = "note", Feature = "R1" };
        Assert.Equal(PlanLineStatus.Incomplete, InspectionPlan.Of(machine with { Measurements = [weights] })[1].Status);
        Assert.Equal(PlanLineStatus.Recorded, InspectionPlan.Of(machine with { Measurements = [weights, weights with { Id = 40, Feature = "R2" }] })[1].Status);
    }
}
