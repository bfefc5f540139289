using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Rules;

public sealed class StandingAndReleaseTests
{
    private static readonly Instant Later = new(Make.Noon.Microseconds + 1_000_000);

    [Fact]
    public void A_hold_point_is_ready_when_everything_is_accepted()
    {
        Assert.Equal((false, "not measured"), Standing(Make.Machine()));
        Assert.Equal((true, "accepted"), Standing(Measured()));
        Assert.Equal((false, "rejected"), Standing(Make.Machine(Make.Measurement(1, 1, Make.Run(2, 1, Make.Instrument("small difference", 2), Make.Corners.Select(c => c.Id).Zip(Make.Saddle(300)))))));
        Assert.Null(Rule(Measured()));
    }

    [Fact]
    public void A_hold_point_without_characteristics_is_never_ready()
    {
        var machine = Measured();
        var empty = machine.Revision.Holds[1];
        Assert.False(machine.StandingOfHold(empty).Ready);
        Assert.Equal(ReleaseRules.NotAccepted, ReleaseRules.WhyNotRelease(machine, empty, "ina")!.Id);
        Assert.Equal(ReleaseRules.NothingToReturn, ReleaseRules.WhyNotReturn(machine, empty)!.Id);
    }

    [Fact]
    public void Checklists_that_nobody_approved_stand_against_a_release() => Assert.Equal(ReleaseRules.NotApproved, Rule(Measured() with { RevisionApproved = false })!.Id);

    [Theory]
    [InlineData("tom", true)]
    [InlineData("tea", true)]
    [InlineData("ivo", true)]
    [InlineData("ina", false)]
    public void Whoever_had_a_hand_in_it_does_not_release(string person, bool refused)
    {
        var run = Make.GoodPass(2) with { Helpers = ["tea"] };
        var thrown = Make.GoodPass(4) with { No = 2, Discarded = new Discarded("ivo", Make.Noon, "door") };
        var machine = Make.Machine(Make.Measurement(1, 1, run, thrown));
        Assert.Equal(refused ? ReleaseRules.OwnMeasurement : null, ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds[0], person)?.Id);
    }

    [Fact]
    public void A_spot_check_does_not_make_its_inspector_a_measurer()
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), Make.GoodPass(4, "ina") with { No = 2, Kind = RunKind.SpotCheck }));
        Assert.Null(Rule(machine));
        Assert.Equal(10, machine.EvaluationOf("100-01")!.Record.Result.Value!.Value, 1e-9);
    }

    [Fact]
    public void An_open_run_stands_against_a_release()
    {
        var open = Make.GoodPass(4) with { No = 2, Finished = null, Readings = [] };
        Assert.Equal(ReleaseRules.RunOpen, Rule(Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), open)))!.Id);
    }

    [Fact]
    public void After_a_return_something_must_have_been_recorded()
    {
        var machine = Measured();
        var returned = machine with { Decisions = [Decision(500, HoldDecisionKind.Returned)] };
        Assert.Equal(ReleaseRules.NothingSinceReturn, Rule(returned)!.Id);

        // Even where the clock was set back, what has a higher id came later.
        var again = Make.Evaluated(returned with { Measurements = [Make.Measurement(1, 1, Make.GoodPass(2), Make.GoodPass(60) with { No = 2, Begun = new(1), Finished = new(2) })] });
        Assert.Null(Rule(again));
        var corrected = Make.Evaluated(returned with
        {
            Measurements = [Make.Measurement(1, 1, Make.GoodPass(2) with { Readings = [.. Make.GoodPass(2).Readings, Make.Reading(777, "C1", 5, "tea", supersedes: 200)] })],
        });
        Assert.Null(Rule(corrected));
    }

    [Fact]
    public void A_released_point_is_neither_released_nor_returned_again()
    {
        var released = Measured() with { Decisions = [Decision(50, HoldDecisionKind.Released)] };
        Assert.Equal(ReleaseRules.AlreadyReleased, Rule(released)!.Id);
        Assert.Equal(ReleaseRules.AlreadyReleased, ReleaseRules.WhyNotReturn(released, released.Revision.Holds[0])!.Id);
        Assert.NotNull(released.ReleasedOver("s"));
    }

    [Fact]
    public void An_act_on_the_bed_ends_the_release_for_good()
    {
        var released = Measured() with { Decisions = [Decision(50, HoldDecisionKind.Released)] };
        var changed = released with { Changes = [new BedChange(60, "re-mill", "0.1 mm", "tom", Later)] };
        Assert.Equal((false, "to be repeated"), Standing(changed));
        Assert.Null(changed.ReleasedOver("s"));
        Assert.Equal("Milled again: 0.1 mm", changed.StandingOfHold(changed.Revision.Holds[0]).Characteristics[0].RepeatBecause);

        var begun = changed with { Measurements = [.. changed.Measurements, Make.Measurement(70, 2)] };
        Assert.Equal((false, "incomplete"), Standing(begun));
        Assert.Null(begun.ReleasedOver("s"));
        var measured = Make.Evaluated(begun with { Measurements = [changed.Measurements[0], Make.Measurement(70, 2, Make.GoodPass(71))] });
        Assert.Equal((true, "accepted"), Standing(measured));
        Assert.Null(measured.StandingOfHold(measured.Revision.Holds[0]).Released);
        Assert.Null(Rule(measured));
    }

    [Fact]
    public void An_act_that_does_not_touch_the_survey_changes_nothing()
    {
        var released = Measured() with { Decisions = [Decision(50, HoldDecisionKind.Released)], Changes = [new BedChange(60, "paint", "blue", "tom", Later)] };
        Assert.NotNull(released.ReleasedOver("s"));
        Assert.Equal((false, "accepted"), Standing(released));
    }

    [Fact]
    public void Before_and_after_follow_the_order_of_recording_not_the_clock()
    {
        // The change is stamped an hour before the measurement began, but was recorded after it.
        var changed = Measured() with { Changes = [new BedChange(60, "re-mill", "0.1 mm", "tom", new(Make.Noon.Microseconds - 3_600_000_000))] };
        Assert.Equal((false, "to be repeated"), Standing(changed));
        // And one recorded before it, stamped an hour after it.
        var before = Make.Machine(Make.Measurement(61, 1, Make.GoodPass(62))) with { Changes = [new BedChange(60, "re-mill", "0.1 mm", "tom", new(Make.Noon.Microseconds + 3_600_000_000))] };
        Assert.Equal((true, "accepted"), Standing(before));
    }

    [Fact]
    public void The_sheet_changes_with_everything_a_release_rests_on()
    {
        var machine = Measured();
        var hash = machine.SheetHash("H1");
        var m = machine.Measurements[0];
        var run = m.Runs[0];
        MachineRecord[] changed =
        [
            machine with { Measurements = [m with { Runs = [run with { Readings = [.. run.Readings, Make.Reading(999, "C1", 3, supersedes: 200)] }] }] },
            machine with { Measurements = [m with { Runs = [run with { Discarded = new Discarded("ina", Later, "door") }] }] },
            machine with { Measurements = [m with { Runs = [run with { Finished = null }] }] },
            machine with { Measurements = [m with { Runs = [run, Make.GoodPass(8)] }] },
            machine with { Changes = [new BedChange(60, "paint", "blue", "tom", Later)] },
            machine with { Decisions = [Decision(50, HoldDecisionKind.Returned)] },
            machine with { Evaluations = [] },
            machine with { Revision = machine.Revision with { Hash = new string('1', 64) } },
            machine with { Order = [new("flat", Make.Um(20), null, null, null, "o", "B", "p", "r")] },
        ];
        Assert.Equal(changed.Length + 1, changed.Select(c => c.SheetHash("H1")).Append(hash).Distinct().Count());
        Assert.Equal(hash, (machine with { Decisions = [Decision(50, HoldDecisionKind.Returned) with { Hold = "H2" }] }).SheetHash("H1"));
        Assert.Equal(16, hash.Length);
    }

    private static MachineRecord Measured() => Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));

    private static BrokenRule? Rule(MachineRecord machine) => ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds[0], "ina");

    private static (bool Ready, string Word) Standing(MachineRecord machine)
    {
        var standing = machine.StandingOfHold(machine.Revision.Holds[0]);
        return (standing.Ready, standing.Characteristics.Single().Word);
    }

    private static HoldDecision Decision(long id, HoldDecisionKind kind) => new(id, "H1", kind, "ina", Later, kind == HoldDecisionKind.Returned ? "why" : null, "sheet", [], 1);
}
