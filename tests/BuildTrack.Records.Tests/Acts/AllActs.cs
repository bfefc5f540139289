using System.Globalization;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.People;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Kits;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.Witnessing;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Route;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Temperatures;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>One sound request for every act, against a machine that is measured and not released.</summary>
internal static class AllActs
{
    public const string Serial = "ALL-1";

    /// <summary>The state in which every request can be asked for: one machine measured, one with an open run.</summary>
    public static async Task<Dictionary<string, Func<Caller, string?, Task<object>>>> On(TestPlant plant)
    {
        var measured = await plant.Accepted(Serial);
        await plant.Order("ALL-2");
        var open = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("ALL-2"));
        await plant.Order("ALL-3");
        var complete = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("ALL-3"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("ALL-3", complete.Run, TestPlant.Heights(TestPlant.Triangle)));
        await plant.Order("ALL-4");
        await plant.Order("ALL-6");
        var machine = await plant.Machine(Serial);
        var reading = machine.Measurements.Single().Runs.Single().Readings[0].Id;
        var sheet = machine.SheetHash(TestPlant.H1);
        await plant.Accepted("ALL-5");
        var number = (await plant.Release(TestPlant.Inspector, "ALL-5")).Certificate!;
        await plant.Order("ALL-14");
        await plant.Order("ALL-17");
        var (version14, version17) = ((await plant.Machine("ALL-14")).Version, (await plant.Machine("ALL-17")).Version);
        var (version4, hash) = ((await plant.Machine("ALL-4")).Version, machine.Revision.Hash);

        foreach (var serial in new[] { "ALL-7", "ALL-8", "ALL-10" })
        {
            await plant.Order(serial);
        }

        await plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest("ALL-8", 90, RouteAct.Start, null), null, default);
        await plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest("ALL-8", 90, RouteAct.Finish, null), null, default);
        await plant.Get<RouteActs>().Do(TestPlant.Planner, new RouteRequest("ALL-10", null, RouteAct.PutOnHold, "unpaid"), null, default);

        await plant.Order("ALL-11");
        var slipped = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("ALL-11"));
        var slip = (await plant.Record(TestPlant.Technician, TestPlant.ToRecord("ALL-11", slipped.Run, ("P1", "z", "44")))).Ids[0];

        await plant.Order("ALL-12");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("ALL-12", instrument: "HGT-02"), [.. TestPlant.Triangle.Select(t => $"{int.Parse(t, CultureInfo.InvariantCulture) / 1000m}")]);
        var finding = (await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Administrator, new RecordUnfitRequest("HGT-02", "9 µm", "4 µm", null, "K-2"), null, default)).Finding;

        await plant.Order("ALL-13", "TST-3C");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("ALL-13", "crossing-heights"), TestPlant.Crossing);
        var beyond = (await plant.Machine("ALL-13")).EvaluationOf("100-03")!.Hash;

        byte[] scan = [.. "%PDF-1.7 signed"u8];
        Dictionary<string, (long Run, long File)> papers = [];
        foreach (var serial in new[] { "ALL-15", "ALL-16" })
        {
            papers[serial] = ((await plant.Accepted(serial)).Run, (await plant.Get<StepFileActs>().Attach(TestPlant.Technician, new AttachFileRequest(serial, 100, null, "protocol", "p.pdf"), scan, null, default)).File);
        }

        NamePaperRequest Paper(string serial, MachineRecord of) =>
            new(serial, papers[serial].Run, papers[serial].File, SitePack.Code(of, SitePack.Of(of).Surveys), TestPlant.Technician.Person);
        var (toName, toCompare) = (await plant.Machine("ALL-15"), await plant.Machine("ALL-16"));
        await plant.Get<PaperActs>().Name(TestPlant.Technician, Paper("ALL-16", toCompare), null, default);
        toCompare = await plant.Machine("ALL-16");
        var compared = PaperStanding.Of(toCompare, toCompare.Measurements.Single().Runs.Single())!.Sheet;

        var numbers = await Nonconformances(plant);
        await plant.Get<PunchActs>().Add(TestPlant.Planner, new AddPunchRequest("ALL-7", "scratch on the door", PunchClass.B, TestPlant.Planner.Person, false, "2026-03-20"), null, default);

        Dictionary<string, Func<Caller, string?, Task<object>>> acts = [];
        void Add<T>(string kind, Func<Caller, string?, Task<T>> act)
            where T : notnull => acts[kind] = async (who, key) => await act(who, key);

        Add(ActKind.AddPerson, (w, k) => plant.Get<PeopleActs>().AddPerson(w, new AddPersonRequest("new.person", "New Person", TestPlant.Password, [Roles.Technician]), k, default));
        Add(ActKind.ChangeRoles, (w, k) => plant.Get<PeopleActs>().ChangeRoles(w, new ChangeRolesRequest(TestPlant.OtherTechnician.Person, [Roles.Inspector]), k, default));
        Add(ActKind.DisablePerson, (w, k) => plant.Get<PeopleActs>().DisablePerson(w, new DisablePersonRequest(TestPlant.OtherInspector.Person, "left"), k, default));
        Add(ActKind.IssueToken, (w, _) => plant.Get<PeopleActs>().IssueToken(w, default));
        Add(ActKind.RegisterInstrument, (w, k) => plant.Get<InstrumentActs>().Register(w, new RegisterInstrumentRequest(TestPlant.Instrument("NEW-01", "height", "µm", "small difference", "2 µm")), k, default));
        Add(ActKind.CheckInstrument, (w, k) => plant.Get<InstrumentRecordActs>().Check(w, new CheckInstrumentRequest("IFM-01", "master", "0.2", "1 µm"), k, default));
        Add(ActKind.RecordReversal, (w, k) => plant.Get<InstrumentRecordActs>().Reverse(w, new ReverseLevelRequest("LVL-01", "plate", "12", "-11"), k, default));
        Add(ActKind.RecordGaugeStudy, (w, k) => plant.Get<InstrumentRecordActs>().Study(
            w, new GaugeStudyRequest("CAL-01", "blocks", null, null, [.. from p in new[] { "1", "2" } from a in new[] { "tom", "tea" } from t in new[] { 1, 2 } select new GaugeReading(p, a, t, (p[0] * 10) + t)]), k, default));
        Add(ActKind.RecordUnfit, (w, k) => plant.Get<AffectedActs>().RecordUnfit(w, new RecordUnfitRequest("HGT-OLD", "9 µm", "4 µm", "2026-01-15", "K-2"), k, default));
        Add(ActKind.DecideAffected, (w, k) => plant.Get<AffectedActs>().Decide(w, new DecideAffectedRequest(finding, "ALL-12", AffectedDecisionKind.Remeasure, "on the next shift"), k, default));
        Add(ActKind.ChooseCorrection, (w, k) => plant.Get<CorrectionActs>().Choose(w, new ChooseCorrectionRequest("ALL-13", "100-03", CorrectionKind.Remill, beyond, "the pads lie low together"), k, default));
        Add(ActKind.LoadChecklists, (w, k) => plant.Get<ChecklistActs>().Load(w, OtherEdition(), k, default));
        Add(ActKind.ApproveChecklists, (w, k) => plant.Get<ChecklistActs>().Approve(w, hash, k, default));
        Add(ActKind.SetPlant, (w, k) => plant.Get<PlantActs>().Set(w, new PlantSettings("Other works", "OTH", 5, "Europe/Vienna"), k, default));
        Add(ActKind.OrderMachine, (w, k) => plant.Get<MachineActs>().Order(w, new OrderMachineRequest("ALL-9", "TST-3T", "Somebody", []), k, default));
        Add(ActKind.ChangeOrder, (w, k) => plant.Get<MachineActs>().ChangeOrder(w, new ChangeOrderRequest("ALL-4", [], version4), k, default));
        Add(ActKind.SetDisclosure, (w, k) => plant.Get<DisclosureActs>().Set(w, new SetDisclosureRequest("ALL-14", new DisclosureList([], true, false, false, false), "the customer, annex 4", version14), k, default));
        Add(ActKind.SetCustomersPoints, (w, k) => plant.Get<CustomersPointActs>().Set(w, new SetCustomersPointsRequest("ALL-17", [new("H1", CustomersPart.Present, 3)], "the customer, annex 4", version17), k, default));
        Add(ActKind.RecordTemperatures, (w, k) => plant.Get<TemperatureActs>().Round(
            w, new RecordRoundRequest("ALL-4", 100, "20.1", ["20.50", "20.40"], ["20.10", "20.10"], ["THM-01", "THM-02"], ["THM-03", "THM-04"], null), k, default));
        Add(ActKind.BeginRun, (w, k) => plant.Begin(w, TestPlant.ToBegin("ALL-4"), k));
        Add(ActKind.Record, (w, k) => plant.Record(w, TestPlant.ToRecord("ALL-2", open.Run, ("P1", "z", "4")), k));
        Add(ActKind.TakeBack, (w, k) => plant.Get<SurveyActs>().TakeBack(w, new TakeBackRequest("ALL-11", slip), k, default));
        Add(ActKind.Correct, (w, k) => plant.Get<SurveyActs>().Correct(w, new CorrectRequest(Serial, reading, "-4.5", null, "typed wrongly"), k, default));
        Add(ActKind.Discard, (w, k) => plant.Get<SurveyActs>().Discard(w, new DiscardRequest(Serial, measured.Run, "door opened"), k, default));
        Add(ActKind.Finish, (w, k) => plant.Finish(w, "ALL-3", complete.Run, k));
        Add(ActKind.ChangeBed, (w, k) => plant.Get<MachineActs>().ChangeBed(w, new ChangeBedRequest("ALL-6", "re-mill", "0.1 mm off"), k, default));
        Add(ActKind.MoveFeet, (w, k) => plant.Get<FootActs>().Record(w, new RecordFeetRequest("ALL-13", "100-03", beyond, null, null, [new FootMoveTyped("F1", "0.02")], null), k, default));
        Add(ActKind.WorkStep, (w, k) => plant.Get<RouteActs>().Do(w, new RouteRequest("ALL-7", 90, RouteAct.Start, null), k, default));
        Add(ActKind.SetNotApplicable, (w, k) => plant.Get<RouteActs>().Do(w, new RouteRequest("ALL-7", 120, RouteAct.NotApplicable, "not verified again"), k, default));
        Add(ActKind.ReopenStep, (w, k) => plant.Get<RouteActs>().Do(w, new RouteRequest("ALL-8", 90, RouteAct.Reopen, "wrong colour"), k, default));
        Add(ActKind.HoldMachine, (w, k) => plant.Get<RouteActs>().Do(w, new RouteRequest("ALL-7", null, RouteAct.PutOnHold, "unpaid"), k, default));
        Add(ActKind.LiftHold, (w, k) => plant.Get<RouteActs>().Do(w, new RouteRequest("ALL-10", null, RouteAct.LiftHold, null), k, default));
        Add(ActKind.RaiseNonconformance, (w, k) => plant.Get<NonconformanceActs>().Raise(w, Seen, k, default));
        foreach (var (act, before) in numbers)
        {
            Add(NonconformanceActs.KindOf(act), (w, k) => plant.Get<NonconformanceActs>().Do(w, ToEnter(act, before), k, default));
        }

        Add(ActKind.AddPunchItem, (w, k) => plant.Get<PunchActs>().Add(w, new AddPunchRequest("ALL-7", "label missing", PunchClass.C, "the painter", true, "2026-03-20"), k, default));
        Add(ActKind.ChangePunchClass, (w, k) => plant.Get<PunchActs>().ChangeClass(w, new ChangePunchClassRequest("ALL-7", 1, PunchClass.A, "it jams"), k, default));
        Add(ActKind.ClosePunchItem, (w, k) => plant.Get<PunchActs>().Close(w, new ClosePunchRequest("ALL-7", 1, "painted over", null), k, default));
        Add(ActKind.Release, (w, k) => plant.Release(w, Serial, k, sheet: sheet));
        Add(ActKind.Return, (w, k) => plant.Get<ReleaseActs>().Return(w, new ReturnRequest(Serial, TestPlant.H1, "measure with the door closed", sheet), k, default));
        Add(ActKind.IssueCertificate, (w, k) => plant.Get<CertificateActs>().Issue(w, new IssueRequest(Serial, "bed", TestPlant.Password), k, default));
        Add(ActKind.VoidCertificate, (w, k) => plant.Get<CertificateActs>().Void(w, new VoidRequest(number, 1, "typing error", TestPlant.Password), k, default));
        byte[] photo = [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 1];
        var attached = await plant.Get<StepFileActs>().Attach(TestPlant.Technician, new AttachFileRequest("ALL-7", 90, null, "dent", "a.png"), photo, null, default);
        Add(ActKind.AttachFile, (w, k) => plant.Get<StepFileActs>().Attach(w, new AttachFileRequest("ALL-7", 100, null, "dent", "b.png"), photo, k, default));
        Add(ActKind.ReviewRecord, (w, k) => plant.Get<RecordReviewActs>().Review(w, new ReviewRecordRequest("ALL-7", 90, "chart as asked for"), k, default));
        Add(ActKind.SetFileAside, (w, k) => plant.Get<StepFileActs>().SetAside(w, new SetFileAsideRequest("ALL-7", attached.File, "wrong machine"), k, default));
        Add(ActKind.NamePaper, (w, k) => plant.Get<PaperActs>().Name(w, Paper("ALL-15", toName), k, default));
        Add(ActKind.ComparePaper, (w, k) => plant.Get<PaperActs>().Compare(w, new ComparePaperRequest("ALL-16", papers["ALL-16"].Run, compared, null, null), k, default));
        await plant.Get<ComponentActs>().Fit(TestPlant.Technician, new FitComponentRequest("ALL-7", new ScannedComponent("rail-r1/1", "S-1", null, "H-1", null, null)), null, default);
        Add(ActKind.FitComponent, (w, k) => plant.Get<ComponentActs>().Fit(w, new FitComponentRequest("ALL-7", new ScannedComponent("chiller/1", "K-1", null, null, null, null)), k, default));
        Add(ActKind.SwapComponent, (w, k) => plant.Get<ComponentActs>().Swap(w, new SwapComponentRequest("ALL-7", "S-1", new ScannedComponent("rail-r1/1", "S-2", null, "H-2", null, null), "worn"), k, default));
        Add(ActKind.InviteWitness, (w, k) => plant.Get<WitnessActs>().Invite(w, new InviteRequest("ALL-8", "W1", "Hollis", "Brackwater", "2026-03-20", null), k, default));
        await plant.Get<WitnessActs>().Invite(TestPlant.Planner, new InviteRequest("ALL-10", "W1", "Hollis", "Brackwater", "2026-03-20", "letter 8"), null, default);
        await plant.Get<WitnessActs>().LetIn(TestPlant.Inspector, new LookOnRequest("ALL-10", "W1", "2026-03-20"), null, default);
        Add(ActKind.LetWitnessLookOn, (w, k) => plant.Get<WitnessActs>().LetIn(w, new LookOnRequest("ALL-10", "W1", "2026-03-21"), k, default));
        Add(ActKind.EndLookingOn, (w, k) => plant.Get<WitnessActs>().EndLookingOn(w, "ALL-10", "W1", k, default));
        Add(ActKind.RecordWitness, (w, k) => plant.Get<WitnessActs>().Record(w, new WitnessRequest("ALL-7", "W1", WitnessAct.Waived, "Hollis", null, null, null, null, "letter 7"), k, default));
        var entry = (await plant.Get<QualificationActs>().PutOn(TestPlant.Administrator, new PutOnListRequest("painter", TestPlant.OtherTechnician.Person, "2026-01-01", "2026-12-31", "K-7"), null, default)).Entry;
        Add(ActKind.PutOnList, (w, k) => plant.Get<QualificationActs>().PutOn(w, new PutOnListRequest("painter", TestPlant.Technician.Person, "2026-01-01", "2026-12-31", "K-8"), k, default));
        Add(ActKind.TakeOffList, (w, k) => plant.Get<QualificationActs>().TakeOff(w, new TakeOffListRequest(entry, "left the trade"), k, default));
        var lent = await plant.Get<DelegationActs>().Delegate(TestPlant.OtherInspector, new DelegateRequest(TestPlant.Planner.Person, null, ["S2"], "2026-03-10", "2026-03-31", "away"), null, default);
        Add(ActKind.Delegate, (w, k) => plant.Get<DelegationActs>().Delegate(w, new DelegateRequest(TestPlant.Planner.Person, w.Roles.FirstOrDefault("inspector"), [], "2026-03-10", "2026-03-31", "away"), k, default));
        Add(ActKind.EndDelegation, (w, k) => plant.Get<DelegationActs>().End(w, new EndDelegationRequest(lent.No, "back again"), k, default));
        var holiday = (await plant.Get<CalendarActs>().Enter(TestPlant.Planner, new EnterHolidayRequest("2026-12-24", "Closed"), null, default)).Holiday;
        Add(ActKind.EnterHoliday, (w, k) => plant.Get<CalendarActs>().Enter(w, new EnterHolidayRequest("2026-12-25", "Christmas"), k, default));
        Add(ActKind.TakeBackHoliday, (w, k) => plant.Get<CalendarActs>().TakeBack(w, new TakeBackHolidayRequest(holiday, "worked after all"), k, default));
        Add(ActKind.PromiseMachine, (w, k) => plant.Get<PromiseActs>().Promise(w, new PromiseRequest("ALL-7", "2026-06-01", "contract 7"), k, default));
        Add(ActKind.RecordKitPart, (w, k) => plant.Get<KitActs>().Record(w, new KitRequest("ALL-7", "chiller", KitAct.Ordered, "2026-05-01", null), k, default));
        var tablet = await plant.Get<TabletActs>().Enrol(TestPlant.Administrator, new EnrolTabletRequest("Bay 2"), default);
        await plant.Get<TabletActs>().IssueBadge(TestPlant.Administrator, new IssueBadgeRequest(TestPlant.Inspector.Person), default);
        Add(ActKind.EnrolTablet, (w, _) => plant.Get<TabletActs>().Enrol(w, new EnrolTabletRequest("Bay 3"), default));
        Add(ActKind.EndTablet, (w, k) => plant.Get<TabletActs>().End(w, new EndTabletRequest(tablet.Tablet, "broken"), k, default));
        Add(ActKind.SetPin, (w, _) => plant.Get<TabletActs>().SetPin(w, new SetPinRequest("740295", TestPlant.Password), default));
        Add(ActKind.IssueBadge, (w, _) => plant.Get<TabletActs>().IssueBadge(w, new IssueBadgeRequest(TestPlant.Technician.Person), default));
        Add(ActKind.EndBadge, (w, k) => plant.Get<TabletActs>().EndBadge(w, new EndBadgeRequest(TestPlant.Inspector.Person, "lost"), k, default));
        return acts;
    }

    private static RaiseRequest Seen { get; } = new("ALL-7", 90, null, null, new SeenFault("no scratch", "scratch", "contract annex 1", true), Severity.Minor, null);

    private static NonconformanceRequest ToEnter(NonconformanceAct act, int number) => new(
        number, act, "as said", act == NonconformanceAct.Contain ? new Containment("red 7", "bay 2", ["ALL-8"]) : null, act == NonconformanceAct.Propose ? CauseCategory.Method : null,
        act == NonconformanceAct.Propose ? Disposition.Concession : null, act == NonconformanceAct.Consent ? new CustomerConsent("Hollis Brandt-Leigh", "letter 12") : null);

    /// <summary>For each act a nonconformance that stands before it.</summary>
    private static async Task<Dictionary<NonconformanceAct, int>> Nonconformances(TestPlant plant)
    {
        var acts = plant.Get<NonconformanceActs>();
        (Caller Who, NonconformanceAct Act)[] way =
        [
            (TestPlant.Technician, NonconformanceAct.Contain), (TestPlant.OtherInspector, NonconformanceAct.Propose), (TestPlant.Planner, NonconformanceAct.Consent), (TestPlant.Inspector, NonconformanceAct.Approve),
            (TestPlant.Administrator, NonconformanceAct.Approve), (TestPlant.Technician, NonconformanceAct.Action), (TestPlant.OtherInspector, NonconformanceAct.Verify), (TestPlant.OtherInspector, NonconformanceAct.Close),
        ];
        Dictionary<NonconformanceAct, int> numbers = [];
        foreach (var (act, steps) in new[]
        {
            (NonconformanceAct.Contain, 0), (NonconformanceAct.Propose, 1), (NonconformanceAct.Consent, 2), (NonconformanceAct.Approve, 2), (NonconformanceAct.GiveBack, 2), (NonconformanceAct.Action, 5),
            (NonconformanceAct.Verify, 6), (NonconformanceAct.Close, 7),
        })
        {
            numbers[act] = (await acts.Raise(TestPlant.Technician, Seen, null, default)).Number;
            foreach (var (who, entry) in way.Take(steps))
            {
                await acts.Do(who, ToEnter(entry, numbers[act]), null, default);
            }
        }

        return numbers;
    }

    /// <summary>The person who can do the act in that state: a technician acts on her own run, an inspector on what she did not measure.</summary>
    public static Caller Who(string act) => act switch
    {
        ActKind.OrderMachine or ActKind.HoldMachine or ActKind.LiftHold or ActKind.InviteWitness or ActKind.EnterHoliday or ActKind.TakeBackHoliday or ActKind.PromiseMachine or ActKind.RecordKitPart => TestPlant.Planner,
        ActKind.Record or ActKind.TakeBack or ActKind.Finish or ActKind.CheckInstrument or ActKind.RecordReversal or ActKind.RecordGaugeStudy or ActKind.RecordTemperatures or ActKind.BeginRun or ActKind.ChangeBed or ActKind.MoveFeet or ActKind.WorkStep
            or ActKind.RaiseNonconformance or ActKind.Contain or ActKind.RecordAction or ActKind.AddPunchItem or ActKind.AttachFile or ActKind.SetFileAside or ActKind.NamePaper or ActKind.FitComponent or ActKind.SwapComponent => TestPlant.Technician,
        ActKind.DecideAffected or ActKind.ChooseCorrection or ActKind.SetNotApplicable or ActKind.ReopenStep or ActKind.Propose or ActKind.Approve or ActKind.RecordConsent or ActKind.GiveBack or ActKind.VerifyAction or ActKind.CloseNonconformance
            or ActKind.ChangePunchClass or ActKind.ClosePunchItem or ActKind.Delegate or ActKind.Correct or ActKind.Discard or ActKind.Release or ActKind.Return or ActKind.IssueCertificate or ActKind.VoidCertificate or ActKind.RecordWitness or ActKind.LetWitnessLookOn or ActKind.EndLookingOn or ActKind.ComparePaper or ActKind.ReviewRecord => TestPlant.Inspector,
        _ => TestPlant.Administrator,
    };

    public static IReadOnlyDictionary<string, string> OtherEdition()
    {
        var files = ChecklistLoader.ReadFolder(Path.Combine(AppContext.BaseDirectory, "TestChecklists")).ToDictionary();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: U", StringComparison.Ordinal);
        return files;
    }
}
