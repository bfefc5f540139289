using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Delegations;

/// <summary>Rights lent for some days, in both databases; the plant stands on 2 March 2026.</summary>
public sealed class DelegationActsTests
{
    private static Task<DelegationReceipt> Lend(
        TestPlant plant, Caller by, Caller to, string? role = null, string holds = "H1", string from = "2026-03-02", string until = "2026-03-10", string reason = "in the field", string? key = null) =>
        plant.Get<DelegationActs>().Delegate(by, new DelegateRequest(to.Person, role, role is null ? [.. holds.Split(' ')] : [], from, until, reason), key, default);

    private static Task<DelegationReceipt> End(TestPlant plant, Caller who, int no) => plant.Get<DelegationActs>().End(who, new EndDelegationRequest(no, "back again"), null, default);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    /// <summary>The person as the next request finds them: signed in, with what is lent today.</summary>
    private static async Task<Caller> Now(TestPlant plant, Caller who)
    {
        var sessions = plant.Get<SessionStore>();
        return (await sessions.Find((await sessions.SignIn(who.Person, TestPlant.Password, default)).Secret!, default))!;
    }

    [Theory, OnBoth]
    public async Task A_technician_releases_the_delegated_point_for_the_inspector_and_the_certificate_says_so(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("D-1");
        Assert.Empty((await Now(plant, TestPlant.OtherTechnician)).Lent);
        var lent = await Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, key: "d-1");
        Assert.Equal(lent, await Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, key: "d-1"));
        var tea = await Now(plant, TestPlant.OtherTechnician);
        Assert.Equal(["technician", "delegate"], tea.Roles);
        Assert.Equal(["delegate"], tea.Lent);
        Assert.Equal(["technician"], tea.Own);

        var receipt = await plant.Release(tea, "D-1");
        Assert.Equal(new ActingFor(TestPlant.Inspector.Person, 1), receipt.For);
        var decision = (await plant.Machine("D-1")).Decisions.Single();
        Assert.Equal((tea.Person, new ActingFor(TestPlant.Inspector.Person, 1)), (decision.Person, decision.For));
        var record = CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText(receipt.Certificate!, 1, default))!);
        Assert.Equal((tea.Person, TestPlant.Inspector.Person, 1), (record.Releases[0].Person, record.Releases[0].For, record.Releases[0].Delegation));
        Assert.Equal("Ina Inspect", record.People[TestPlant.Inspector.Person].Name);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_is_not_delegated_over_ended_or_measured_is_refused(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("D-2");
        await Lend(plant, TestPlant.Inspector, TestPlant.Technician);
        await Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, holds: "J1 S1");
        var (tom, tea) = (await Now(plant, TestPlant.Technician), await Now(plant, TestPlant.OtherTechnician));
        Assert.Equal(DelegationRules.OwnMeasurement, await Refused(plant, () => plant.Release(tom, "D-2")));
        Assert.Equal(DelegationRules.NotCovered, await Refused(plant, () => plant.Release(tea, "D-2")));
        var third = await Lend(plant, TestPlant.OtherInspector, TestPlant.OtherTechnician);
        Assert.Equal(3, third.No);
        Assert.Equal(DelegationRules.NotTheirs, await Refused(plant, () => End(plant, TestPlant.Inspector, third.No)));
        await End(plant, TestPlant.OtherInspector, third.No);
        Assert.Equal(DelegationRules.EndedAlready, await Refused(plant, () => End(plant, TestPlant.OtherInspector, third.No)));
        Assert.Equal(DelegationRules.NotCovered, await Refused(plant, () => plant.Release(tea, "D-2")));
        plant.Clock.Advance(TimeSpan.FromDays(9));
        Assert.Empty((await Now(plant, TestPlant.OtherTechnician)).Lent);
        Assert.Equal(["back again", null, null], (await plant.Get<DelegationReader>().List(default)).Select(d => d.End?.Reason));
        await plant.Sound();
    }

    /// <summary>A role lent is a role held, until who lends it loses it; it is not lent on.</summary>
    [Theory, OnBoth]
    public async Task A_role_is_lent_for_its_days_and_ends_with_the_right_of_who_lends_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("D-3");
        await Lend(plant, TestPlant.Inspector, TestPlant.Planner, role: "inspector", until: "2026-03-02");
        var pia = await Now(plant, TestPlant.Planner);
        Assert.Equal(["planner", "inspector"], pia.Roles);
        Assert.Equal(DelegationRules.Onward, await Refused(plant, () => Lend(plant, pia, TestPlant.OtherTechnician)));
        Assert.Equal(DelegationRules.Onward, await Refused(plant, () => Lend(plant, pia, TestPlant.OtherTechnician, role: "inspector")));
        Assert.Equal(DelegationRules.NoRight, await Refused(plant, () => Lend(plant, TestPlant.Technician, TestPlant.OtherTechnician)));
        Assert.Equal(1, (await plant.Release(pia, "D-3")).For?.Delegation);
        await plant.Get<PeopleActs>().ChangeRoles(TestPlant.Administrator, new ChangeRolesRequest(TestPlant.Inspector.Person, ["technician"]), null, default);
        Assert.Equal(["planner"], (await Now(plant, TestPlant.Planner)).Roles);
        await Lend(plant, TestPlant.OtherInspector, TestPlant.Planner, role: "inspector");
        Assert.Equal(["planner", "inspector"], (await Now(plant, TestPlant.Planner)).Roles);
        await plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.OtherInspector.Person, "left"), null, default);
        Assert.Equal(["planner"], (await Now(plant, TestPlant.Planner)).Roles);
    }

    [Theory, OnBoth]
    public async Task What_is_typed_wrongly_is_told_with_where_found_and_expected(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var acts = plant.Get<DelegationActs>();
        async Task<string> Fault(Func<Task> act) => string.Join("; ", (await plant.LeavesNothing<BadInputException>(act)).Faults);
        Assert.Equal("from: found 2026-03-01, expected 2026-03-02 or a later day: nothing is delegated afterwards", await Fault(() => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, from: "2026-03-01")));
        Assert.Equal("until: found 2026-03-01, expected 2026-03-02 or a later day", await Fault(() => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, until: "2026-03-01")));
        Assert.Equal("hold point: found 'H99', expected one of J1, J2, H1, S1, S2, W1", await Fault(() => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, holds: "H99")));
        Assert.Equal("what is delegated: found nothing, expected a role, or hold points", await Fault(() => acts.Delegate(TestPlant.Inspector, new DelegateRequest(TestPlant.Planner.Person, null, [], "2026-03-02", "2026-03-03", "x"), null, default)));
        Assert.Equal("role: found 'painter', expected one of technician, inspector, planner, administrator", await Fault(() => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, role: "painter")));
        Assert.Equal("reason: found nothing, expected a text", await Fault(() => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician, reason: "")));
        await plant.LeavesNothing<NotFoundException>(() => Lend(plant, TestPlant.Inspector, TestPlant.Planner with { Person = "nobody" }));
        await plant.LeavesNothing<NotFoundException>(() => End(plant, TestPlant.Inspector, 7));
        Assert.Equal(DelegationRules.ToSelf, await Refused(plant, () => Lend(plant, TestPlant.Inspector, TestPlant.Inspector)));
        await plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.OtherTechnician.Person, "left"), null, default);
        Assert.Equal(DelegationRules.NoAccess, await Refused(plant, () => Lend(plant, TestPlant.Inspector, TestPlant.OtherTechnician)));
    }
}
