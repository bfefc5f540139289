using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Route;

/// <summary>States of steps, what they wait for, hours, and every refusal by its rule.</summary>
public sealed class RouteTests
{
    /// <summary>80 → 100 (H1) → 120, and 90 beside them.</summary>
    private static MachineRecord Machine(params (int? Step, RouteAct Act, string? Reason)[] card)
    {
        var machine = Make.Machine(Make.Measurement(500, 1, Make.GoodPass(501)));
        return On(machine with { Measurements = [], Evaluations = [] }, card);
    }

    private static MachineRecord Measured(params (int? Step, RouteAct Act, string? Reason)[] card) =>
        On(Make.Machine(Make.Measurement(500, 1, Make.GoodPass(501))), card);

    private static MachineRecord On(MachineRecord machine, (int? Step, RouteAct Act, string? Reason)[] card)
    {
        var hours = ImmutableSortedDictionary<string, decimal>.Empty.Add("B", 3.5m);
        var revision = machine.Revision with
        {
            Steps =
            [
                new RouteStep(80, "Mill", "bench", [], hours, []), new RouteStep(90, "Sheet metal", "bench", [], ImmutableSortedDictionary<string, decimal>.Empty, []),
                new RouteStep(100, "Verify", "bench", [80], hours, []), new RouteStep(120, "Rails", "bench", [90, 100], hours, []),
            ],
            Rework = [PadsOut],
        };
        return machine with { Revision = revision, RouteCard = [.. card.Select((c, i) => new RouteEntry(i + 1, c.Step, c.Act, "tom", Hour(i), c.Reason))] };
    }

    private static readonly ReworkTrigger PadsOut = new("pads-out", "Pads out after unclamping", [100, 120], 80, "company standard");

    private static Instant Hour(int hours) => new(Make.Noon.Microseconds + (hours * 3_600_000_000L));

    private static HoldDecision Released(string person = "ida") => new(900, "H1", HoldDecisionKind.Released, person, Hour(50), null, "sheet", [], 9);

    private static StepState State(MachineRecord machine, int step) => machine.Route.Of(step).State;

    [Fact]
    public void Steps_are_ready_when_everything_before_them_is_complete()
    {
        var fresh = Machine();
        Assert.Equal([StepState.Ready, StepState.Ready, StepState.NotStarted, StepState.NotStarted], fresh.Route.Steps.Select(s => s.State));
        Assert.Equal([90, 100], fresh.Route.Of(120).WaitsFor);
        var milled = Machine((80, RouteAct.Start, null), (80, RouteAct.Finish, null));
        Assert.Equal([StepState.Released, StepState.Ready, StepState.Ready, StepState.NotStarted], milled.Route.Steps.Select(s => s.State));
        Assert.Equal("finished", milled.Route.Of(80).Word);
        Assert.Equal(Hour(1), milled.Route.Of(100).Since);
        Assert.Equal(100, milled.Route.Current!.Step.Number);
    }

    [Fact]
    public void A_step_with_a_hold_point_is_complete_only_when_it_is_released()
    {
        var finished = Measured((80, RouteAct.Start, null), (80, RouteAct.Finish, null), (90, RouteAct.Start, null), (90, RouteAct.Finish, null), (100, RouteAct.Start, null), (100, RouteAct.Finish, null));
        Assert.Equal(StepState.Recorded, State(finished, 100));
        Assert.Equal(StepState.NotStarted, State(finished, 120));
        var released = finished with { Decisions = [Released()] };
        Assert.Equal(StepState.Released, State(released, 100));
        Assert.Equal(StepState.Ready, State(released, 120));
        var milledAgain = released with { Changes = [new BedChange(950, "re-mill", "0.1 mm", "tom", Hour(60))] };
        Assert.NotEqual(StepState.Released, State(milledAgain, 100));
        Assert.Equal(StepState.NotStarted, State(milledAgain, 120));
        var returned = finished with { Decisions = [Released() with { Id = 60_000, Kind = HoldDecisionKind.Returned, Reason = "door open" }] };
        Assert.Equal(StepState.Rejected, State(returned, 100));
    }

    [Fact]
    public void Measuring_shows_the_step_in_progress_or_recorded()
    {
        Assert.Equal(StepState.Recorded, State(Measured(), 100));
        var open = Measured() with { Evaluations = [] };
        Assert.Equal(StepState.InProgress, State(open, 100));
    }

    [Fact]
    public void Rework_opens_a_finished_step_and_closes_what_rests_on_it()
    {
        var machine = Machine((80, RouteAct.Start, null), (80, RouteAct.Finish, null), (80, RouteAct.Reopen, "pads out after unclamping"));
        Assert.Equal(StepState.Rework, State(machine, 80));
        Assert.Equal(StepState.NotStarted, State(machine, 100));
        Assert.Null(RouteRules.WhyNot(machine, 80, RouteAct.Start));
    }

    [Fact]
    public void A_step_opened_again_closes_every_step_after_it_however_far()
    {
        var released = Measured(Card("80 Start, 80 Finish, 90 Start, 90 Finish")) with { Decisions = [Released()] };
        Assert.Equal(StepState.Ready, State(released, 120));
        var again = released with { RouteCard = released.RouteCard.Add(new RouteEntry(50, 80, RouteAct.Reopen, "tom", Hour(51), "pads out")) };
        Assert.Equal((StepState.Released, StepState.NotStarted), (State(again, 100), State(again, 120)));
        Assert.Equal([80], again.Route.Of(120).WaitsFor);
        Assert.Equal(RouteRules.WaitsForSteps, RouteRules.WhyNotWork(again, 120)?.Id);
        Assert.Null(RouteRules.WhyNotWork(again, 90));
        Assert.Equal(80, again.Route.Current!.Step.Number);
    }

    [Fact]
    public void A_machine_sent_back_stands_at_the_step_it_was_sent_to()
    {
        var rejected = Measured(Card("80 Start, 80 Finish, 90 Start, 90 Finish")) with { Decisions = [Released() with { Id = 60_000, Kind = HoldDecisionKind.Returned, Reason = "pads out" }] };
        Assert.Equal((100, true), (rejected.Route.Current!.Step.Number, rejected.Route.Of(100).Open));
        var back = rejected with { RouteCard = rejected.RouteCard.Add(new RouteEntry(50, 80, RouteAct.Reopen, "ida", Hour(51), "low", new SentBack("pads-out", 100))) };
        Assert.Equal((80, StepState.Rejected, false), (back.Route.Current!.Step.Number, State(back, 100), back.Route.Of(100).Open));
    }

    [Fact]
    public void A_released_step_whose_work_nobody_noted_can_be_opened_again()
    {
        var released = Measured(Card("80 Start, 80 Finish")) with { Decisions = [Released()] };
        Assert.Null(RouteRules.WhyNot(released, 100, RouteAct.Reopen));
        Assert.Equal(RouteRules.NotInThisState, RouteRules.WhyNot(Measured(Card("80 Start, 80 Finish")), 100, RouteAct.Reopen)?.Id);
    }

    [Fact]
    public void A_rework_of_the_plan_is_told_with_what_was_found_and_where()
    {
        var entry = new RouteEntry(50, 80, RouteAct.Reopen, "ida", Hour(51), "pad R1-04 is 0.09 low", new SentBack("pads-out", 100));
        var machine = Measured(Card("80 Start, 80 Finish"));
        machine = machine with { RouteCard = machine.RouteCard.Add(entry) };
        Assert.Equal((StepState.Rework, "Pads out after unclamping, found at 100: pad R1-04 is 0.09 low"), (State(machine, 80), machine.Route.Of(80).Because));
    }

    [Theory]
    [InlineData("80 Start, 80 Finish, 100 Start", 100, null)]
    [InlineData("80 Start, 80 Finish, 90 Start", 90, RouteRules.NotFoundHere)]
    [InlineData("80 Start, 80 Finish", 100, RouteRules.NotInThisState)]
    [InlineData("80 Start", 100, RouteRules.NotInThisState)]
    [InlineData("80 Start, 80 Finish, 100 Start, 80 Reopen", 100, RouteRules.NotInThisState)]
    [InlineData("80 Start, 80 Finish, 100 Start, PutOnHold", 100, RouteRules.MachineOnHold)]
    public void A_machine_is_sent_back_from_where_the_plan_says_once_something_was_done_there(string card, int foundAt, string? rule)
    {
        var refused = RouteRules.WhyNotSendBack(Machine(Card(card)), foundAt, PadsOut);
        Assert.Equal(rule, refused?.Id);
        Assert.True(refused is null || refused.Sentence.Contains("X-1", StringComparison.Ordinal));
    }

    [Fact]
    public void A_step_not_applicable_lets_the_next_begin()
    {
        var machine = Machine((80, RouteAct.NotApplicable, "plate bought flat"));
        Assert.Equal(StepState.NotApplicable, State(machine, 80));
        Assert.Equal(StepState.Ready, State(machine, 100));
    }

    [Fact]
    public void Hours_count_work_and_not_pauses()
    {
        var machine = Machine((80, RouteAct.Start, null), (80, RouteAct.Pause, "shift"), (90, RouteAct.Start, null), (80, RouteAct.Start, null), (80, RouteAct.Finish, null));
        Assert.Equal(2, RouteStanding.ActualHours(machine, 80, Hour(100)), 9);
        Assert.Equal(98, RouteStanding.ActualHours(machine, 90, Hour(100)), 9);
        Assert.Equal(3.5m, machine.Route.Of(80).PlannedHours);
        Assert.Null(machine.Route.Of(90).PlannedHours);
    }

    public static TheoryData<string, int?, RouteAct, string> Refusals { get; } = new()
    {
        { "", 100, RouteAct.Start, RouteRules.WaitsForSteps },
        { "80 Start", 80, RouteAct.Start, RouteRules.NotInThisState },
        { "80 Start, 80 Finish", 80, RouteAct.Start, RouteRules.NotInThisState },
        { "", 80, RouteAct.Pause, RouteRules.NotInThisState },
        { "80 Start, 80 Pause", 80, RouteAct.Pause, RouteRules.NotInThisState },
        { "", 80, RouteAct.Finish, RouteRules.NotInThisState },
        { "80 Start, 80 Finish", 80, RouteAct.Finish, RouteRules.NotInThisState },
        { "80 Start", 80, RouteAct.Reopen, RouteRules.NotInThisState },
        { "80 Start", 80, RouteAct.NotApplicable, RouteRules.NotInThisState },
        { "", 100, RouteAct.NotApplicable, RouteRules.HasHoldPoint },
        { "PutOnHold", 80, RouteAct.Start, RouteRules.MachineOnHold },
        { "80 Start, PutOnHold", 80, RouteAct.Finish, RouteRules.MachineOnHold },
        { "80 Start, PutOnHold", 80, RouteAct.Pause, RouteRules.MachineOnHold },
        { "PutOnHold", 80, RouteAct.NotApplicable, RouteRules.MachineOnHold },
        { "PutOnHold", null, RouteAct.PutOnHold, RouteRules.HoldAlready },
        { "", null, RouteAct.LiftHold, RouteRules.HoldAlready },
        { "PutOnHold, LiftHold", null, RouteAct.LiftHold, RouteRules.HoldAlready },
    };

    [Theory, MemberData(nameof(Refusals))]
    public void What_is_refused_names_its_rule(string card, int? step, RouteAct act, string rule)
    {
        var refused = RouteRules.WhyNot(Machine(Card(card)), step, act);
        Assert.Equal(rule, refused?.Id);
        Assert.Contains("X-1", refused!.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_step_is_not_finished_over_an_open_run()
    {
        var open = Make.GoodPass(501) with { Finished = null };
        var machine = On(Make.Machine() with { Measurements = [Make.Measurement(500, 1, open)] }, Card("80 Start, 80 Finish, 100 Start"));
        Assert.Equal(RouteRules.RunOpen, RouteRules.WhyNot(machine, 100, RouteAct.Finish)?.Id);
    }

    [Fact]
    public void Nothing_is_released_before_the_steps_before_it_or_on_hold()
    {
        var hold = Measured().Revision.Holds[0];
        Assert.Equal(RouteRules.WaitsForSteps, ReleaseRules.WhyNotRelease(Measured(), hold, "ida")?.Id);
        Assert.Null(ReleaseRules.WhyNotRelease(Measured(Card("80 Start, 80 Finish")), hold, "ida"));
        Assert.Equal(RouteRules.MachineOnHold, ReleaseRules.WhyNotRelease(Measured(Card("80 Start, 80 Finish, PutOnHold")), hold, "ida")?.Id);
    }

    [Fact]
    public void The_points_of_one_step_are_released_in_order()
    {
        var machine = Measured(Card("80 Start, 80 Finish"));
        machine = machine with
        {
            Revision = machine.Revision with
            {
                Holds = [machine.Revision.Holds[0], new HoldPoint("H1b", 100, "Second")],
                Characteristics = [.. machine.Revision.Characteristics, machine.Revision.Characteristics[0] with { Id = "flat-b", Line = "100-02", Hold = "H1b" }],
            },
            Evaluations = [.. machine.Evaluations, machine.Evaluations[0] with { Id = 901, Line = "100-02" }],
        };
        var second = machine.Revision.Holds[1];
        Assert.Equal(ReleaseRules.EarlierPoint, ReleaseRules.WhyNotRelease(machine, second, "ida")?.Id);
        Assert.Null(ReleaseRules.WhyNotRelease(machine with { Decisions = [Released()] }, second, "ida"));
    }

    private static (int? Step, RouteAct Act, string? Reason)[] Card(string text) =>
        [.. text.Split(", ", StringSplitOptions.RemoveEmptyEntries).Select(p => p.Split(' ') is [var step, var act]
            ? ((int?)int.Parse(step, System.Globalization.CultureInfo.InvariantCulture), Enum.Parse<RouteAct>(act), (string?)"why")
            : (null, Enum.Parse<RouteAct>(p), "why"))];
}
