using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.History;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Route;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Checklists;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Route;

/// <summary>The route card on both databases, and the shipped route with its first hold point.</summary>
public sealed class RouteActsTests
{
    [Theory, OnBoth]
    public async Task Work_is_recorded_and_shown_with_its_hours_and_queue(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("R-1");
        await Do(plant, TestPlant.Technician, "R-1", 90, RouteAct.Start);
        plant.Clock.Advance(TimeSpan.FromMinutes(90));
        await Do(plant, TestPlant.Technician, "R-1", 90, RouteAct.Pause, "waits for the tool");
        plant.Clock.Advance(TimeSpan.FromHours(20));
        var machine = await plant.Machine("R-1");
        Assert.Equal((StepState.Paused, "waits for the tool"), (machine.Route.Of(90).State, machine.Route.Of(90).Last!.Reason));
        var queue = (await plant.Get<WorkCentreReader>().Queues(default)).Single();
        var queued = queue.Steps.Single(s => s.Step == 90);
        Assert.Equal(("R-1", "paused", "waits for the tool", 1.5), (queued.Serial, queued.State, queued.Because, queued.ActualHours));
        await Do(plant, TestPlant.OtherTechnician, "R-1", 90, RouteAct.Start);
        await Do(plant, TestPlant.OtherTechnician, "R-1", 90, RouteAct.Finish);
        Assert.Equal(StepState.Released, (await plant.Machine("R-1")).Route.Of(90).State);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_machine_on_hold_takes_no_run_no_work_and_no_release(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-1");
        await Do(plant, TestPlant.Planner, "R-1", null, RouteAct.PutOnHold, "customer has not paid");
        foreach (var act in new Func<Task>[]
        {
            () => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("R-1")),
            () => Do(plant, TestPlant.Technician, "R-1", 90, RouteAct.Start),
            () => plant.Release(TestPlant.Inspector, "R-1"),
        })
        {
            var refused = await plant.LeavesNothing<RefusedException>(act);
            Assert.Equal(RouteRules.MachineOnHold, refused.Rule.Id);
            Assert.Contains("customer has not paid", refused.Rule.Sentence, StringComparison.Ordinal);
        }

        Assert.Equal(("on hold", "customer has not paid"), (await plant.Get<MachineReader>().List(default)).Select(l => (l.State, l.Next)).Single());
        await Do(plant, TestPlant.Planner, "R-1", null, RouteAct.LiftHold);
        Assert.Equal("H1", (await plant.Release(TestPlant.Inspector, "R-1")).Hold);
    }

    [Fact]
    public async Task A_reason_is_asked_for_and_a_step_must_exist()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("R-1");
        await plant.LeavesNothing<BadInputException>(() => Do(plant, TestPlant.Inspector, "R-1", 120, RouteAct.NotApplicable, " "));
        await plant.LeavesNothing<BadInputException>(() => Do(plant, TestPlant.Planner, "R-1", null, RouteAct.PutOnHold));
        await plant.LeavesNothing<BadInputException>(() => Do(plant, TestPlant.Planner, "R-1", 90, RouteAct.PutOnHold, "why"));
        await plant.LeavesNothing<BadInputException>(() => Do(plant, TestPlant.Technician, "R-1", null, RouteAct.Start));
        await plant.LeavesNothing<NotFoundException>(() => Do(plant, TestPlant.Technician, "R-1", 95, RouteAct.Start));
        await plant.LeavesNothing<NotFoundException>(() => Do(plant, TestPlant.Technician, "R-9", 90, RouteAct.Start));
    }

    [Fact]
    public async Task On_the_shipped_route_nothing_is_measured_before_the_steps_before_it()
    {
        await using var plant = await Shipped();
        var begin = new BeginRunRequest("R-1", "bed-heights", null, RunKind.Pass, null, null, null, [], [], new Conditions(20, [20, 20], [20, 20], null), []);
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, begin));
        Assert.Equal(RouteRules.WaitsForSteps, refused.Rule.Id);
        Assert.Contains("90 Finish mill (not started)", refused.Rule.Sentence, StringComparison.Ordinal);
        refused = await plant.LeavesNothing<RefusedException>(() => Do(plant, TestPlant.Technician, "R-1", 20, RouteAct.Start));
        Assert.Contains("10 Order review", refused.Rule.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_yes_no_list_is_rejected_by_one_no_and_released_when_all_are_yes()
    {
        await using var plant = await Shipped();
        await Answer(plant, "no");
        var machine = await plant.Machine("R-1");
        Assert.Equal(StepState.Rejected, machine.Route.Of(10).State);
        var refused = await plant.LeavesNothing<RefusedException>(() => Release(plant, TestPlant.Inspector));
        Assert.Equal(ReleaseRules.NotAccepted, refused.Rule.Id);
        await Answer(plant, "yes");
        Assert.Equal(["no", "yes"], (await plant.Machine("R-1")).Current("h0-list")!.Runs.Select(r => r.Standing.Last().Value.Typed));
        refused = await plant.LeavesNothing<RefusedException>(() => Release(plant, TestPlant.Technician with { Roles = ["inspector"] }));
        Assert.Equal(ReleaseRules.OwnMeasurement, refused.Rule.Id);
        await Release(plant, TestPlant.Inspector);
        Assert.Equal((StepState.Released, StepState.Ready), ((await plant.Machine("R-1")).Route.Of(10).State, (await plant.Machine("R-1")).Route.Of(20).State));
    }

    [Theory, OnBoth]
    public async Task A_machine_is_sent_back_by_a_rework_of_the_plan(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var files = new SortedDictionary<string, string>(ChecklistFiles.ForTests.ToDictionary());
        files["route.yaml"] = files["route.yaml"].Replace("scopes:", """
              - {number: 130, name: Paint, work-centre: bench, after: [90]}
              - {number: 140, name: Pack, work-centre: bench, after: [130]}
            rework:
              - {id: burrs, title: Burrs left on the edges, found-at: [130, 140], returns-to: 90, origin: company standard}
            scopes:
            """, StringComparison.Ordinal);
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default);
        await plant.Get<ChecklistActs>().Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(loaded.Subject, null, "burrs"), null, default);
        await plant.Order("R-1");
        await Do(plant, TestPlant.Technician, "R-1", 90, RouteAct.Start);
        await Do(plant, TestPlant.Technician, "R-1", 90, RouteAct.Finish);

        // Before anything was done at the step, nothing can have been found there.
        Task<SendBackReceipt> Send(int foundAt, string trigger, string? reason) => plant.Get<RouteActs>().SendBack(TestPlant.Inspector, new SendBackRequest("R-1", foundAt, trigger, reason), null, default);
        Assert.Equal(RouteRules.NotInThisState, (await plant.LeavesNothing<RefusedException>(() => Send(130, "burrs", "edge of the seat"))).Rule.Id);
        await Do(plant, TestPlant.Technician, "R-1", 130, RouteAct.Start);
        Assert.Equal(RouteRules.NotFoundHere, (await plant.LeavesNothing<RefusedException>(() => Send(90, "burrs", "edge of the seat"))).Rule.Id);
        var bad = await plant.LeavesNothing<BadInputException>(() => Send(130, "bursr", " "));
        Assert.Equal([("reason", "a text"), ("trigger", "one of burrs")], bad.Faults.Select(f => (f.Where, f.Expected)));
        await plant.LeavesNothing<NotFoundException>(() => Send(95, "burrs", "edge of the seat"));

        Assert.Equal(90, (await Send(130, "burrs", "edge of the seat")).Opened);
        var machine = await plant.Machine("R-1");
        var opened = machine.Route.Of(90);
        Assert.Equal((StepState.Rework, new SentBack("burrs", 130), "Burrs left on the edges, found at 130: edge of the seat"), (opened.State, opened.Last!.Back, opened.Because));
        Assert.Equal(RouteRules.WaitsForSteps, (await plant.LeavesNothing<RefusedException>(() => Do(plant, TestPlant.Technician, "R-1", 140, RouteAct.Start))).Rule.Id);
        Assert.Equal("Burrs left on the edges, found at 130: edge of the seat", (await plant.Get<WorkCentreReader>().Queues(default)).Single().Steps.Single(s => s.Step == 90).Because);
        var act = (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, "R-1", default)).Single();
        Assert.All(["burrs", "Burrs left on the edges", "\"ReturnsTo\":90", "edge of the seat"], word => Assert.Contains(word, act.Payload, StringComparison.OrdinalIgnoreCase));
        await plant.Sound();
    }

    private static async Task<TestPlant> Shipped()
    {
        var plant = await TestPlant.Make(Database.Sqlite);
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, ChecklistFiles.Shipped, null, default);
        await plant.Get<ChecklistActs>().Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(loaded.Subject, null, "the shipped limits"), null, default);
        await plant.Order("R-1", "OV-1530/06");
        return plant;
    }

    private static async Task Answer(TestPlant plant, string last)
    {
        var begun = await plant.Begin(TestPlant.Technician, new BeginRunRequest("R-1", "h0-list", null, RunKind.Pass, null, null, null, [], [], null, []));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("R-1", begun.Run, [.. Enumerable.Range(1, 5).Select(q => ("whole", $"q{q}", q == 5 ? last : "yes"))]));
        await plant.Finish(TestPlant.Technician, "R-1", begun.Run);
    }

    private static async Task<ReleaseReceipt> Release(TestPlant plant, Caller who) =>
        await plant.Get<ReleaseActs>().Release(who, new ReleaseRequest("R-1", "H0", TestPlant.Password, (await plant.Machine("R-1")).SheetHash("H0")), null, default);

    private static Task<ActReceipt> Do(TestPlant plant, Caller who, string serial, int? step, RouteAct act, string? reason = null) =>
        plant.Get<RouteActs>().Do(who, new RouteRequest(serial, step, act, reason), null, default);
}
