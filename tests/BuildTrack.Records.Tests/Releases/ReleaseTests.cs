using System.Globalization;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Releases;

/// <summary>Passing a hold point: who may, when, and what is taken with it.</summary>
public sealed class ReleaseTests
{
    private static readonly Caller Both = TestPlant.Technician with { Roles = ["technician", "inspector"] };

    [Theory, OnBoth]
    public async Task A_release_takes_number_record_and_promise_to_render_with_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-1", TestPlant.Technician, TestPlant.OtherTechnician.Person);
        var sheet = (await plant.Machine("R-1")).SheetHash("H1");
        var receipt = await plant.Release(TestPlant.Inspector, "R-1");
        Assert.Equal(("H1", "TST-2026-0001", 1, (string?)null), (receipt.Hold, receipt.Certificate, receipt.Issue!.Value, receipt.Blocked));
        Assert.Equal(1L, await plant.Count("Outbox"));
        var machine = await plant.Machine("R-1");
        var decision = machine.Decisions.Single();
        Assert.Equal((HoldDecisionKind.Released, TestPlant.Inspector.Person, sheet, receipt.Sequence), (decision.Kind, decision.Person, decision.Sheet, decision.Act));
        Assert.Equal([machine.EvaluationOf("100-02")!.Hash], decision.Evaluations);
        Assert.Equal(CertificateStage.Numbered, machine.Certificates.Single().Stage);

        var record = Domain.Canonical.CanonicalJson.Read<Domain.Certificates.CertificateRecord>((await plant.Get<CertificateReader>().RecordText("TST-2026-0001", 1, default))!);
        Assert.Equal("2 Mar 2026 09:00:00 +01:00", record.IssuedLocal);
        Assert.Equal(
            [TestPlant.OtherAdministrator.Person, TestPlant.Inspector.Person, TestPlant.OtherTechnician.Person, TestPlant.Technician.Person], record.People.Keys);
        Assert.Equal(receipt.Sequence - 1, record.History.Sequence);
        Assert.Equal(await plant.Scalar(FormattableString.Invariant($"SELECT \"Hash\" FROM \"Acts\" WHERE \"Sequence\" = {record.History.Sequence}")), record.History.Hash);
        await plant.Sound();
    }

    [Theory, OnBoth("person", "helper", "discarder", "corrector", "contacts", "replaced measurement")]
    public async Task Whoever_had_a_hand_in_the_measurement_does_not_release_it(Database on, string hand)
    {
        await using var plant = await TestPlant.Make(on);
        var surveys = plant.Get<SurveyActs>();
        switch (hand)
        {
            case "person":
                await plant.Accepted("OWN", Both);
                break;
            case "helper":
                await plant.Accepted("OWN", TestPlant.OtherTechnician, Both.Person);
                break;
            case "discarder":
                var thrown = await plant.Accepted("OWN", TestPlant.OtherTechnician);
                await surveys.Discard(Both, new DiscardRequest("OWN", thrown.Run, "door stood open"), null, default);
                await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("OWN"), TestPlant.Triangle);
                break;
            case "corrector":
                await plant.Accepted("OWN", TestPlant.OtherTechnician);
                var reading = (await plant.Machine("OWN")).Measurements.Single().Runs.Single().Readings[0];
                await surveys.Correct(Both, new CorrectRequest("OWN", reading.Id, "-4.1", null, "scale"), null, default);
                break;
            case "contacts":
                await plant.Order("OWN");
                await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("OWN"), [.. TestPlant.Triangle.Select(h => h == "9" ? "16" : h)]);
                var asked = (await plant.Machine("OWN")).EvaluationOf("100-02")!.Record.Result.Next;
                Assert.Equal(Domain.Evaluating.NextKind.MeasureAllAgain, asked.Kind);
                var again = await plant.Begin(Both, TestPlant.ToBegin("OWN", kind: RunKind.ContactsAgain, proves: "100-02"));
                await plant.Record(Both, TestPlant.ToRecord("OWN", again.Run, asked.Places.Select(p => (p.Place, "z", "0"))));
                await plant.Finish(Both, "OWN", again.Run);
                await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("OWN"), "0", "0", "0", "0", "0", "0", "0", "0", "0");
                break;
            default:
                await plant.Accepted("OWN", Both);
                await plant.ChangeBed("OWN");
                await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("OWN"), TestPlant.Triangle);
                break;
        }

        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(Both, "OWN"));
        Assert.Equal(ReleaseRules.OwnMeasurement, refused.Rule.Id);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "OWN")).Certificate);
    }

    [Theory, OnBoth]
    public async Task A_wrong_password_releases_nothing_and_five_of_them_shut_the_account_for_a_minute(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-2");
        for (var i = 0; i < 5; i++)
        {
            Assert.Equal(ReleaseRules.WrongPassword, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-2", password: "wrong password"))).Rule.Id);
        }

        var shut = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-2"));
        Assert.Contains("wait a minute", shut.Rule.Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain(TestPlant.Password, await plant.Dump(), StringComparison.Ordinal);
        plant.Clock.Advance(TimeSpan.FromMinutes(1));
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "R-2")).Certificate);
    }

    [Theory, OnBoth]
    public async Task A_person_without_access_does_not_release_even_with_the_right_password(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-3");
        await plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.Inspector.Person, "left"), null, default);
        Assert.Equal(ReleaseRules.WrongPassword, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-3"))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task A_sheet_that_changed_since_it_was_seen_is_refused(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-4");
        var seen = (await plant.Machine("R-4")).SheetHash("H1");
        await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("R-4"), TestPlant.Triangle);
        var changed = await plant.LeavesNothing<ChangedMeanwhileException>(() => plant.Release(TestPlant.Inspector, "R-4", sheet: seen));
        Assert.Equal((seen, (await plant.Machine("R-4")).SheetHash("H1")), (changed.Seen, changed.Current));
        await plant.LeavesNothing<ChangedMeanwhileException>(() => plant.Get<ReleaseActs>().Return(TestPlant.Inspector, new ReturnRequest("R-4", "H1", "why", seen), null, default));
    }

    [Theory, OnBoth]
    public async Task Results_under_checklists_that_nobody_approved_are_not_released(Database on)
    {
        await using var plant = await TestPlant.MakeEmpty(on);
        await plant.Get<Storage.Migrator>().Run(default);
        var first = plant.Get<FirstStart>();
        await first.CreateAdministrator(first.Code, TestPlant.Administrator.Person, "Ada", TestPlant.Password, default);
        await plant.Get<PeopleActs>().AddPerson(TestPlant.Administrator, new AddPersonRequest(TestPlant.Inspector.Person, "Ina", TestPlant.Password, ["inspector"]), null, default);
        await plant.Get<Instruments.InstrumentActs>().Register(TestPlant.Administrator, new Instruments.RegisterInstrumentRequest(TestPlant.Instrument("HGT-01", "height", "µm", "small difference", "2 µm")), null, default);
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, AllActsEdition(), null, default);
        await plant.Accepted("R-5");
        Assert.Equal(ReleaseRules.NotApproved, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-5"))).Rule.Id);
        await plant.Get<ChecklistActs>().Approve(TestPlant.Administrator, loaded.Subject, null, default);

        // The plant is not set: released, but no certificate yet; it is issued once the plant is known.
        var receipt = await plant.Release(TestPlant.Inspector, "R-5");
        Assert.Null(receipt.Certificate);
        Assert.StartsWith("the plant's name, prefix and time zone are not set", receipt.Blocked, StringComparison.Ordinal);
        await plant.Get<Records.Plant.PlantActs>().Set(TestPlant.Administrator, new Records.Plant.PlantSettings("Works", "W", 7, "Europe/Vienna"), null, default);
        Assert.Equal("W-2026-0007", (await plant.Get<CertificateActs>().Issue(TestPlant.Inspector, new IssueRequest("R-5", "bed", TestPlant.Password), null, default)).Certificate);
        await plant.Sound();

        static IReadOnlyDictionary<string, string> AllActsEdition() => Acts.AllActs.OtherEdition();
    }

    [Theory, OnBoth]
    public async Task An_open_run_and_a_result_that_is_not_accepted_stand_against_a_release(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("R-6");
        Assert.Equal(ReleaseRules.NotAccepted, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-6"))).Rule.Id);
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("R-6"), TestPlant.Triangle);
        await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("R-6"));
        Assert.Equal(ReleaseRules.RunOpen, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-6"))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task What_was_returned_is_not_released_until_something_was_recorded(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("R-7");
        async Task<ActReceipt> Return(string reason = "pad 4 looks odd") => await plant.Get<ReleaseActs>().Return(
            TestPlant.Inspector, new ReturnRequest("R-7", "H1", reason, (await plant.Machine("R-7")).SheetHash("H1")), null, default);
        Assert.Equal(ReleaseRules.NothingToReturn, (await plant.LeavesNothing<RefusedException>(() => Return())).Rule.Id);
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("R-7"), TestPlant.Triangle);
        await plant.LeavesNothing<BadInputException>(() => Return(" "));
        await Return();
        Assert.Equal(ReleaseRules.NothingSinceReturn, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "R-7"))).Rule.Id);
        Assert.Equal("H1 returned: pad 4 looks odd", (await plant.Get<MachineReader>().List(default)).Single().Next);
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("R-7"), TestPlant.Triangle);
        Assert.Equal("release of H1", (await plant.Get<MachineReader>().List(default)).Single().Next);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "R-7")).Certificate);
        Assert.Equal(ReleaseRules.AlreadyReleased, (await plant.LeavesNothing<RefusedException>(() => Return())).Rule.Id);
        Assert.Equal(ReleaseRules.AlreadyReleased, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.OtherInspector, "R-7"))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task Nothing_released_is_editable(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var begun = await plant.Accepted("R-8");
        await plant.Order("R-8-OPEN");
        var reading = (await plant.Machine("R-8")).Measurements.Single().Runs.Single().Readings[0].Id;
        await plant.Release(TestPlant.Inspector, "R-8");
        var surveys = plant.Get<SurveyActs>();
        var version = (await plant.Machine("R-8")).Version;
        var term = new Domain.Checklists.OrderTerm("triangle-flatness", new Amount(40m, "µm"), null, null, null, "wish", "A", "x", "y");
        var file = new byte[] { 1 };
        (string Rule, Func<Task> Act)[] tries =
        [
            ("R-RUN-01", () => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("R-8"))),
            ("R-RUN-01", () => plant.Begin(TestPlant.Inspector, TestPlant.ToBegin("R-8", kind: RunKind.ContactsAgain, proves: "100-02"))),
            ("R-RUN-01", () => plant.Record(TestPlant.Technician, TestPlant.ToRecord("R-8", begun.Run, ("P1", "z", "1")))),
            ("R-RUN-01", () => surveys.Preview(TestPlant.Technician, "R-8", begun.Run, "a.csv", file, default)),
            ("R-RUN-01", () => surveys.Correct(TestPlant.Inspector, new CorrectRequest("R-8", reading, "1", null, "why"), null, default)),
            ("R-RUN-01", () => surveys.Discard(TestPlant.Inspector, new DiscardRequest("R-8", begun.Run, "why"), null, default)),
            ("R-RUN-01", () => plant.Finish(TestPlant.Technician, "R-8", begun.Run)),
            ("R-ORDER-03", () => plant.Get<MachineActs>().ChangeOrder(TestPlant.Administrator, new ChangeOrderRequest("R-8", [term], version), null, default)),
            (ReleaseRules.AlreadyReleased, () => plant.Release(TestPlant.OtherInspector, "R-8")),
            (ReleaseRules.AlreadyReleased, async () => await plant.Get<ReleaseActs>().Return(TestPlant.Inspector, new ReturnRequest("R-8", "H1", "why", (await plant.Machine("R-8")).SheetHash("H1")), null, default)),
            ("R-CERTIFICATE-01", () => plant.Get<CertificateActs>().Issue(TestPlant.Inspector, new IssueRequest("R-8", "bed", TestPlant.Password), null, default)),
        ];
        foreach (var (rule, act) in tries)
        {
            Assert.Equal(rule, (await plant.LeavesNothing<RefusedException>(act)).Rule.Id);
        }
    }

    [Theory, OnBoth]
    public async Task An_act_on_the_bed_ends_a_release_and_measuring_anew_does_not_bring_it_back(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-9");
        await plant.Release(TestPlant.Inspector, "R-9");
        await plant.Get<OutboxWorker>().Drain(default);
        await plant.ChangeBed("R-9");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("R-9"));
        var machine = await plant.Machine("R-9");
        Assert.Null(machine.StandingOfHold(machine.Revision.Holds.Single(h => h.Id == "H1")).Released);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("R-9", begun.Run, TestPlant.Heights(TestPlant.Triangle)));
        await plant.Finish(TestPlant.Technician, "R-9", begun.Run);
        plant.Clock.Advance(TimeSpan.FromDays(400));
        var receipt = await plant.Release(TestPlant.OtherInspector, "R-9");

        // The number stays with the machine's scope, also in another year.
        Assert.Equal(("TST-2026-0001", 2), (receipt.Certificate, receipt.Issue!.Value));
        Assert.Equal(1, await plant.Get<OutboxWorker>().Drain(default));
        var record = Domain.Canonical.CanonicalJson.Read<Domain.Certificates.CertificateRecord>((await plant.Get<CertificateReader>().RecordText("TST-2026-0001", 2, default))!);
        Assert.Equal("Amendment: replaces issue 1 of 2026-03-02, after Surface milled again: 0.17 mm off.", record.Supersedes);
        Assert.Equal(("triangle-heights", 1, "Surface milled again: 0.17 mm off"), (record.Replaced.Single().Survey, record.Replaced.Single().No, record.Replaced.Single().Because));
        Assert.Equal([2, 1], (await plant.Get<CertificateReader>().List(default)).Select(c => c.Issue));
        await plant.Sound();
    }

    /// <summary>Each row is a table that a release writes; the last is the head row's hash, the last statement before the commit.</summary>
    [Theory, OnBoth("HoldDecisions", "Numbers", "Certificates", "Outbox", "Machines", "Acts", "Head")]
    public async Task A_fault_before_the_commit_leaves_neither_release_nor_number_nor_promise(Database on, string table)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("R-10");
        var (when, of) = table switch
        {
            "Machines" => ("UPDATE", ""),
            "Head" => ("UPDATE", " OF \"Hash\""),
            _ => ("INSERT", ""),
        };
        await plant.Execute(on == Database.Sqlite
            ? $"CREATE TRIGGER planted AFTER {when}{of} ON \"{table}\" BEGIN SELECT RAISE(ABORT, 'planted fault'); END"
            : $"""
              CREATE FUNCTION planted() RETURNS trigger AS $$ BEGIN RAISE EXCEPTION 'planted fault'; END $$ LANGUAGE plpgsql;
              CREATE TRIGGER planted AFTER {when}{of} ON "{table}" FOR EACH ROW EXECUTE FUNCTION planted();
              """);
        var before = await plant.Dump();
        var error = await Assert.ThrowsAnyAsync<Exception>(() => plant.Release(TestPlant.Inspector, "R-10", "a key"));
        Assert.Contains("planted fault", error.ToString(), StringComparison.Ordinal);
        Assert.Equal(before, await plant.Dump());

        await plant.Execute(on == Database.Sqlite ? "DROP TRIGGER planted" : $"DROP TRIGGER planted ON \"{table}\"");
        Assert.Equal("TST-2026-0001", (await plant.Release(TestPlant.Inspector, "R-10", "a key")).Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Numbers_have_no_gap_and_begin_anew_with_the_plants_year(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        (string Serial, DateTimeOffset At, string Number)[] releases =
        [
            ("Y-1", new(2026, 12, 31, 22, 59, 59, TimeSpan.Zero), "TST-2026-0001"),
            // Midnight in Vienna, an hour before UTC's.
            ("Y-2", new(2026, 12, 31, 23, 0, 0, TimeSpan.Zero), "TST-2027-0001"),
            ("Y-3", new(2026, 12, 31, 23, 30, 0, TimeSpan.Zero), "TST-2027-0002"),
            // The clock was set back: the number still follows the last one of its year.
            ("Y-4", new(2026, 12, 31, 22, 30, 0, TimeSpan.Zero), "TST-2026-0002"),
            ("Y-5", new(2027, 1, 1, 0, 30, 0, TimeSpan.Zero), "TST-2027-0003"),
        ];
        foreach (var (serial, at, number) in releases)
        {
            await plant.Accepted(serial);
            plant.Clock.Now = at;
            await Assert.ThrowsAsync<RefusedException>(() => plant.Release(TestPlant.Inspector, serial, password: "wrong password"));
            Assert.Equal(number, (await plant.Release(TestPlant.Inspector, serial)).Certificate);
        }
    }

    [Theory, OnBoth]
    public async Task Forty_releases_at_once_from_two_servers_take_forty_consecutive_numbers(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        const int Machines = 40;
        string Serial(int i) => string.Create(CultureInfo.InvariantCulture, $"P-{i:00}");
        for (var i = 0; i < Machines; i++)
        {
            await plant.Accepted(Serial(i));
        }

        var servers = new IServiceProvider[] { plant.Services, plant.Server() };
        var next = -1;
        var receipts = new ReleaseReceipt[Machines];
        await Task.WhenAll(Enumerable.Range(0, 4).Select(worker => Task.Run(async () =>
        {
            while (Interlocked.Increment(ref next) is var i && i < Machines)
            {
                receipts[i] = await plant.Release(TestPlant.Inspector, Serial(i), server: servers[worker % 2]);
            }
        })));

        Assert.Equal(Enumerable.Range(1, Machines).Select(i => string.Create(CultureInfo.InvariantCulture, $"TST-2026-{i:0000}")), receipts.Select(r => r.Certificate).Order(StringComparer.Ordinal));
        Assert.Equal(
            receipts.OrderBy(r => r.Sequence).Select(r => r.Certificate), receipts.Select(r => r.Certificate).Order(StringComparer.Ordinal));
        var kept = await Task.WhenAll(servers.Select(s => Task.Run(() => ((OutboxWorker)s.GetService(typeof(OutboxWorker))!).Drain(default))));
        Assert.Equal(Machines, kept.Sum());
        Assert.All(await plant.Get<CertificateReader>().List(default), c => Assert.Equal(CertificateStage.Issued, c.Stage));
        await plant.Sound();
    }
}
