using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Surveys;

/// <summary>A run with the measurement, survey and machine it belongs to.</summary>
internal sealed record RunPlace(MachineRecord Machine, Survey Survey, Measurement Measurement, Run Run)
{
    public static async Task<RunPlace> Find(Db db, string serial, long run, CancellationToken ct)
    {
        var machine = await MachineReader.Load(db, serial, ct);
        var measurement = machine.Measurements.SingleOrDefault(m => m.Runs.Any(r => r.Id == run))
            ?? throw new NotFoundException($"There is no run {run} on {serial}.");
        return new RunPlace(machine, machine.Revision.Survey(measurement.Survey), measurement, measurement.Runs.Single(r => r.Id == run));
    }

    public ImmutableArray<Station> Stations => Machine.Revision.StationsOf(Survey, Machine.Model, Measurement.Feature);

    /// <summary>The places this run must fill; empty where the survey joins any two stations.</summary>
    public ImmutableArray<string> Expected => RunPlan.PlacesOf(Machine, Survey, Measurement, Run);

    public ImmutableArray<Column> Columns => RunPlan.ColumnsOf(Machine, Survey, Run);

    /// <summary>The columns that a file can hold, each with the unit that its instrument shows.</summary>
    public ImmutableArray<(Column Column, string Unit)> Numbers => [.. Columns.Where(c => c.Kind == ValueKind.Number).Select(c => (c, Run.UnitOf(c) ?? "1"))];

    /// <summary>Whether a file can hold its readings: numbers, at places that the plan knows.</summary>
    public bool TakesFiles => !Numbers.IsEmpty && (Survey.Places == PlaceKind.At || Survey.Stepped);

    /// <summary>The places of a file: the stations; the steps of a level stand in one by their place, R1-01→R1-02, as stations do.</summary>
    public ImmutableArray<Station> FilePlaces =>
        Survey.Stepped && Stations.ToDictionary(s => s.Id) is var at ? [.. Expected.Select(p => at[Place.Parse(p).From!] with { Id = p })] : Stations;

    /// <param name="mapping">Which column is what, where the file has a header of its own.</param>
    public SurveyPreview ReadFile(string fileName, ReadOnlyMemory<byte> bytes, ColumnMapping? mapping)
    {
        if (Numbers.IsEmpty)
        {
            throw new BadInputException(fileName, "a survey file", $"readings of survey {Survey.Id} typed one by one: it has no column of numbers");
        }

        var narrowed = Survey with { Columns = Columns, Places = Survey.Stepped ? PlaceKind.At : Survey.Places };
        var read = SurveyFileReader.Read(fileName, bytes, narrowed, FilePlaces, Expected.ToHashSet(), Numbers.ToDictionary(n => n.Column.Id, n => n.Unit), mapping);
        return read.Faults.Length > 0
            ? throw new BadInputException(read.Faults)
            : new SurveyPreview(CanonicalJson.Hash(bytes.Span), fileName, read.Dialect, read.Rows, mapping);
    }
}

/// <summary>The rules of measuring. Each refusal names its rule and the numbers.</summary>
internal static class RunRules
{
    public static void Refuse(BrokenRule? rule)
    {
        if (rule is not null)
        {
            throw new RefusedException(rule);
        }
    }

    /// <summary>Refuses where taking the readings is special work and who acts is not on its list today.</summary>
    public static async Task RefuseUnqualified(ActContext act, MachineRecord machine, Survey survey, CancellationToken ct) =>
        Refuse(QualificationRules.WhyNotMeasure(machine, survey, act.Who.Person, await QualificationReader.For(act, survey.Qualified, ct)));

    public static BrokenRule? WhyNotBegin(MachineRecord machine, Survey survey, BeginRunRequest request, Caller who)
    {
        if (Released(machine, survey) is { } released)
        {
            return released;
        }

        if ((RouteRules.WhyNotWork(machine, survey.Step) ?? TemperatureRules.WhyNotMeasure(machine.Model, survey, request.Conditions)) is { } waits)
        {
            return waits;
        }

        var current = machine.Current(survey.Id, request.Feature);
        if (request.HandOver is { } earlier && (current?.Open is not { } from || from.Id != earlier || from.Person == who.Person || from.Kind == RunKind.SpotCheck || request.Kind == RunKind.SpotCheck))
        {
            return new BrokenRule("R-RUN-04", $"Run {earlier} cannot be handed over: only an open run of another person is, and no spot check; survey {survey.Id} has {(current?.Open is { } now ? $"run {now.No} by {now.Person} open" : "no open run")}.");
        }

        if (current?.Open is { } open && request.HandOver is null)
        {
            return new BrokenRule("R-RUN-02", $"Run {open.No} of survey {survey.Id} by {open.Person} is still open; finish or discard it first.");
        }

        if (request.Kind != RunKind.ContactsAgain)
        {
            return request.Kind == RunKind.SpotCheck ? SpotCheckRules.WhyNotBegin(machine, survey, request.Feature, who.Person, who.Roles) : null;
        }

        var next = request.Proves is { } line ? machine.EvaluationOf(line)?.Record.Result.Next : null;
        return current is null || machine.VoidedBy(current) is not null || next is not { Kind: NextKind.MeasureContactsAgain or NextKind.MeasureAllAgain }
            ? new BrokenRule("R-RUN-03", $"Places are measured again only where a result of this measurement asks for it; {request.Proves ?? "no line"} does not{(next is null ? "" : $": {next.Sentence}")}")
            : null;
    }

    public static BrokenRule? WhyNotRecord(RunPlace at, Caller who) =>
        Released(at.Machine, at.Survey) is { } released ? released
        : at.Run.Discarded is { } gone ? new BrokenRule("R-READ-01", $"Run {at.Run.No} was set aside by {gone.Person}: {gone.Reason}. Begin a new run.")
        : at.Run.Finished is { } finished ? new BrokenRule("R-READ-01", $"Run {at.Run.No} was finished at {finished}; a reading is corrected with a reason, or a further run begun.")
        : at.Run.Person != who.Person ? new BrokenRule("R-READ-02", $"Run {at.Run.No} is {at.Run.Person}'s; a change of person starts a new run.")
        : null;

    /// <summary>Taking back is for the slip of a finger: the last entry, by who made it, while the run is open. Anything earlier is corrected, and says why.</summary>
    public static BrokenRule? WhyNotTakeBack(RunPlace at, Reading reading, Caller who) =>
        WhyNotRecord(at, who) is { } rule ? rule
        : at.Run.LastEntry is var last && last.All(r => r.Id != reading.Id) ? new BrokenRule("R-BACK-01", $"The reading {reading.Value.Typed} at {reading.Place.Key} is not the last entry of run {at.Run.No}; {(last.IsEmpty ? "nothing stands in it" : $"that is {string.Join(", ", last.Select(r => r.Value.Typed))} at {last[0].Place.Key}")}. An earlier one is corrected, with a reason.")
        : last.FirstOrDefault(r => r.Person != who.Person) is { } other ? new BrokenRule("R-BACK-02", $"The last entry of run {at.Run.No}, {other.Value.Typed} at {other.Place.Key}, is {other.Person}'s; only who made an entry takes it back.")
        : null;

    public static BrokenRule? WhyNotCorrect(RunPlace at, Reading reading, Caller who) =>
        Released(at.Machine, at.Survey) is { } released ? released
        : at.Run.Discarded is { } gone ? new BrokenRule("R-CORRECT-01", $"Run {at.Run.No} was set aside by {gone.Person}; it is kept as it is.")
        : at.Run.Readings.FirstOrDefault(r => r.TakesBack && (r.Id == reading.Id || r.Supersedes == reading.Id)) is { } back ? new BrokenRule("R-CORRECT-04", $"The reading at {back.Place.Key} was taken back by {back.Person}; there is nothing to correct, and the place is recorded anew.")
        : at.Run.Readings.FirstOrDefault(r => r.Supersedes == reading.Id) is { } later ? new BrokenRule("R-CORRECT-02", $"Reading {reading.Id} was corrected by reading {later.Id} already; correct that one.")
        : SpotCheckRules.WhyNotChange(at.Machine, at.Survey, at.Run, who.Person) is { } party ? party
        : at.Run.Shown is not null && !who.Roles.Contains(Roles.Inspector) ? new BrokenRule("R-CORRECT-03", $"The result of run {at.Run.No} is known; only an inspector corrects its readings now.")
        : at.Run.Shown is null && at.Run.Person != who.Person && !who.Roles.Contains(Roles.Inspector) ? new BrokenRule("R-READ-02", $"Run {at.Run.No} is {at.Run.Person}'s; a change of person starts a new run.")
        : null;

    public static BrokenRule? WhyNotDiscard(RunPlace at, Caller who) =>
        Released(at.Machine, at.Survey) is { } released ? released
        : at.Run.Discarded is { } gone ? new BrokenRule("R-DISCARD-02", $"Run {at.Run.No} was set aside by {gone.Person} already: {gone.Reason}.")
        : SpotCheckRules.WhyNotChange(at.Machine, at.Survey, at.Run, who.Person) is { } party ? party
        : who.Roles.Contains(Roles.Inspector) ? null
        : at.Run.Shown is not null ? new BrokenRule("R-DISCARD-01", $"The result of run {at.Run.No} is known; only an inspector sets it aside, with a reason.")
        : at.Run.Person != who.Person ? new BrokenRule("R-READ-02", $"Run {at.Run.No} is {at.Run.Person}'s.")
        : null;

    public static BrokenRule? WhyNotFinish(RunPlace at, Caller who)
    {
        if (WhyNotRecord(at, who) is { } rule)
        {
            return rule;
        }

        var have = at.Run.Standing.Select(r => (r.Place.Key, r.Column)).ToHashSet();
        var missing = at.Expected.SelectMany(p => at.Columns.Where(c => !have.Contains((p, c.Id))).Select(c => at.Columns.Length == 1 ? p : $"{p} {c.Id}")).ToList();
        return missing.Count > 0
                ? new BrokenRule("R-FINISH-01", $"Run {at.Run.No} lacks {missing.Count} of {at.Expected.Length * at.Columns.Length} readings: {string.Join(", ", missing.Take(8))}{(missing.Count > 8 ? " …" : "")}.")
            : have.Count == 0 ? new BrokenRule("R-FINISH-01", $"Run {at.Run.No} has no reading.")
            : SignFault(at);
    }

    // A level that was not turned as recorded flips every sign: out and back then cancel, and the mean shows a perfect rail (common practice, trade notes on stepping).
    private static BrokenRule? SignFault(RunPlace at)
    {
        if (!at.Survey.Stepped || at.Run.Kind != RunKind.Pass)
        {
            return null;
        }

        foreach (var column in at.Columns.Where(c => c.Quantity == "slope"))
        {
            var rises = Rises(at, at.Run, column.Id);
            foreach (var other in at.Measurement.CountedPasses.Where(r => r.Id != at.Run.Id))
            {
                var figure = at.Run.InstrumentFor(column.Quantity)?.FigureFor("slope", 0);
                if (OutAndBack.IsProbableSignFault(Rises(at, other, column.Id), rises, figure is null ? 0 : figure.Expanded(0) / figure.K))
                {
                    return new BrokenRule("R-FINISH-02", FormattableString.Invariant($"Runs {other.No} and {at.Run.No} nearly cancel: a rise in one is a fall in the other, up to {rises.Max(Math.Abs):0.#} µm/m. The arrow of the level was probably not as recorded. Set the run aside and measure again with the arrow as it stands."));
                }
            }
        }

        return null;
    }

    private static double[] Rises(RunPlace at, Run run, string column) =>
        [.. at.Expected.Select(p => run.AlongX(column, "slope", p) ?? 0)];

    /// <summary>Nothing below a release is changed; null where none stands over the survey.</summary>
    public static BrokenRule? Released(MachineRecord machine, Survey survey) =>
        machine.ReleasedOver(survey.Id) is { } released
            ? new BrokenRule("R-RUN-01", $"{released.Hold} of {machine.Serial} was released by {released.Person} at {released.At.InWords}; nothing released is changed. After an act on the bed it is measured anew.")
            : null;

    /// <summary>Checks everything a person sends to begin a run; all faults at once.</summary>
    public static async Task CheckInput(Db db, Caller who, MachineRecord machine, Survey survey, BeginRunRequest request, CancellationToken ct)
    {
        var faults = new List<InputFault>();
        CheckPlaces(machine, survey, request, faults);

        faults.AddRange(TypedBegin.Faults(machine.Model, survey, request.Feature, request.Direction, request.Arrow, request.Instruments, request.Checks, request.Conditions));
        faults.AddRange(request.Checks.SelectMany(c => MachineActs.Texts(($"check before use of {c.Instrument}", c.Found))).Where(f => f.Found != "nothing"));
        if (request.Conditions?.Anyway is { } anyway)
        {
            faults.AddRange(MachineActs.Texts(("reason for measuring anyway", anyway)));
        }

        var known = await db.Persons.AsNoTracking().Where(p => request.Helpers.ToList().Contains(p.Person)).Select(p => p.Person).ToListAsync(ct);
        faults.AddRange(request.Helpers.Where(h => !known.Contains(h)).Select(h => new InputFault("helper", $"'{h}'", "the sign-in name of a person")));
        faults.AddRange(request.Helpers.Where(h => h == who.Person).Select(h => new InputFault("helper", $"'{h}'", "somebody other than who measures")));
        MachineActs.Throw(faults);
    }

    private static void CheckPlaces(MachineRecord machine, Survey survey, BeginRunRequest request, List<InputFault> faults)
    {
        if (request.Kind != RunKind.SpotCheck)
        {
            faults.AddRange(request.Chosen.IsEmpty ? [] : [new InputFault("places", string.Join(", ", request.Chosen.Take(8)), "none: only a spot check chooses its places")]);
            return;
        }

        if (SpotCheckRules.ColumnsOf(survey).IsEmpty)
        {
            faults.Add(new InputFault("kind of run", "spotCheck", $"pass: nothing of survey {survey.Id} is measured in numbers"));
            return;
        }

        var places = SpotCheckRules.PlacesOf(machine, survey, request.Feature);
        faults.AddRange(request.Chosen.IsEmpty ? [new InputFault("places", "none", "at least one place to check")] : []);
        faults.AddRange(request.Chosen.Where(p => !places.Contains(p)).Select(p => new InputFault("places", $"'{p}'", places.IsEmpty ? "a place that was measured" : $"one of {string.Join(", ", places.Take(8))}{(places.Length > 8 ? " …" : "")}")));
    }

    /// <summary>The register's entries for the named instruments; every quantity that the survey asks for must be there.</summary>
    /// <param name="day">Day of the run: checks before use are of that day.</param>
    /// <exception cref="RefusedException">The last check of one failed, or it has none on that day and needs one.</exception>
    public static async Task<ImmutableArray<RegisterEntry>> Instruments(Db db, Survey survey, ImmutableArray<string> ids, string day, CancellationToken ct)
    {
        var faults = new List<InputFault>();
        var entries = ImmutableArray.CreateBuilder<RegisterEntry>();
        BrokenRule? unfit = null;
        foreach (var id in ids.Distinct())
        {
            if (await InstrumentReader.Find(db, id, ct) is not { } found)
            {
                faults.Add(new InputFault("instrument", $"'{id}'", "an instrument of the register"));
            }
            else
            {
                // A run begun without network may be of an earlier day than the last check; a good one of its own day counts.
                var entry = found.Checks.Any(c => c.Day == day && c.Good) ? found.Entry with { LastChecked = day } : found.Entry;
                entries.Add(entry);
                unfit ??= InstrumentRules.WhyNotUse(entry, day);
            }
        }

        foreach (var quantity in survey.Instruments.Where(q => faults.Count == 0 && entries.All(e => e.Quantity != q)))
        {
            faults.Add(new InputFault("instrument", entries.Count == 0 ? "none" : string.Join(", ", entries.Select(e => $"{e.Id} for {e.Quantity}")), $"one for {quantity}"));
        }

        MachineActs.Throw(faults);
        Refuse(unfit);
        return entries.ToImmutable();
    }
}
