using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Delegations;

/// <summary>What may be lent, to whom, and what is done under it. Answers are worked out by hand; tom measured, tea helped.</summary>
public sealed class DelegationRulesTests
{
    private static readonly MachineRecord Machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2) with { Helpers = ["tea"] }));

    private static HoldPoint Hold => Machine.Revision.Holds[0];

    private static Delegation Of(string? role, string holds = "", string by = "ina", string to = "uli", int no = 1, string from = "2026-03-01", string until = "2026-03-31", DelegationEnd? end = null) =>
        new(no, by, to, role, [.. holds.Split(' ', StringSplitOptions.RemoveEmptyEntries)], from, until, "away", Make.Noon, end);

    private static string? WhyNot(Delegation asked, string own, string lent = "", QualifiedPeople? people = null, ChecklistRevision? plan = null) =>
        DelegationRules.WhyNotDelegate(asked, Split(own), Split(lent), plan ?? Machine.Revision, people ?? QualifiedPeople.Nobody)?.Id;

    private static ImmutableArray<string> Split(string roles) => [.. roles.Split(' ', StringSplitOptions.RemoveEmptyEntries)];

    [Theory]
    [InlineData("inspector", "", "inspector", "", null)]
    [InlineData("technician", "", "technician inspector", "", null)]
    [InlineData(null, "H1", "inspector", "", null)]
    [InlineData(null, "H1", "technician", "", DelegationRules.NoRight)]
    [InlineData("planner", "", "inspector", "", DelegationRules.NoRight)]
    [InlineData("administrator", "", "administrator", "", DelegationRules.NotLent)]
    [InlineData("inspector", "", "technician", "inspector", DelegationRules.Onward)]
    [InlineData(null, "H1", "technician", "inspector", DelegationRules.Onward)]
    [InlineData(null, "H1", "technician", "delegate", DelegationRules.Onward)]
    [InlineData("inspector", "", "technician", "delegate", DelegationRules.NoRight)]
    public void Who_has_the_right_lends_it_and_a_borrowed_one_is_not_passed_on(string? role, string holds, string own, string lent, string? rule)
    {
        Assert.Equal(rule, WhyNot(Of(role, holds), own, lent));
        Assert.Equal(DelegationRules.ToSelf, WhyNot(Of(role, holds, to: "ina"), own, lent));
    }

    [Fact]
    public void A_point_that_asks_for_a_list_is_lent_by_somebody_on_it()
    {
        var plan = Machine.Revision with { Qualifications = [new Qualification("electrician", "Electrician", "Tests", "test")], Holds = [Hold with { Qualified = "electrician" }] };
        Assert.Equal(DelegationRules.NoRight, WhyNot(Of(null, "H1"), "inspector", plan: plan));
        Assert.Null(WhyNot(Of(null, "H1"), "inspector", plan: plan, people: new QualifiedPeople([new ListEntry(1, "electrician", "ina", "2026-01-01", "2026-12-31", "K-1", "ada", Make.Noon)], "2026-03-10")));
    }

    [Theory]
    [InlineData("2026-02-28", false)]
    [InlineData("2026-03-01", true)]
    [InlineData("2026-03-31", true)]
    [InlineData("2026-04-01", false)]
    public void Both_days_count_and_none_once_it_is_ended(string day, bool covers)
    {
        Assert.Equal(covers, Of("inspector").Covers(day));
        Assert.False(Of("inspector", end: new DelegationEnd("ina", Make.Noon, "2026-03-01", "back")).Covers(day));
    }

    [Theory]
    [InlineData("ina", "inspector", null)]
    [InlineData("uli", "technician", null)]
    [InlineData("ada", "administrator", null)]
    [InlineData("ivo", "inspector", DelegationRules.NotTheirs)]
    public void Either_of_the_two_or_an_administrator_ends_it_while_it_lasts(string person, string role, string? rule)
    {
        Assert.Equal(rule, DelegationRules.WhyNotEnd(Of(null, "H1"), person, [role], "2026-03-31")?.Id);
        Assert.Equal(DelegationRules.EndedAlready, DelegationRules.WhyNotEnd(Of(null, "H1"), person, [role], "2026-04-01")?.Id);
        Assert.Equal(DelegationRules.EndedAlready, DelegationRules.WhyNotEnd(Of(null, "H1", end: new DelegationEnd("ina", Make.Noon, "2026-03-01", "back")), person, [role], "2026-03-05")?.Id);
    }

    private static (int? Under, string? Rule) Release(string person, bool emergency, params Delegation[] inForce) =>
        DelegationRules.ForRelease(Machine, Hold, person, inForce, emergency) is var (under, rule) ? (under?.No, rule?.Id) : default;

    [Fact]
    public void A_point_is_released_under_the_first_delegation_that_covers_it()
    {
        Assert.Equal((2, null), Release("uli", false, Of(null, "H2"), Of(null, "H1 H2", no: 2), Of("inspector", no: 3)));
        Assert.Equal((3, null), Release("uli", false, Of("technician"), Of("inspector", no: 3)));
        Assert.Equal((null, DelegationRules.NotCovered), Release("uli", false));
        Assert.Equal((null, DelegationRules.NotCovered), Release("uli", false, Of(null, "H2"), Of("planner", no: 2), Of(null, "H1", to: "ugo", no: 3)));
        Assert.Equal(
            "uli has no right to release H1 of X-1: delegated is the release of H2 from 2026-03-01 to 2026-03-31 (delegation 1).", DelegationRules.ForRelease(Machine, Hold, "uli", [Of(null, "H2")], false).WhyNot!.Sentence);
    }

    /// <summary>Neither who borrows the right nor who lends it may have measured; another lender may help, an emergency never.</summary>
    [Fact]
    public void Nothing_measured_by_either_of_the_two_is_released_under_a_delegation()
    {
        Assert.Equal((null, DelegationRules.OwnMeasurement), Release("tea", false, Of(null, "H1", to: "tea")));
        Assert.Equal((null, DelegationRules.OwnMeasurement), Release("uli", false, Of(null, "H1", by: "tom")));
        Assert.Equal((2, null), Release("uli", false, Of(null, "H1", by: "tom"), Of(null, "H1", no: 2)));
        Assert.Equal((null, DelegationRules.OwnMeasurement), Release("uli", true, Of(null, "H1")));
        var allowed = Machine with { Revision = Machine.Revision with { OwnReleases = true } };
        Assert.Equal(DelegationRules.OwnMeasurement, DelegationRules.ForRelease(allowed, Hold, "tea", [Of(null, "H1", to: "tea")], false).WhyNot?.Id);
    }

    [Fact]
    public void Of_all_points_only_those_that_are_delegated_are_open_to_who_has_no_right_of_the_own()
    {
        Assert.Null(DelegationRules.Limit(["inspector"], "uli", []));
        var limit = DelegationRules.Limit(["technician"], "uli", [Of(null, "H1")])!;
        Assert.Null(limit(Machine, Hold));
        Assert.Equal(DelegationRules.NotCovered, limit(Machine, Machine.Revision.Holds[1])?.Id);
        Assert.Equal([null], ReleaseRules.Together(Machine, "uli", null, limit).Select(p => p.WhyNot?.Id));
        Assert.Equal([DelegationRules.NotCovered], ReleaseRules.Together(Machine, "uli", null, DelegationRules.Limit([], "uli", [])).Select(p => p.WhyNot?.Id));
        Assert.Equal((Roles.Delegate, "inspector"), (Of(null, "H1").Lends, Of("inspector").Lends));
    }
}
