using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Route;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Temperatures;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Demo;

/// <summary>Loads the demo plant into an empty database, by the same acts that people do, each at its own moment of the past.</summary>
/// <param name="addHost">Adds logging and the certificate renderer, as the host has them.</param>
/// <param name="now">The moment of loading.</param>
public sealed class DemoLoader(StoreSettings settings, string demoFolder, string checklistFolder, Action<IServiceCollection> addHost, DateTimeOffset now)
{
    /// <summary>Days before which nothing of the demo happened.</summary>
    private const int FirstDay = -160;

    public async Task Load(CancellationToken ct)
    {
        var demo = DemoFile.Read(demoFolder);
        var clock = new PinnedClock(now);
        var services = new ServiceCollection();
        addHost(services);
        services.AddSingleton<TimeProvider>(clock).AddBuildTrackRecords(settings with { Filling = true });
        await using var provider = services.BuildServiceProvider();
        await provider.GetRequiredService<Migrator>().Run(ct);

        var zone = TimeZoneInfo.FindSystemTimeZoneById(demo.Plant.TimeZone);
        var loaded = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(now, zone).DateTime);
        DateTimeOffset Moment(int day, string at) => Local(WorkingDays.Plus(loaded, day, Holidays.None), at, zone);

        var people = demo.People.ToDictionary(p => p.Person, p => new Caller(p.Person, p.Name, p.Roles));
        clock.Set(Moment(FirstDay, "08:00"));
        await SetUp(provider, demo, people, loaded, clock, ct);

        var revision = (await provider.GetRequiredService<ChecklistReader>().Current(ct))!;
        var carrying = revision.Components.Select(c => c.Step).ToHashSet();
        var photographed = revision.Steps.Where(s => !s.Photos.IsEmpty).Select(s => s.Number).ToHashSet();
        var points = revision.Holds.Where(h => h.Witness is not null).ToDictionary(h => h.Id, h => h.Witness!.NoticeDays);
        var acts = new List<(DateTimeOffset At, Func<Task> Do)>(await PutOnLists(
            provider.GetRequiredService<QualificationActs>(), demo, people.Values.First(p => p.Roles.Contains(Roles.Administrator)), loaded, Moment, ct));
        foreach (var machine in demo.Machines)
        {
            // A machine whose last morning is still to come at this hour tells the story of a working day earlier.
            var earlier = (machine.Temperatures ?? []).Any(t => Moment(DemoStep.Parts(t.At).Day, DemoStep.Parts(t.At).At) > now) ? 1 : 0;
            DateTimeOffset Of(int day, string at) => Moment(day - earlier, at);
            DateTimeOffset Told(string text) => DemoStep.Parts(text) is var (day, at) ? Of(day, at) : default;
            acts.Add((Of(machine.Ordered, "10:00"), () => provider.GetRequiredService<MachineActs>().Order(
                people[machine.OrderedBy], new OrderMachineRequest(machine.Serial, machine.Model, machine.Customer, Terms(machine)), null, ct)));
            if (machine.Disclosure is { } agreed)
            {
                acts.Add((Told(agreed.At), () => agreed.Set(provider, people[agreed.Person], machine.Serial, ct)));
            }

            if (machine.CustomersPart is { } part)
            {
                acts.Add((Told(part.At), () => part.Set(provider, people[part.Person], machine.Serial, ct)));
            }

            foreach (var step in machine.Route ?? [])
            {
                var route = provider.GetRequiredService<RouteActs>();
                foreach (var (day, at, act, reason) in step.Lines())
                {
                    acts.Add((Of(day, at), async () =>
                    {
                        if (act == RouteAct.Finish && photographed.Contains(step.Step))
                        {
                            await Photograph(provider, people[step.Person], machine.Serial, step.Step, ct);
                        }

                        if (act == RouteAct.Finish && carrying.Contains(step.Step))
                        {
                            await DemoComponents.Fit(
                                provider.GetRequiredService<ComponentActs>(), people[step.Person], await provider.GetRequiredService<MachineReader>().Load(machine.Serial, ct), step.Step, ct);
                        }

                        await route.Do(people[step.Person], new RouteRequest(machine.Serial, step.Step, act, reason), null, ct);
                    }));
                }
            }

            foreach (var list in machine.Lists ?? [])
            {
                acts.Add((Of(list.Day, list.At), () => Answer(provider, people[list.Person], machine.Serial, list.Survey, clock, ct)));
            }

            foreach (var set in machine.Sets ?? [])
            {
                acts.Add((Of(set.Day, set.At), () => MeasureSet(provider, people, demo, machine, set, clock, ct)));
            }

            foreach (var run in machine.Runs ?? [])
            {
                var begin = run.MinutesAgo is { } ago ? now.AddMinutes(-ago) : Of(run.Day, run.At!);
                acts.Add((begin, () => Measure(provider, people, machine, run, clock, ct)));
            }

            foreach (var raised in machine.Nonconformances ?? [])
            {
                acts.AddRange(DemoQuality.Nonconformance(provider.GetRequiredService<NonconformanceActs>(), people, machine.Serial, raised, Of, ct));
            }

            foreach (var item in machine.Punch ?? [])
            {
                acts.Add((Told(item.At), () => provider.GetRequiredService<PunchActs>().Add(
                    people[item.Person], new AddPunchRequest(machine.Serial, item.Text, item.Class, item.Owner, item.Outside, Day(WorkingDays.Plus(loaded, item.Due, Holidays.None))), null, ct)));
            }

            foreach (var c in machine.Compared ?? [])
            {
                acts.Add((Told(c.At), () => provider.GetRequiredService<TemperatureActs>().Compare(people[c.Person], new CompareProbesRequest(c.Step, c.Probes), null, ct)));
            }

            foreach (var t in machine.Temperatures ?? [])
            {
                acts.Add((Told(t.At), () => provider.GetRequiredService<TemperatureActs>().Round(
                    people[t.Person], new RecordRoundRequest(machine.Serial, t.Step, t.Air, t.Top, t.Bottom, t.TopProbes, t.BottomProbes, null), null, ct)));
            }

            foreach (var f in machine.Feet ?? [])
            {
                acts.Add((Told(f.At), () => MoveFeet(provider, people[f.Person], machine.Serial, f, ct)));
            }

            foreach (var photo in machine.Files ?? [])
            {
                acts.Add((Told(photo.At), () => provider.GetRequiredService<StepFileActs>().Attach(
                    people[photo.Person], new AttachFileRequest(machine.Serial, photo.Step, null, photo.Shows, photo.Name), DemoPicture.Indicator(), null, ct)));
            }

            foreach (var chart in machine.Reviews ?? [])
            {
                acts.Add((Told(chart.At), () => provider.GetRequiredService<StepFileActs>().Attach(
                    people[chart.Person], new AttachFileRequest(machine.Serial, chart.Step, null, chart.Shows, chart.Name), DemoPicture.Chart($"{machine.Serial} {chart.Step}", chart.Step == 60), null, ct)));
                if (chart is { By: { } by, LookedAt: { } at, Note: { } note })
                {
                    acts.Add((Told(at), () => provider.GetRequiredService<RecordReviewActs>().Review(people[by], new ReviewRecordRequest(machine.Serial, chart.Step, note), null, ct)));
                }
            }

            foreach (var call in machine.Invitations ?? [])
            {
                acts.Add((Told(call.At), () => DemoVisits.Invite(provider, people[machine.OrderedBy], demo, machine, call.Hold, Day(WorkingDays.Plus(loaded, call.Visit, Holidays.None)), ct)));
            }

            foreach (var release in machine.Releases ?? [])
            {
                if (points.TryGetValue(release.Hold, out var notice))
                {
                    acts.Add((Of(release.Day - notice - 2, "09:00"), () => DemoVisits.Invite(provider, people[machine.OrderedBy], demo, machine, release.Hold, Day(WorkingDays.Plus(loaded, release.Day, Holidays.None)), ct)));
                }

                acts.Add((Of(release.Day, release.At), () => Release(provider, people[release.Person], machine.Serial, release, demo.Password, ct)));
            }
        }

        foreach (var lent in demo.Delegations)
        {
            var (day, at) = DemoStep.Parts(lent.At);
            acts.Add((Moment(day, at), () => provider.GetRequiredService<DelegationActs>().Delegate(
                people[lent.By], new DelegateRequest(lent.To, null, lent.Holds, Day(WorkingDays.Plus(loaded, day, Holidays.None)), Day(loaded.AddDays(lent.Until)), lent.Reason), null, ct)));
        }

        acts.AddRange(DemoPlanner.Acts(provider, people, demo.Planned, loaded, Moment, ct));
        foreach (var found in demo.Findings)
        {
            acts.AddRange(DemoQuality.Finding(provider.GetRequiredService<AffectedActs>(), people, found, Moment, ct));
        }

        var records = provider.GetRequiredService<InstrumentRecordActs>();
        foreach (var r in demo.Reversals)
        {
            acts.Add((Moment(DemoStep.Parts(r.At).Day, DemoStep.Parts(r.At).At), () => records.Reverse(people[r.Person], new ReverseLevelRequest(r.Instrument, r.Place, r.First, r.Second), null, ct)));
        }

        foreach (var s in demo.Studies)
        {
            acts.Add((Moment(DemoStep.Parts(s.At).Day, DemoStep.Parts(s.At).At), () => records.Study(people[s.Person], Study(s), null, ct)));
        }

        foreach (var (at, act) in acts.OrderBy(a => a.At))
        {
            // What takes long is not overtaken by what was planned to come while it lasts.
            clock.Set(at > clock.GetUtcNow() ? at : clock.GetUtcNow());
            await act();
        }

        clock.Set(now);
        await provider.GetRequiredService<OutboxWorker>().Drain(ct);
    }

    private async Task SetUp(
        IServiceProvider provider, DemoFile demo, Dictionary<string, Caller> people, DateOnly loaded, PinnedClock clock, CancellationToken ct)
    {
        var administrator = people.Values.First(p => p.Roles.Contains(Roles.Administrator));
        var first = provider.GetRequiredService<FirstStart>();
        await first.CreateAdministrator(first.Code, administrator.Person, administrator.Name, demo.Password, ct);
        foreach (var person in demo.People.Where(p => p.Person != administrator.Person))
        {
            await provider.GetRequiredService<PeopleActs>().AddPerson(administrator, new AddPersonRequest(person.Person, person.Name, demo.Password, person.Roles), null, ct);
        }

        await provider.GetRequiredService<PlantActs>().Set(administrator, demo.Plant, null, ct);
        foreach (var instrument in demo.Instruments.SelectMany(i => i.States))
        {
            var entry = new RegisterEntry(
                instrument.Id, instrument.Name, instrument.Serial, instrument.Quantity, instrument.Unit,
                [.. instrument.Figures.Select(f => new RegisterFigure(f.Use, f.UpToMm, Parse(f.A), f.BPerMetre is { } b ? Parse(b) : null, 2,
                    f.Random is { } r ? Parse(r) : null, f.Common is { } c ? Parse(c) : null, f.DegreesOfFreedom))],
                Day(loaded.AddDays(instrument.Calibrated)), Day(loaded.AddDays(instrument.Valid)), instrument.Certificate, instrument.State, 0, null, instrument.Check is null ? null : true, instrument.Reason,
                instrument.AsFound is { } found ? Parse(found) : null, instrument.AsLeft is { } left ? Parse(left) : null, instrument.Laboratory, instrument.Range, instrument.Holder, instrument.Digit is { } digit ? Parse(digit) : null);
            await provider.GetRequiredService<InstrumentActs>().Register(administrator, new RegisterInstrumentRequest(entry), null, ct);
        }

        var checklists = provider.GetRequiredService<ChecklistActs>();
        var receipt = await checklists.Load(administrator, ChecklistLoader.ReadFolder(checklistFolder), null, ct);
        clock.Advance(TimeSpan.FromHours(1));
        await checklists.Approve(people.Values.Last(p => p.Roles.Contains(Roles.Administrator)), receipt.Subject, null, ct);
    }

    /// <summary>Puts people on their lists; what ends early is taken off at its own moment.</summary>
    private static async Task<IEnumerable<(DateTimeOffset At, Func<Task> Do)>> PutOnLists(
        QualificationActs lists, DemoFile demo, Caller administrator, DateOnly loaded, Func<int, string, DateTimeOffset> moment, CancellationToken ct)
    {
        var ends = new List<(DateTimeOffset, Func<Task>)>();
        foreach (var listed in demo.Lists)
        {
            var entry = (await lists.PutOn(
                administrator, new PutOnListRequest(listed.List, listed.Person, Day(loaded.AddDays(listed.From)), Day(loaded.AddDays(listed.To)), listed.Evidence), null, ct)).Entry;
            if (listed.Off is { } off)
            {
                ends.Add((DemoStep.Parts(off.At) is var (day, at) ? moment(day, at) : default, () => lists.TakeOff(administrator, new TakeOffListRequest(entry, off.Reason), null, ct)));
            }
        }

        return ends;
    }

    private async Task Measure(
        IServiceProvider provider, Dictionary<string, Caller> people, DemoMachine machine, DemoRun run, PinnedClock clock, CancellationToken ct)
    {
        var surveys = provider.GetRequiredService<SurveyActs>();
        var person = people[run.Person];
        var conditions = run.Top is { } top ? new Conditions(run.Air, top, run.Bottom ?? [], null) : null;
        var begun = await surveys.BeginRun(
            person, new BeginRunRequest(machine.Serial, run.Survey, null, run.Kind, run.Proves, null, null, run.Instruments,
                [.. run.Instruments.Select(i => new UseCheck(i, run.Check, true))], conditions, run.Helpers), null, ct);
        clock.Advance(TimeSpan.FromMinutes(run.Minutes));
        var bytes = await File.ReadAllBytesAsync(Path.Combine(demoFolder, run.File), ct);
        var preview = await surveys.Preview(person, machine.Serial, begun.Run, run.File, bytes, ct);
        await surveys.RecordFile(person, new RecordFileRequest(machine.Serial, begun.Run, preview.FileHash, run.File), null, ct);
        clock.Advance(TimeSpan.FromMinutes(1));
        await surveys.Finish(person, new FinishRequest(machine.Serial, begun.Run), null, ct);
    }

    private async Task MeasureSet(
        IServiceProvider provider, Dictionary<string, Caller> people, DemoFile demo, DemoMachine machine, DemoSet set, PinnedClock clock, CancellationToken ct)
    {
        var surveys = provider.GetRequiredService<SurveyActs>();
        var revision = (await provider.GetRequiredService<MachineReader>().Load(machine.Serial, ct)).Revision;
        var person = people[set.Person];
        foreach (var run in DemoSetRun.Read(Path.Combine(demoFolder, $"{machine.Serial}-readings.csv")).Where(r => set.Takes(revision.Survey(r.Survey))))
        {
            var survey = revision.Survey(run.Survey);
            var instruments = set.Instruments?.GetValueOrDefault(run.Survey) is { IsDefault: false } own ? own : demo.Usual.Instruments[run.Survey];
            await CheckBeforeUse(provider, person, demo.Instruments.Where(i => instruments.Contains(i.Id)), ct);
            var begun = await surveys.BeginRun(
                person, new BeginRunRequest(
                    machine.Serial, run.Survey, run.Feature, RunKind.Pass, null, run.Direction, survey.BaseLengthMm is null ? null : LevelArrow.PlusX, instruments,
                    [.. instruments.Select(i => new UseCheck(i, demo.Usual.Checks[i], true))], survey.NeedsGradient ? ConditionsOf(set, survey.Id) : null, set.Helpers), null, ct);
            clock.Advance(TimeSpan.FromMinutes(2) + (TimeSpan.FromSeconds(10) * run.Readings.Length));
            await surveys.Record(person, new RecordRequest(machine.Serial, begun.Run, EntryRoute.Typed, [.. run.Readings.Select(r => new TypedReading(r.Place, r.Column, r.Typed, null))]), null, ct);
            clock.Advance(TimeSpan.FromMinutes(1));
            await surveys.Finish(person, new FinishRequest(machine.Serial, begun.Run), null, ct);
        }
    }

    private static Conditions ConditionsOf(DemoSet set, string survey) => set.Anyway is { } anyway && anyway.Survey == survey
        ? new Conditions(set.Air, anyway.Top, anyway.Bottom, null, anyway.Reason)
        : new Conditions(set.Air, set.Top ?? [], set.Bottom ?? [], null);

    /// <summary>The photos that a step is not finished without: drawn pictures.</summary>
    private static async Task Photograph(IServiceProvider provider, Caller who, string serial, int step, CancellationToken ct)
    {
        var machine = await provider.GetRequiredService<MachineReader>().Load(serial, ct);
        foreach (var photo in FileRules.Missing(machine, machine.Revision.FindStep(step)!))
        {
            await provider.GetRequiredService<StepFileActs>().Attach(
                who, new AttachFileRequest(serial, step, photo.Id, null, $"{photo.Id}.png"), DemoPicture.Png($"{serial} {photo.Id}"), null, ct);
        }
    }

    // On the day itself, once; the departures of the file in turn.
    private static async Task CheckBeforeUse(IServiceProvider provider, Caller person, IEnumerable<DemoInstrument> instruments, CancellationToken ct)
    {
        var today = (await provider.GetRequiredService<PlantReader>().Time(ct)).Day(Instant.Now(provider.GetRequiredService<TimeProvider>()));
        foreach (var instrument in instruments.Where(i => i.Check is not null))
        {
            var before = (await provider.GetRequiredService<InstrumentReader>().History(instrument.Id, ct)).Checks;
            if (before.All(c => c.Day != today))
            {
                var check = instrument.Check!;
                await provider.GetRequiredService<InstrumentRecordActs>().Check(person, new CheckInstrumentRequest(instrument.Id, check.Reference, check.Found[before.Length % check.Found.Length], check.Limit), null, ct);
            }
        }
    }

    private GaugeStudyRequest Study(DemoStudy study) => new(
        study.Instrument, study.About, null, study.Tolerance is { } width ? double.Parse(width, CultureInfo.InvariantCulture) : null,
        [.. File.ReadAllLines(Path.Combine(demoFolder, study.File)).Skip(1).Select(l => l.Split(',')).Select(c => new GaugeReading(c[0], c[1], int.Parse(c[2], CultureInfo.InvariantCulture), double.Parse(c[3], CultureInfo.InvariantCulture)))]);

    private static async Task Answer(IServiceProvider provider, Caller person, string serial, string survey, PinnedClock clock, CancellationToken ct)
    {
        var surveys = provider.GetRequiredService<SurveyActs>();
        var questions = (await provider.GetRequiredService<MachineReader>().Load(serial, ct)).Revision.Survey(survey).Columns;
        var begun = await surveys.BeginRun(person, new BeginRunRequest(serial, survey, null, RunKind.Pass, null, null, null, [], [], null, []), null, ct);
        clock.Advance(TimeSpan.FromMinutes(10));
        await surveys.Record(person, new RecordRequest(serial, begun.Run, EntryRoute.Typed, [.. questions.Select(q => new TypedReading("whole", q.Id, AnswersEvaluator.Yes, null))]), null, ct);
        await surveys.Finish(person, new FinishRequest(serial, begun.Run), null, ct);
    }

    private static async Task MoveFeet(IServiceProvider provider, Caller person, string serial, DemoFeet round, CancellationToken ct)
    {
        var evaluation = (await provider.GetRequiredService<MachineReader>().Load(serial, ct)).EvaluationOf(round.Line)!.Hash;
        await provider.GetRequiredService<FootActs>().Record(
            person, new RecordFeetRequest(serial, round.Line, evaluation, null, null, [.. round.Moves.Select(m => new FootMoveTyped(m.Key, m.Value))], round.Note), null, ct);
    }

    private static async Task Release(
        IServiceProvider provider, Caller person, string serial, DemoRelease release, string password, CancellationToken ct)
    {
        var machine = await provider.GetRequiredService<MachineReader>().Load(serial, ct);
        if (machine.Revision.Holds.Single(h => h.Id == release.Hold) is { Witness: not null } point)
        {
            await DemoVisits.Attend(provider, person, machine, point, ct);
        }

        var sheet = machine.SheetHash(release.Hold);
        await provider.GetRequiredService<ReleaseActs>().Release(person, new ReleaseRequest(serial, release.Hold, password, sheet), null, ct);
    }

    private static ImmutableArray<OrderTerm> Terms(DemoMachine machine) =>
        [.. (machine.Order ?? []).Select(t => new OrderTerm(
            t.Characteristic, t.Upper is { } u ? Parse(u) : null, t.Lower is { } l ? Parse(l) : null, t.Reference, t.Rule, t.Origin, t.Edition, t.ApprovedBy, t.Reason))];

    private static Amount Parse(string text) =>
        Amount.TryParse(text, out var amount) ? amount : throw new FormatException($"demo plant: found '{text}', expected a number with a unit.");

    private static string Day(DateOnly date) => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <param name="at">"07:30"; from "24:00" on the morning after the day.</param>
    private static DateTimeOffset Local(DateOnly day, string at, TimeZoneInfo zone)
    {
        var parts = at.Split(':');
        var local = day.ToDateTime(TimeOnly.MinValue).AddHours(int.Parse(parts[0], CultureInfo.InvariantCulture)).AddMinutes(int.Parse(parts[1], CultureInfo.InvariantCulture));
        return new DateTimeOffset(local, zone.GetUtcOffset(local)).ToUniversalTime();
    }

    /// <summary>A clock that stands where it is set, so that the past of the demo has its own times.</summary>
    private sealed class PinnedClock(DateTimeOffset at) : TimeProvider
    {
        private DateTimeOffset current = at;

        public void Set(DateTimeOffset moment) => current = moment;

        public void Advance(TimeSpan time) => current += time;

        public override DateTimeOffset GetUtcNow() => current;
    }
}
