using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.SpotChecks;

public sealed class SpotCheckActsTests
{
    private static BeginRunRequest Spot(string serial, params string[] places) => TestPlant.ToBegin(serial, kind: RunKind.SpotCheck) with { Places = [.. places] };

    [Theory, OnBoth]
    public async Task A_spot_check_is_recorded_beside_the_result_and_leaves_it_as_it_was(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("S-1");
        var before = (await plant.Machine("S-1")).EvaluationOf("100-02")!.Record.Result;
        var begun = await plant.Begin(TestPlant.Inspector, Spot("S-1", "P5", "P1"));
        var wrong = await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Inspector, TestPlant.ToRecord("S-1", begun.Run, ("P2", "z", "2"))));
        Assert.Equal("P5, P1", wrong.Faults.Single().Expected);
        await plant.Record(TestPlant.Inspector, TestPlant.ToRecord("S-1", begun.Run, ("P5", "z", "9.5")));
        var lacks = await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Inspector, "S-1", begun.Run));
        Assert.Equal("Run 2 lacks 1 of 2 readings: P1.", lacks.Rule.Sentence);
        await plant.Record(TestPlant.Inspector, TestPlant.ToRecord("S-1", begun.Run, ("P1", "z", "-40")));
        var finished = await plant.Finish(TestPlant.Inspector, "S-1", begun.Run);

        var machine = await plant.Machine("S-1");
        var measurement = machine.Measurements.Single();
        var run = measurement.Runs[1];
        Assert.True(finished.Spot);
        Assert.Equal(CanonicalJson.Of(before), CanonicalJson.Of(machine.EvaluationOf("100-02")!.Record.Result));
        Assert.Equal((RunKind.SpotCheck, true), (run.Kind, run.Counts));
        Assert.Equal([("P5", false), ("P1", true)], SpotDifference.Of(machine, machine.Revision.Survey("triangle-heights"), measurement, run).Select(d => (d.Place, d.Beyond)));

        // Whoever looked for himself releases, and the certificate carries his look.
        var receipt = await plant.Release(TestPlant.Inspector, "S-1");
        Assert.NotNull(receipt.Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Only_an_inspector_who_had_no_hand_in_it_checks_what_was_measured(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("S-2");
        async Task<string> Refused(Caller who) => (await plant.LeavesNothing<RefusedException>(() => plant.Begin(who, Spot("S-2", "P1")))).Rule.Id;
        Assert.Equal(SpotCheckRules.NothingToCompare, await Refused(TestPlant.Inspector));
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("S-2", helpers: TestPlant.OtherInspector.Person), TestPlant.Triangle);
        Assert.Equal(SpotCheckRules.NotInspector, await Refused(TestPlant.OtherTechnician));
        Assert.Equal(SpotCheckRules.HadAHand, await Refused(TestPlant.OtherInspector));

        var begun = await plant.Begin(TestPlant.Inspector, Spot("S-2", "P1"));
        var ids = (await plant.Record(TestPlant.Inspector, TestPlant.ToRecord("S-2", begun.Run, ("P1", "z", "30")))).Ids;
        Assert.Equal("R-RUN-02", await Refused(TestPlant.Inspector));
        Assert.Equal(ReleaseRules.RunOpen, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "S-2"))).Rule.Id);
        await plant.Finish(TestPlant.Inspector, "S-2", begun.Run);
        foreach (var act in new Func<Task>[]
        {
            () => plant.Get<SurveyActs>().Discard(TestPlant.OtherInspector, new DiscardRequest("S-2", begun.Run, "not so"), null, default),
            () => plant.Get<SurveyActs>().Correct(TestPlant.OtherInspector, new CorrectRequest("S-2", ids[0], "-4", null, "not so"), null, default),
        })
        {
            Assert.Equal(SpotCheckRules.NotAParty, (await plant.LeavesNothing<RefusedException>(act)).Rule.Id);
        }

        await plant.Get<SurveyActs>().Discard(TestPlant.Inspector, new DiscardRequest("S-2", begun.Run, "wrong pad"), null, default);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_places_are_some_of_those_the_survey_has(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("S-3");
        var unknown = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Inspector, Spot("S-3", "P1", "P77")));
        Assert.Equal(("places", "'P77'"), (unknown.Faults.Single().Where, unknown.Faults.Single().Found));
        var none = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Inspector, Spot("S-3")));
        Assert.Equal(("places", "none"), (none.Faults.Single().Where, none.Faults.Single().Found));
        var pass = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-3") with { Places = ["P1"] }));
        Assert.Equal("places", pass.Faults.Single().Where);
    }
}
