using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Disclosure;

/// <summary>Agreeing a disclosure list, freezing it at its hold point, revising it, and the copies of certificates, in both databases.</summary>
public sealed class DisclosureActsTests
{
    private const string Serial = "L-1";
    private static readonly DisclosureList First = new(["90-01"], true, false, false, false);
    private static readonly DisclosureList Second = new([], true, true, false, true);

    private static async Task<ActReceipt> Set(TestPlant plant, DisclosureList list, Caller? who = null, Approval? approval = null, string agreedWith = "Ada Buyer, annex 4", string? key = null, long? version = null) =>
        await plant.Get<DisclosureActs>().Set(
            who ?? TestPlant.Administrator, new SetDisclosureRequest(Serial, list, agreedWith, version ?? (await plant.Machine(Serial)).Version, approval), key, default);

    private static Approval By(Caller second, string? reason = "the customer asked", string password = TestPlant.Password) => new(second.Person, password, reason);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    private static async Task Release(TestPlant plant)
    {
        var machine = await plant.Machine(Serial);
        await plant.Get<ReleaseActs>().ReleaseSheet(
            TestPlant.Inspector, new ReleaseSheetRequest(Serial, [new("J1", machine.SheetHash("J1")), new("J2", machine.SheetHash("J2"))], TestPlant.Password), null, default);
        await plant.Get<OutboxWorker>().Drain(default);
    }

    [Theory, OnBoth]
    public async Task A_list_is_set_while_its_point_is_open_and_the_certificate_keeps_it(Database on)
    {
        await using var plant = await TestPlant.MakeWithAnsweredLists(on, Serial);
        Assert.Equal(DisclosureRules.UnknownLine, await Refused(plant, () => Set(plant, First with { Readings = ["90-01", "999-1"] })));
        Assert.Equal(DisclosureRules.SameList, await Refused(plant, () => Set(plant, new DisclosureList([], false, false, false, false))));
        await plant.LeavesNothing<NotAllowedException>(() => Set(plant, First, TestPlant.Planner));
        await plant.LeavesNothing<ChangedMeanwhileException>(() => Set(plant, First, version: 1));
        Assert.Equal("agreed with", (await plant.LeavesNothing<BadInputException>(() => Set(plant, First, agreedWith: " "))).Faults.Single().Where);
        Assert.Equal("readings", (await plant.LeavesNothing<BadInputException>(() => Set(plant, First with { Readings = ["all", "90-01"] }))).Faults.Single().Where);

        var version = (await plant.Machine(Serial)).Version;
        var receipt = await Set(plant, First, key: "once", version: version);
        Assert.Equal(receipt, await Set(plant, First, key: "once", version: version));
        Assert.Equal(DisclosureRules.SameList, await Refused(plant, () => Set(plant, First)));
        await Set(plant, Second);
        await Set(plant, First with { Readings = ["90-02"] });
        Assert.Equal([1, 2, 3], (await plant.Machine(Serial)).DisclosureRevisions.Select(r => r.Revision));

        await Release(plant);
        var certificates = plant.Get<CertificateReader>();
        var full = (await certificates.RecordText("TST-2026-0001", 1, default))!;
        var agreed = CanonicalJson.Read<CertificateRecord>(full).Disclosure!;
        Assert.Equal((3, "J1", "90-02", TestPlant.Administrator.Person, 32), (agreed.Revision, agreed.Point, agreed.List.Readings.Single(), agreed.RecordedBy, agreed.Salt!.Length));
        Assert.Equal([full, CustomersCopy.TextOf(full)], plant.Renderer.Rendered);
        Assert.Contains(CustomersCopy.Format, System.Text.Encoding.UTF8.GetString((await certificates.Copy("TST-2026-0001", 1, default))!), StringComparison.Ordinal);
        Assert.NotNull((await certificates.List(default)).Single().CopyHash);
        Assert.NotNull((await plant.Machine(Serial)).Certificates.Single().CopyHash);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Once_its_point_is_released_a_list_changes_only_by_a_revision_of_two_people_and_copies_stay(Database on)
    {
        await using var plant = await TestPlant.MakeWithAnsweredLists(on, Serial);
        await Set(plant, First);
        await Release(plant);
        var certificates = plant.Get<CertificateReader>();
        var before = await certificates.Copy("TST-2026-0001", 1, default);

        Assert.Equal(DisclosureRules.Frozen, await Refused(plant, () => Set(plant, Second)));
        Assert.Equal(DisclosureRules.SamePerson, await Refused(plant, () => Set(plant, Second, approval: By(TestPlant.Administrator))));
        Assert.Equal(DisclosureRules.ApproverMayNot, await Refused(plant, () => Set(plant, Second, approval: By(TestPlant.Inspector))));
        Assert.Equal(ReleaseRules.WrongPassword, await Refused(plant, () => Set(plant, Second, approval: By(TestPlant.OtherAdministrator, password: "not mine at all"))));
        Assert.Equal("reason", (await plant.LeavesNothing<BadInputException>(() => Set(plant, Second, approval: By(TestPlant.OtherAdministrator, reason: " ")))).Faults.Single().Where);

        await Set(plant, Second, approval: By(TestPlant.OtherAdministrator));
        var now = (await plant.Machine(Serial)).Disclosure!;
        Assert.Equal((2, TestPlant.OtherAdministrator.Person, "the customer asked", TestPlant.Administrator.Person), (now.Revision, now.ApprovedBy, now.Reason, now.Person));
        Assert.Equal(CanonicalJson.Of(Second), CanonicalJson.Of(now.List));
        Assert.Equal(0, await plant.Get<OutboxWorker>().Drain(default));
        Assert.Equal(before, await certificates.Copy("TST-2026-0001", 1, default));
        Assert.DoesNotContain(TestPlant.Password, await plant.Dump(), StringComparison.Ordinal);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Without_a_list_and_with_an_empty_one_there_is_no_copy(Database on)
    {
        await using var plant = await TestPlant.MakeWithAnsweredLists(on, Serial);
        await Set(plant, First);
        await Set(plant, new DisclosureList([], false, false, false, false));
        await Release(plant);

        Assert.Null(CanonicalJson.Read<CertificateRecord>(plant.Renderer.Rendered.Single()).Disclosure);
        Assert.DoesNotContain("disclosure", plant.Renderer.Rendered.Single(), StringComparison.OrdinalIgnoreCase);
        Assert.Null(await plant.Get<CertificateReader>().Copy("TST-2026-0001", 1, default));
    }
}
