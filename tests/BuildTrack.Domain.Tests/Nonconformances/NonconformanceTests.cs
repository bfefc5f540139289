using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Nonconformances;

/// <summary>What a nonconformance takes from the record, what it blocks, and how far a concession reaches.</summary>
public sealed class NonconformanceTests
{
    [Fact]
    public void What_is_required_and_found_comes_from_the_result()
    {
        var machine = Ncr.Raised(Ncr.Machine(300));
        var of = machine.Nonconformances[0];
        Assert.Equal(("NCR-0039", "100-01", "at most 30.0 µm, company standard, edition A", "300.0 µm, U 2.0 µm, rejected"), (of.Name, of.Line, of.Required, of.Found));
        Assert.Equal(machine.EvaluationOf("100-01")!.Hash, of.Result!.EvaluationHash);
        Assert.False(of.FromContract);
        Assert.True((of with { Result = of.Result with { Requirement = of.Result.Requirement with { ApprovedBy = "ada" } } }).FromContract);
        Assert.True((of with { Result = of.Result with { Requirement = of.Result.Requirement with { Origin = "Contract annex 2" } } }).FromContract);
    }

    [Fact]
    public void None_is_raised_from_an_accepted_result_or_twice_from_one()
    {
        Assert.Equal(NonconformanceRules.NotFailed, NonconformanceRules.FromResult(Ncr.Machine(10), Ncr.Machine(10).Agreed()[0]).Rule!.Id);
        var empty = Make.Machine();
        Assert.Equal(NonconformanceRules.NotFailed, NonconformanceRules.FromResult(empty, empty.Agreed()[0]).Rule!.Id);
        var raised = Ncr.Raised(Ncr.Machine(300));
        var rule = NonconformanceRules.FromResult(raised, raised.Agreed()[0]).Rule!;
        Assert.Equal(NonconformanceRules.RaisedAlready, rule.Id);
        Assert.Contains("NCR-0039", rule.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(NonconformanceAct.Approve, "ina", "I", Disposition.Rework, NonconformanceRules.ProposerAlone)]
    [InlineData(NonconformanceAct.Approve, "tom", "T", Disposition.Rework, NonconformanceRules.OtherRole)]
    [InlineData(NonconformanceAct.Approve, "pia", "P", Disposition.Repair, NonconformanceRules.OtherRole)]
    [InlineData(NonconformanceAct.Approve, "ivo", "I", Disposition.Rework, null)]
    [InlineData(NonconformanceAct.Approve, "ina", "I", Disposition.Repair, null)]
    [InlineData(NonconformanceAct.Approve, "pia", "P", Disposition.ReturnToSupplier, null)]
    [InlineData(NonconformanceAct.GiveBack, "tom", "T", Disposition.Rework, NonconformanceRules.OtherRole)]
    [InlineData(NonconformanceAct.Action, "tom", "T", Disposition.Rework, NonconformanceRules.NotInThisState)]
    public void A_proposal_is_approved_by_who_may(NonconformanceAct act, string person, string letters, Disposition disposition, string? expected)
    {
        var machine = Proposed(disposition);
        Assert.Equal(expected, NonconformanceRules.WhyNot(machine, machine.Nonconformances[0], act, person, Ncr.RolesOf(letters))?.Id);
    }

    [Fact]
    public void One_person_with_two_roles_is_still_one_person()
    {
        var machine = Ncr.Enter(Proposed(Disposition.Repair), NonconformanceAct.Approve, "max", "IA");
        var of = machine.Nonconformances[0];
        Assert.Equal(NonconformanceState.DispositionProposed, of.Standing.State);
        Assert.Equal(NonconformanceRules.ApprovedAlready, NonconformanceRules.WhyNot(machine, of, NonconformanceAct.Approve, "max", Ncr.RolesOf("IA"))!.Id);
        Assert.Equal("inspector or administrator other than Max: approve", of.Standing.WaitsFor(of, n => n == "max" ? "Max" : n));
        Assert.Equal(NonconformanceState.DispositionApproved, Ncr.Enter(machine, NonconformanceAct.Approve, "ivo", "I").Nonconformances[0].Standing.State);
    }

    [Fact]
    public void A_planner_proposes_only_what_a_planner_decides()
    {
        var machine = Ncr.Enter(Ncr.Raised(Ncr.Machine(300)), NonconformanceAct.Contain, "tom", "T");
        BrokenRule? Why(string letters, Disposition what) => NonconformanceRules.WhyNot(machine, machine.Nonconformances[0], NonconformanceAct.Propose, "x", Ncr.RolesOf(letters), what);
        Assert.Equal(NonconformanceRules.OtherRole, Why("P", Disposition.Concession)!.Id);
        Assert.Null(Why("P", Disposition.Regrade));
        Assert.Null(Why("A", Disposition.Concession));
    }

    [Fact]
    public void The_action_is_verified_by_another_and_a_reworked_line_must_be_accepted()
    {
        var machine = Ncr.Enter(Ncr.Enter(Proposed(Disposition.Rework), NonconformanceAct.Approve, "ivo", "I"), NonconformanceAct.Action, "ina", "I");
        BrokenRule? Why(MachineRecord m, string person) => NonconformanceRules.WhyNot(m, m.Nonconformances[0], NonconformanceAct.Verify, person, Ncr.RolesOf("I"));
        Assert.Equal(NonconformanceRules.OwnAction, Why(machine, "ina")!.Id);
        var rule = Why(machine, "ivo")!;
        Assert.Equal(NonconformanceRules.LineNotAccepted, rule.Id);
        Assert.Contains("is rejected", rule.Sentence, StringComparison.Ordinal);
        Assert.Null(Why(Ncr.Machine(10, measurement: 40) with { Nonconformances = machine.Nonconformances }, "ivo"));
    }

    [Fact]
    public void What_was_not_found_in_order_is_done_again_and_a_declined_proposal_is_proposed_anew()
    {
        var machine = Ncr.Enter(Proposed(Disposition.Concession), NonconformanceAct.GiveBack, "ada", "A");
        Assert.Equal((NonconformanceState.Contained, null), (machine.Nonconformances[0].Standing.State, machine.Nonconformances[0].Standing.Proposal));
        machine = Ncr.Enter(machine, NonconformanceAct.Propose, "ina", "I", Disposition.Rework);
        machine = Ncr.Enter(Ncr.Enter(machine, NonconformanceAct.Approve, "ivo", "I"), NonconformanceAct.Action, "tom", "T");
        machine = Ncr.Enter(machine, NonconformanceAct.GiveBack, "ivo", "I");
        Assert.Equal((NonconformanceState.DispositionApproved, null), (machine.Nonconformances[0].Standing.State, machine.Nonconformances[0].Standing.Action));
    }

    [Fact]
    public void A_concession_against_the_contract_waits_for_the_customer()
    {
        var machine = Ncr.Conceded(Ncr.Seen(Ncr.Machine(10), contract: true));
        var of = machine.Nonconformances[0];
        Assert.Equal((NonconformanceState.DispositionProposed, "the customer: consent"), (of.Standing.State, of.Standing.WaitsFor(of, n => n)));
        Assert.Empty(machine.Concessions);
        machine = Ncr.Enter(machine, NonconformanceAct.Consent, "pia", "P");
        Assert.Equal("CON-0001", Assert.Single(machine.Concessions).Name);
        Assert.Equal("CON-0001", Assert.Single(Ncr.Conceded(Ncr.Seen(Ncr.Machine(10), contract: true), consent: true).Concessions).Name);
        Assert.Equal("CON-0001", Assert.Single(Ncr.Conceded(Ncr.Seen(Ncr.Machine(10))).Concessions).Name);
        var proposed = Ncr.Enter(Ncr.Enter(Ncr.Enter(Ncr.Seen(Ncr.Machine(10), contract: true), NonconformanceAct.Contain, "tom", "T"), NonconformanceAct.Propose, "ina", "I", Disposition.Concession), NonconformanceAct.Consent, "ina", "I");
        Assert.Equal(NonconformanceRules.ApprovedAlready, NonconformanceRules.WhyNot(proposed, proposed.Nonconformances[0], NonconformanceAct.Consent, "pia", Ncr.RolesOf("P"))!.Id);
    }

    [Fact]
    public void An_open_one_blocks_its_hold_point_and_everything_from_ready_for_the_customer_on()
    {
        var machine = Ncr.Seen(Ncr.Machine(10));
        Assert.Equal([true, true, true, true], machine.Revision.Holds.Select(h => NonconformanceRules.WhyBlocked(machine, h) is not null));
        var elsewhere = Ncr.Seen(Ncr.Machine(10), step: null);
        Assert.Equal([false, false, true, true], elsewhere.Revision.Holds.Select(h => NonconformanceRules.WhyBlocked(elsewhere, h) is not null));
        var rule = ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds[0], "ivo")!;
        Assert.Equal(NonconformanceRules.Blocks, rule.Id);
        Assert.Contains("NCR-0039 (raised: Ra 3.9)", rule.Sentence, StringComparison.Ordinal);
        Assert.False(machine.StandingOfHold(machine.Revision.Holds[0]).Ready);
        Assert.Null(ReleaseRules.WhyNotRelease(Ncr.Conceded(machine), machine.Revision.Holds[0], "ivo"));
    }

    [Fact]
    public void One_found_at_a_step_without_a_hold_point_blocks_the_next_one()
    {
        var machine = Ncr.Seen(Ncr.Machine(10), step: 80);
        RouteStep Step(int number, params int[] after) => machine.Revision.Steps[0] with { Number = number, After = [.. after] };
        machine = machine with { Revision = machine.Revision with { Steps = [Step(80), Step(90, 80), Step(100, 90), Step(110, 100)], Holds = [.. machine.Revision.Holds.Where(h => h.Id != "H2"), new("H2", 110, "Later")] } };
        Assert.Equal(["H1", "H10", "H11", "H2"], machine.Revision.Holds.Where(h => NonconformanceRules.WhyBlocked(machine, h) is not null).Select(h => h.Id));
        machine = machine with { Revision = machine.Revision with { Holds = [.. machine.Revision.Holds.Where(h => h.Id is "H1" or "H2")] } };
        Assert.Equal(["H1"], machine.Revision.Holds.Where(h => NonconformanceRules.WhyBlocked(machine, h) is not null).Select(h => h.Id));
    }

    [Fact]
    public void A_conceded_line_is_released_although_it_is_rejected()
    {
        var machine = Ncr.Conceded(Ncr.Raised(Ncr.Machine(300)));
        var hold = machine.Revision.Holds[0];
        Assert.Equal(ReleaseRules.NotAccepted, ReleaseRules.WhyNotRelease(Ncr.Machine(300), hold, "ivo")!.Id);
        Assert.Null(ReleaseRules.WhyNotRelease(machine, hold, "ivo"));
        Assert.True(machine.StandingOfHold(hold).Ready);
        Assert.Equal(("rejected", "CON-0001"), (machine.StandingOfHold(hold).Characteristics[0].Word, machine.StandingOfHold(hold).Characteristics[0].Concession!.Name));
        Assert.NotEqual(Ncr.Machine(300).SheetHash("H1"), machine.SheetHash("H1"));
        Assert.Equal(ReleaseRules.OwnMeasurement, ReleaseRules.WhyNotRelease(machine, hold, "tom")!.Id);
    }

    [Theory]
    [InlineData(300, true)]
    [InlineData(299, true)]
    [InlineData(301, false)]
    public void It_reaches_no_further_than_the_value_that_was_conceded(double value, bool covered)
    {
        var given = Ncr.Conceded(Ncr.Raised(Ncr.Machine(300)));
        var again = Ncr.Machine(value, measurement: 40) with { Nonconformances = given.Nonconformances };
        Assert.NotEqual(given.EvaluationOf("100-01")!.Hash, again.EvaluationOf("100-01")!.Hash);
        var rule = ReleaseRules.WhyNotRelease(again, again.Revision.Holds[0], "ivo");
        Assert.Equal(covered ? null : ReleaseRules.BeyondConcession, rule?.Id);
        if (!covered)
        {
            Assert.Contains("CON-0001 concedes 300.0 µm", rule!.Sentence, StringComparison.Ordinal);
            Assert.Contains("301.0 µm", rule.Sentence, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void It_ends_with_the_bed_that_it_was_given_for_and_with_its_limit()
    {
        var given = Ncr.Conceded(Ncr.Raised(Ncr.Machine(300)));
        var milled = given with { Changes = [new BedChange(60, "re-mill", "0.1 mm", "tom", Make.Noon)] };
        Assert.Equal(ReleaseRules.NotAccepted, ReleaseRules.WhyNotRelease(milled, milled.Revision.Holds[0], "ivo")!.Id);
        var stricter = Make.Evaluated(given with { Order = [new("flat", Make.Um(20), null, null, null, "contract", "B", "ada", "why")] });
        Assert.Equal(ReleaseRules.BeyondConcession, ReleaseRules.WhyNotRelease(stricter, stricter.Revision.Holds[0], "ivo")!.Id);
    }

    [Fact]
    public void What_was_returned_as_rejected_is_released_once_it_is_conceded()
    {
        var returned = Ncr.Raised(Ncr.Machine(300)) with { Decisions = [new HoldDecision(5500, "H1", HoldDecisionKind.Returned, "ivo", Make.Noon, "rejected", "s", [], 1)] };
        Assert.Null(ReleaseRules.WhyNotRelease(Ncr.Conceded(returned), returned.Revision.Holds[0], "ivo"));
        var later = Ncr.Conceded(returned) with { Decisions = [returned.Decisions[0] with { Id = 9000 }] };
        Assert.Equal(ReleaseRules.NothingSinceReturn, ReleaseRules.WhyNotRelease(later, returned.Revision.Holds[0], "ivo")!.Id);
    }

    private static MachineRecord Proposed(Disposition disposition) =>
        Ncr.Enter(Ncr.Enter(Ncr.Raised(Ncr.Machine(300)), NonconformanceAct.Contain, "tom", "T"), NonconformanceAct.Propose, disposition == Disposition.ReturnToSupplier ? "ivo" : "ina", "I", disposition);
}
