using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Rules;

/// <summary>Releasing one's own measurement: the company's rule, and the way of an emergency past it. tom measured, tea helped; ina and ivo did neither.</summary>
public sealed class EmergencyRulesTests
{
    private static readonly MachineRecord Machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2) with { Helpers = ["tea"] }));

    private static BrokenRule? WhyNot(MachineRecord machine, string person, string confirmer, bool may = true, QualifiedPeople? people = null) =>
        EmergencyRules.WhyNot(machine, machine.Revision.Holds[0], person, confirmer, may, people ?? QualifiedPeople.Nobody);

    [Theory]
    [InlineData("tom", "ina", true, null)]
    [InlineData("tea", "ina", true, null)]
    [InlineData("ina", "ivo", true, EmergencyRules.NotNeeded)]
    [InlineData("tom", "tom", true, EmergencyRules.SamePerson)]
    [InlineData("tom", "tea", true, EmergencyRules.ConfirmerMeasured)]
    [InlineData("tom", "ina", false, EmergencyRules.ConfirmerMayNot)]
    public void A_second_person_who_could_release_it_confirms(string person, string confirmer, bool may, string? rule) => Assert.Equal(rule, WhyNot(Machine, person, confirmer, may)?.Id);

    [Fact]
    public void An_emergency_passes_nothing_but_the_own_hand()
    {
        Assert.Equal(ReleaseRules.NotAccepted, WhyNot(Make.Machine(), "tom", "ina")?.Id);
        Assert.Equal(ReleaseRules.NotApproved, WhyNot(Machine with { RevisionApproved = false }, "tom", "ina")?.Id);
        var open = Make.GoodPass(4) with { No = 2, Finished = null, Readings = [] };
        Assert.Equal(ReleaseRules.RunOpen, WhyNot(Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), open)), "tom", "ina")?.Id);
        var returned = Machine with { Decisions = [new HoldDecision(900, "H1", HoldDecisionKind.Returned, "ina", Make.Noon, "again", "s", [], 1)] };
        Assert.Equal(ReleaseRules.NothingSinceReturn, WhyNot(returned, "tom", "ina")?.Id);
    }

    [Fact]
    public void Both_stand_on_the_list_that_the_point_asks_for()
    {
        var machine = Machine with
        {
            Revision = Machine.Revision with { Qualifications = [new Qualification("electrician", "Electrician", "Tests", "test")], Holds = [.. Machine.Revision.Holds.Select(h => h with { Qualified = "electrician" })] },
        };
        QualifiedPeople Listed(params string[] people) => new([.. people.Select((p, i) => new ListEntry(i + 1, "electrician", p, "2026-01-01", "2026-12-31", "K-1", "ada", Make.Noon))], "2026-03-10");
        Assert.Equal(QualificationRules.NotOnList, WhyNot(machine, "tom", "ina", people: Listed("ina"))?.Id);
        Assert.Equal("H1 Bed of X-1 is released by somebody on the list \"Electrician\"; ina is not on it.", WhyNot(machine, "tom", "ina", people: Listed("tom"))?.Sentence);
        Assert.Null(WhyNot(machine, "tom", "ina", people: Listed("ina", "tom")));
    }

    /// <summary>ISO 9001:2015, 8.6 asks for a named releaser, not for another person than the maker: independence is the company's rule.</summary>
    [Fact]
    public void Where_the_company_allows_it_who_measured_releases_and_no_emergency_is_needed()
    {
        var allowed = Machine with { Revision = Machine.Revision with { OwnReleases = true } };
        Assert.Equal(ReleaseRules.OwnMeasurement, ReleaseRules.WhyNotRelease(Machine, Machine.Revision.Holds[0], "tom")?.Id);
        Assert.Null(ReleaseRules.WhyNotRelease(allowed, allowed.Revision.Holds[0], "tom"));
        Assert.Equal(EmergencyRules.NotNeeded, WhyNot(allowed, "tom", "ina")?.Id);
    }
}
