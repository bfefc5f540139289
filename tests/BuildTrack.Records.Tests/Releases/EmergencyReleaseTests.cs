using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Releases;

/// <summary>Releasing one's own measurement in an emergency, in both databases.</summary>
public sealed class EmergencyReleaseTests
{
    private static readonly Caller Both = TestPlant.Technician with { Roles = ["technician", "inspector"] };

    private static async Task<ReleaseReceipt> Release(
        TestPlant plant, Caller who, Caller second, string reason = "the lorry leaves at noon", string password = TestPlant.Password, string secondPassword = TestPlant.Password, string? key = null) =>
        await plant.Get<ReleaseActs>().Release(
            who, new ReleaseRequest("E-1", TestPlant.H1, password, (await plant.Machine("E-1")).SheetHash(TestPlant.H1), new EmergencyRequest(reason, second.Person, secondPassword)), key, default);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    [Theory, OnBoth]
    public async Task Two_people_sign_and_both_stand_in_the_record_and_on_the_certificate(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("E-1", Both, TestPlant.OtherTechnician.Person);
        Assert.Equal(ReleaseRules.OwnMeasurement, await Refused(plant, () => plant.Release(Both, "E-1")));
        Assert.Equal(ReleaseRules.WrongPassword, await Refused(plant, () => Release(plant, Both, TestPlant.Inspector, password: "not mine at all")));
        Assert.Equal(ReleaseRules.WrongPassword, await Refused(plant, () => Release(plant, Both, TestPlant.Inspector, secondPassword: "not hers at all")));
        Assert.Equal(ReleaseRules.WrongPassword, await Refused(plant, () => Release(plant, Both, TestPlant.Inspector with { Person = "nobody" })));
        Assert.Equal(EmergencyRules.SamePerson, await Refused(plant, () => Release(plant, Both, Both)));
        Assert.Equal(EmergencyRules.ConfirmerMayNot, await Refused(plant, () => Release(plant, Both, TestPlant.OtherTechnician)));
        Assert.Equal(EmergencyRules.ConfirmerMayNot, await Refused(plant, () => Release(plant, Both, TestPlant.Planner)));
        Assert.Equal(EmergencyRules.NotNeeded, await Refused(plant, () => Release(plant, TestPlant.Inspector, TestPlant.OtherInspector)));
        var unsaid = await plant.LeavesNothing<BadInputException>(() => Release(plant, Both, TestPlant.Inspector, reason: " "));
        Assert.Equal("reason: found nothing, expected a text", unsaid.Faults.Single().ToString());
        await plant.LeavesNothing<NotAllowedException>(() => Release(plant, TestPlant.Technician, TestPlant.Inspector));

        var receipt = await Release(plant, Both, TestPlant.Inspector, key: "e-1");
        Assert.Equal((TestPlant.Inspector.Person, "TST-2026-0001"), (receipt.ConfirmedBy, receipt.Certificate));
        var decision = (await plant.Machine("E-1")).StandingOfHold((await plant.Machine("E-1")).Revision.Holds.Single(h => h.Id == TestPlant.H1)).Released!;
        Assert.Equal((Both.Person, TestPlant.Inspector.Person, "the lorry leaves at noon"), (decision.Person, decision.ConfirmedBy, decision.Reason));
        var record = CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText("TST-2026-0001", 1, default))!);
        var release = Assert.Single(record.Releases);
        Assert.Equal((Both.Person, true, "the lorry leaves at noon", TestPlant.Inspector.Person), (release.Person, release.Measured, release.Reason, release.ConfirmedBy));
        Assert.Equal("Ina Inspect", record.People[TestPlant.Inspector.Person].Name);
        Assert.DoesNotContain(TestPlant.Password, await plant.Dump(), StringComparison.Ordinal);
        await plant.Sound();
    }

    /// <summary>The rule is changed by an approved edition with a reason, and holds for machines under that edition alone.</summary>
    [Theory, OnBoth]
    public async Task An_edition_that_allows_it_is_approved_with_a_reason_and_the_certificate_says_so(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("OLD-1", Both);
        var files = TestPlant.Files();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: O\nown-measurements: allowed", StringComparison.Ordinal);
        var acts = plant.Get<ChecklistActs>();
        var loaded = await acts.Load(TestPlant.Administrator, files, null, default);
        Assert.Equal("R-CHECKLIST-03", await Refused(plant, () => acts.Approve(TestPlant.Administrator, loaded.Subject, null, default)));
        await acts.Approve(TestPlant.Administrator, new ApproveChecklistsRequest(loaded.Subject, null, "a shop of three"), null, default);
        await plant.Accepted("E-1", Both);
        var receipt = await plant.Release(Both, "E-1");
        var release = Assert.Single(CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText(receipt.Certificate!, 1, default))!).Releases);
        Assert.Equal((true, (string?)null, (string?)null), (release.Measured, release.Reason, release.ConfirmedBy));
        Assert.Equal(ReleaseRules.OwnMeasurement, await Refused(plant, () => plant.Release(Both, "OLD-1")));
    }
}
