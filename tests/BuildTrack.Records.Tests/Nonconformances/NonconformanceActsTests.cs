using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.Plant;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Nonconformances;

/// <summary>Nonconformances on both databases: numbered, carried on, blocking releases; conceded and printed on the certificate.</summary>
public sealed class NonconformanceActsTests
{
    private static readonly SeenFault Scratch = new("no scratch", "scratch of 40 mm", "company standard", false);

    [Theory, OnBoth]
    public async Task One_is_raised_and_carried_on_until_it_is_closed(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Get<PlantActs>().Set(TestPlant.Administrator, new PlantSettings("Test works", "TST", 1, "Europe/Vienna", 39), null, default);
        await plant.Accepted("N-1");
        var raised = await plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-1", 100, null, null, Scratch, Severity.Minor, " behind the pad "), "k1", default);
        Assert.Equal((39, "raised"), (raised.Number, raised.State));
        Assert.Equal(raised, await plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-1", 100, null, null, Scratch, Severity.Minor, " behind the pad "), "k1", default));
        Assert.Equal(40, (await plant.Get<NonconformanceActs>().Raise(TestPlant.Planner, new RaiseRequest("N-1", null, null, null, Scratch, Severity.Minor, null), null, default)).Number);

        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "N-1"));
        Assert.Equal(NonconformanceRules.Blocks, refused.Rule.Id);
        Assert.Contains("NCR-0039", refused.Rule.Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain("NCR-0040", refused.Rule.Sentence, StringComparison.Ordinal);
        Assert.Contains("NCR-0039", (await plant.Get<MachineReader>().List(default)).Single().Next, StringComparison.Ordinal);

        await Contain(plant, 39);
        await Propose(plant, 39, TestPlant.Inspector, Disposition.Rework);
        refused = await plant.LeavesNothing<RefusedException>(() => Enter(plant, 39, TestPlant.Inspector, NonconformanceAct.Approve));
        Assert.Equal(NonconformanceRules.ProposerAlone, refused.Rule.Id);
        Assert.Equal("disposition approved", (await Enter(plant, 39, TestPlant.OtherInspector, NonconformanceAct.Approve)).State);
        await Enter(plant, 39, TestPlant.Inspector, NonconformanceAct.Action);
        refused = await plant.LeavesNothing<RefusedException>(() => Enter(plant, 39, TestPlant.Inspector, NonconformanceAct.Verify));
        Assert.Equal(NonconformanceRules.OwnAction, refused.Rule.Id);
        await Enter(plant, 39, TestPlant.OtherInspector, NonconformanceAct.Verify);
        Assert.Equal("closed", (await Enter(plant, 39, TestPlant.OtherInspector, NonconformanceAct.Close)).State);

        var closed = await plant.Get<NonconformanceReader>().Get(39, default);
        Assert.Equal(
            [NonconformanceAct.Contain, NonconformanceAct.Propose, NonconformanceAct.Approve, NonconformanceAct.Action, NonconformanceAct.Verify, NonconformanceAct.Close], closed.Entries.Select(e => e.Act));
        Assert.Equal(("behind the pad", "red 7", TestPlant.OtherInspector.Person), (closed.Note, closed.Entries[0].Detail.Containment!.Tag, closed.Entries[^1].Person));
        Assert.Equal("H1", (await plant.Release(TestPlant.Inspector, "N-1")).Hold);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_rejected_line_is_conceded_released_under_the_concession_and_certified_so(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var hash = await Beyond(plant, "N-2");
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "N-2"));
        Assert.Equal(ReleaseRules.NotAccepted, refused.Rule.Id);
        await plant.LeavesNothing<ChangedMeanwhileException>(() => plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-2", null, Line, new string('0', 64), null, Severity.Major, null), null, default));
        var number = (await plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-2", null, Line, hash, null, Severity.Major, null), null, default)).Number;
        var of = await plant.Get<NonconformanceReader>().Get(number, default);
        Assert.Equal((100, hash, true), (of.Step!.Value, of.Result!.EvaluationHash, of.FromContract));
        Assert.Equal("at most 13.0 µm, contract annex 2, edition B", of.Required);
        refused = await plant.LeavesNothing<RefusedException>(() => plant.Get<NonconformanceActs>().Raise(TestPlant.Inspector, new RaiseRequest("N-2", null, Line, null, null, Severity.Major, null), null, default));
        Assert.Equal(NonconformanceRules.RaisedAlready, refused.Rule.Id);

        await Contain(plant, number);
        await Propose(plant, number, TestPlant.OtherInspector, Disposition.Concession);
        await Enter(plant, number, TestPlant.OtherInspector, NonconformanceAct.Approve);
        Assert.Null((await Enter(plant, number, TestPlant.Administrator, NonconformanceAct.Approve)).Concession);
        var receipt = await Enter(plant, number, TestPlant.Planner, NonconformanceAct.Consent);
        Assert.Equal(("CON-0001", "disposition approved"), (receipt.Concession, receipt.State));

        var released = await plant.Release(TestPlant.Inspector, "N-2");
        Assert.Equal(["CON-0001"], released.UnderConcession!.Value);
        var record = CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText(released.Certificate!, 1, default))!);
        var printed = Assert.Single(record.Concessions!.Value);
        Assert.Equal(("CON-0001", "NCR-0001", "use under concession", "as said", hash), (printed.Number, printed.Nonconformance, printed.Kind, printed.Text, printed.Result!.EvaluationHash));
        Assert.Equal([(TestPlant.OtherInspector.Person, "inspector"), (TestPlant.Administrator.Person, "administrator")], printed.Approvals.Select(a => (a.Person, a.Roles)));
        Assert.Equal(("Hollis Brandt-Leigh", "letter 12", TestPlant.Planner.Person), (printed.Consent!.Person, printed.Consent.Letter, printed.Consent.RecordedBy));
        Assert.All(printed.Approvals.Select(a => a.Person).Append(TestPlant.Planner.Person), p => Assert.True(record.People.ContainsKey(p), p));
        Assert.Empty(record.OpenPunch!.Value);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_concession_does_not_reach_a_worse_measurement(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await Beyond(plant, "N-3");
        var number = (await plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-3", null, Line, null, null, Severity.Major, null), null, default)).Number;
        await Contain(plant, number);
        await Propose(plant, number, TestPlant.OtherInspector, Disposition.Concession);
        await Enter(plant, number, TestPlant.OtherInspector, NonconformanceAct.Approve);
        await Enter(plant, number, TestPlant.Administrator, NonconformanceAct.Approve);
        await Enter(plant, number, TestPlant.Planner, NonconformanceAct.Consent);
        await plant.ChangeBed("N-3");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("N-3", "crossing-heights"), [.. TestPlant.Crossing.Select((h, i) => i == 0 ? "9" : h)]);
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "N-3"));
        Assert.Equal(ReleaseRules.BeyondConcession, refused.Rule.Id);
        Assert.Contains("CON-0001 concedes 15.0 µm", refused.Rule.Sentence, StringComparison.Ordinal);
        await plant.ChangeBed("N-3");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("N-3", "crossing-heights"), TestPlant.Crossing);
        Assert.Equal(["CON-0001"], (await plant.Release(TestPlant.Inspector, "N-3")).UnderConcession!.Value);
    }

    [Fact]
    public async Task What_is_raised_or_entered_wrongly_is_told_all_at_once()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Accepted("N-4");
        var acts = plant.Get<NonconformanceActs>();
        var bad = await plant.LeavesNothing<BadInputException>(() => acts.Raise(TestPlant.Technician, new RaiseRequest("N-4", 95, null, null, new SeenFault("", " ", "", false), null, null), null, default));
        Assert.Equal(["required", "found", "where it is required", "severity", "step"], bad.Faults.Select(f => f.Where));
        bad = await plant.LeavesNothing<BadInputException>(() => acts.Raise(TestPlant.Technician, new RaiseRequest("N-4", 90, "100-01", null, Scratch, Severity.Minor, null), null, default));
        Assert.Equal(["nonconformance", "line", "step"], bad.Faults.Select(f => f.Where));
        bad = await plant.LeavesNothing<BadInputException>(() => acts.Raise(TestPlant.Technician, new RaiseRequest("N-4", null, null, null, null, Severity.Minor, null), null, default));
        Assert.Equal(["nonconformance"], bad.Faults.Select(f => f.Where));
        var refused = await plant.LeavesNothing<RefusedException>(() => acts.Raise(TestPlant.Technician, new RaiseRequest("N-4", null, "100-02", null, null, Severity.Minor, null), null, default));
        Assert.Equal(NonconformanceRules.NotFailed, refused.Rule.Id);
        await plant.LeavesNothing<NotFoundException>(() => acts.Raise(TestPlant.Technician, new RaiseRequest("N-9", null, null, null, Scratch, Severity.Minor, null), null, default));

        var number = (await acts.Raise(TestPlant.Technician, new RaiseRequest("N-4", null, null, null, Scratch, Severity.Minor, null), null, default)).Number;
        bad = await plant.LeavesNothing<BadInputException>(() => acts.Do(TestPlant.Technician, new NonconformanceRequest(number, NonconformanceAct.Contain, "", new Containment("", "bay", ["N-4", "N-9"]), CauseCategory.Method), null, default));
        Assert.Equal(["text", "cause", "tag", "other machine to stop", "other machine to stop"], bad.Faults.Select(f => f.Where));
        bad = await plant.LeavesNothing<BadInputException>(() => acts.Do(TestPlant.Inspector, new NonconformanceRequest(number, NonconformanceAct.Propose, "x", null, null, null, new CustomerConsent("", "")), null, default));
        Assert.Equal(["cause", "disposition", "consent", "customer's person", "letter"], bad.Faults.Select(f => f.Where));
        await plant.LeavesNothing<NotFoundException>(() => Enter(plant, 77, TestPlant.Inspector, NonconformanceAct.Close));
        refused = await plant.LeavesNothing<RefusedException>(() => Enter(plant, number, TestPlant.Inspector, NonconformanceAct.Close));
        Assert.Equal(NonconformanceRules.NotInThisState, refused.Rule.Id);
    }

    [Theory, OnBoth]
    public async Task The_punch_list_blocks_with_class_A_and_is_printed_with_B_and_C(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("N-5");
        var acts = plant.Get<PunchActs>();
        Assert.Equal(1, (await acts.Add(TestPlant.Inspector, new AddPunchRequest("N-5", "guard is loose", PunchClass.A, TestPlant.Technician.Person, false, "2026-03-20"), null, default)).No);
        Assert.Equal(2, (await acts.Add(TestPlant.Inspector, new AddPunchRequest("N-5", "label missing", PunchClass.C, "the painter", true, "2026-04-01"), null, default)).No);
        var released = await plant.Release(TestPlant.Inspector, "N-5");
        Assert.Null(released.Certificate);
        Assert.Contains("R-PUNCH-04", released.Blocked, StringComparison.Ordinal);
        var issue = new Records.Releases.IssueRequest("N-5", "bed", TestPlant.Password);
        await plant.LeavesNothing<RefusedException>(() => plant.Get<CertificateActs>().Issue(TestPlant.Inspector, issue, null, default));

        var refused = await plant.LeavesNothing<RefusedException>(() => acts.Close(TestPlant.Technician, new ClosePunchRequest("N-5", 1, "fixed", null), null, default));
        Assert.Equal(PunchRules.OwnItem, refused.Rule.Id);
        refused = await plant.LeavesNothing<RefusedException>(() => acts.ChangeClass(TestPlant.Inspector, new ChangePunchClassRequest("N-5", 1, PunchClass.A, "why"), null, default));
        Assert.Equal(PunchRules.SameClass, refused.Rule.Id);
        await acts.ChangeClass(TestPlant.Inspector, new ChangePunchClassRequest("N-5", 1, PunchClass.B, "screwed, still to be glued"), null, default);
        var certificate = await plant.Get<CertificateActs>().Issue(TestPlant.Inspector, issue, null, default);
        var record = CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText(certificate.Certificate!, 1, default))!);
        Assert.Equal([(1, "B", "guard is loose", TestPlant.Technician.Person, "2026-03-20"), (2, "C", "label missing", "the painter", "2026-04-01")], record.OpenPunch!.Value.Select(i => (i.No, i.Class, i.Text, i.Owner, i.Due)));

        var file = await plant.Get<SurveyActs>().KeepFile(TestPlant.Technician, "guard.jpg", "image/jpeg", new byte[] { 1, 2, 3 }, null, default);
        await acts.Close(TestPlant.OtherTechnician, new ClosePunchRequest("N-5", 1, "glued", file), null, default);
        refused = await plant.LeavesNothing<RefusedException>(() => acts.Close(TestPlant.Inspector, new ClosePunchRequest("N-5", 1, "again", null), null, default));
        Assert.Equal(PunchRules.ClosedAlready, refused.Rule.Id);
        var item = (await plant.Machine("N-5")).Punch[0];
        Assert.Equal((PunchClass.B, "glued", file), (item.Class, item.Closed!.Text, item.Closed.FileHash));
        await plant.Sound();
    }

    [Fact]
    public async Task Faults_of_a_punch_item_are_told_all_at_once()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("N-6");
        var acts = plant.Get<PunchActs>();
        var bad = await plant.LeavesNothing<BadInputException>(() => acts.Add(TestPlant.Inspector, new AddPunchRequest("N-6", "", null, "nobody", false, "soon"), null, default));
        Assert.Equal(["text", "class", "due", "owner"], bad.Faults.Select(f => f.Where));
        await acts.Add(TestPlant.Inspector, new AddPunchRequest("N-6", "label", PunchClass.C, "the painter", true, "2026-04-01"), null, default);
        bad = await plant.LeavesNothing<BadInputException>(() => acts.Close(TestPlant.Inspector, new ClosePunchRequest("N-6", 1, "", new string('0', 64)), null, default));
        Assert.Equal(["evidence", "file"], bad.Faults.Select(f => f.Where));
        bad = await plant.LeavesNothing<BadInputException>(() => acts.ChangeClass(TestPlant.Inspector, new ChangePunchClassRequest("N-6", 1, null, ""), null, default));
        Assert.Equal(["reason", "class"], bad.Faults.Select(f => f.Where));
        await plant.LeavesNothing<NotFoundException>(() => acts.Close(TestPlant.Inspector, new ClosePunchRequest("N-6", 7, "done", null), null, default));
    }

    [Theory, OnBoth]
    public async Task One_raised_after_the_release_blocks_the_certificate(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("N-7");
        await plant.Release(TestPlant.Inspector, "N-7");
        await plant.Get<CertificateActs>().Void(TestPlant.Inspector, new Records.Releases.VoidRequest("TST-2026-0001", 1, "typing error", TestPlant.Password), null, default);
        await plant.Get<NonconformanceActs>().Raise(TestPlant.Technician, new RaiseRequest("N-7", 100, null, null, Scratch, Severity.Minor, null), null, default);
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Get<CertificateActs>().Issue(TestPlant.Inspector, new Records.Releases.IssueRequest("N-7", "bed", TestPlant.Password), null, default));
        Assert.Contains("NCR-0001", refused.Rule.Sentence, StringComparison.Ordinal);
        Assert.NotNull((await plant.Machine("N-7")).StandingOfHold((await plant.Machine("N-7")).Revision.Holds.Single(h => h.Id == "H1")).Released);
    }

    /// <summary>The crossing of 15.0 µm against 13 µm that the order asks for; its limit is the contract's.</summary>
    private const string Line = "100-03";

    private static async Task<string> Beyond(TestPlant plant, string serial)
    {
        await plant.Order(serial, "TST-3C", order: [new OrderTerm("crossing-flatness", new Amount(13, "µm"), null, null, null, "contract annex 2", "B", TestPlant.Administrator.Person, "asked by the customer")]);
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin(serial, "crossing-heights"), TestPlant.Crossing);
        return (await plant.Machine(serial)).EvaluationOf(Line)!.Hash;
    }

    private static Task<NonconformanceReceipt> Contain(TestPlant plant, int number) => plant.Get<NonconformanceActs>().Do(
        TestPlant.Technician, new NonconformanceRequest(number, NonconformanceAct.Contain, "as said", new Containment("red 7", "bay 2", [])), null, default);

    private static Task<NonconformanceReceipt> Propose(TestPlant plant, int number, Caller who, Disposition disposition) => plant.Get<NonconformanceActs>().Do(
        who, new NonconformanceRequest(number, NonconformanceAct.Propose, "as said", null, CauseCategory.Method, disposition), null, default);

    private static Task<NonconformanceReceipt> Enter(TestPlant plant, int number, Caller who, NonconformanceAct act) => plant.Get<NonconformanceActs>().Do(
        who, new NonconformanceRequest(number, act, "as said", Consent: act == NonconformanceAct.Consent ? new CustomerConsent("Hollis Brandt-Leigh", "letter 12") : null), null, default);
}
