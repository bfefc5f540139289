using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Surveys;

/// <summary>The acts of measuring: begin a run, record, correct, discard, finish.</summary>
public sealed class SurveyActs(ActRunner acts, FileStore files, Store store)
{
    /// <summary>Begins a run; the first run opens the measurement, the first after an act on the bed opens the next one.</summary>
    /// <param name="sentUs">Of one begun without network: the tablet's clock as it sends, µs UTC. It is no part of the request: sent again, that one is still the same.</param>
    public Task<BegunRun> BeginRun(Caller who, BeginRunRequest request, string? key, CancellationToken ct, long? sentUs = null) =>
        acts.Do(who, ActKind.BeginRun, request, key, async act =>
        {
            var tablet = TabletClock.Of(request.BegunUs, sentUs);
            RunRules.Refuse(BegunBefore.WhyNot(request.By, tablet, who));
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var survey = machine.Revision.FindSurvey(request.Survey)
                ?? throw new BadInputException("survey", $"'{request.Survey}'", $"one of {string.Join(", ", machine.Revision.Surveys.Select(s => s.Id))}");
            await RunRules.CheckInput(act.Db, who, machine, survey, request, ct);
            RunRules.Refuse(RunRules.WhyNotBegin(machine, survey, request, who) ?? BegunBefore.WhyNot(machine, survey.Id, tablet, act.Now));
            await RunRules.RefuseUnqualified(act, machine, survey, ct);
            var day = (await PlantReader.Time(act.Db, ct)).Day(BegunBefore.Moment(act.Now, tablet));
            var instruments = await RunRules.Instruments(act.Db, survey, request.Instruments, day, ct);

            var current = machine.Current(survey.Id, request.Feature);
            var voided = current is null ? null : machine.VoidedBy(current);
            if (current is null || voided is not null)
            {
                current = new Measurement(
                    act.NewId(), survey.Id, request.Feature, (current?.No ?? 0) + 1, survey.Passes, voided, act.Now, who.Person, []);
                act.Db.Measurements.Add(new MeasurementRow
                {
                    Id = current.Id, Serial = request.Serial, Survey = survey.Id, Feature = request.Feature, No = current.No, PassesPlanned = current.PassesPlanned,
                    RepeatedBecause = current.RepeatedBecause, BegunUs = act.Now.Microseconds, BegunBy = who.Person,
                });
            }

            // A change of person starts a new run: the earlier one keeps its readings and its person, and counts in nothing.
            if (request.HandOver is { } earlier)
            {
                var row = await act.Db.Runs.SingleAsync(r => r.Id == earlier, ct);
                (row.DiscardedUs, row.DiscardedBy, row.DiscardedBecause) = (act.Now.Microseconds, who.Person, $"handed over to {who.Name}, who began the next run");
            }

            ImmutableArray<WeightedPlace> weights = request.Kind switch
            {
                RunKind.ContactsAgain => machine.EvaluationOf(request.Proves!)!.Record.Result.Next.Places,
                RunKind.SpotCheck => [.. request.Chosen.Distinct().Select(p => new WeightedPlace(p, 0))],
                _ => [],
            };
            var run = new Run(
                act.NewId(), current.Runs.Length + 1, request.Kind, request.Direction, request.Arrow, who.Person, request.Helpers,
                day, instruments, request.Checks, request.Conditions, weights, request.Proves, null, act.Now, null, null, null, [], tablet);
            act.Db.Runs.Add(run.ToRow(current.Id, request.Serial));
            act.Db.RunInstruments.AddRange(instruments.Select(i => new RunInstrumentRow { RunId = run.Id, Instrument = i.Id, Day = run.Day, Serial = request.Serial }));
            await act.Touch(request.Serial, ct);
            return new ActResult<BegunRun>(
                new BegunRun(act.Sequence, current.Id, current.No, run.Id, run.No), request.Serial, new { request, Measurement = current.Id, Run = run });
        }, ct);

    /// <summary>Records typed readings in an open run: all or none.</summary>
    /// <param name="sentUs">The tablet's clock as it sends, µs UTC. It is no part of the request: sent again, that one is still the same.</param>
    public Task<RecordedReadings> Record(Caller who, RecordRequest request, string? key, CancellationToken ct, long? sentUs = null) =>
        acts.Do(who, ActKind.Record, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            RunRules.Refuse(RunRules.WhyNotRecord(at, who));
            await RunRules.RefuseUnqualified(act, at.Machine, at.Survey, ct);
            var readings = await ReadingEntry.Understand(at, request.Readings, request.Route, act, ct);
            if (request.Confirmed is { } confirmed)
            {
                var asked = readings.Select(r => Plausibility.QuestionOf(at.Machine, at.Survey, at.Measurement, at.Run, r)).ToImmutableArray();
                if (!confirmed && asked.Any(q => q is not null))
                {
                    throw new DoubtfulReadingException([.. asked.OfType<string>()]);
                }

                readings = [.. readings.Zip(asked, (r, q) => q is null ? r : r with { Reason = $"asked and confirmed: {q}" })];
            }

            if (TabletClock.Of(request.TypedUs, sentUs) is { } clock)
            {
                readings = [.. readings.Select(r => r with { Tablet = clock })];
            }

            return Add(act, at, readings, await TouchPayload(act, at, new { request }, ct));
        }, ct);

    /// <summary>Takes back the last entry of an open run by an entry without value: its place is empty again, and both stand in the record.</summary>
    public Task<RecordedReadings> TakeBack(Caller who, TakeBackRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.TakeBack, request, key, async act =>
        {
            var (at, reading) = await Find(act, request.Serial, request.Reading, ct);
            RunRules.Refuse(RunRules.WhyNotTakeBack(at, reading, who));
            var was = at.Run.LastEntry;
            return Add(act, at, [.. was.Select(r => r.TakenBack(act.NewId(), act.Now, who.Person))], await TouchPayload(act, at, new { request, Was = was.Select(r => r.Value) }, ct));
        }, ct);

    /// <summary>Reads a survey file without recording it; a sound file is kept by its hash so that it can be recorded unchanged.</summary>
    /// <param name="mapping">Which column is what, where the file has a header of its own.</param>
    /// <exception cref="BadInputException">All faults of the file, each with line and column.</exception>
    public async Task<SurveyPreview> Preview(
        Caller who, string serial, long run, string fileName, ReadOnlyMemory<byte> bytes, CancellationToken ct, ColumnMapping? mapping = null)
    {
        await using var db = store.OpenToRead();
        var at = await RunPlace.Find(db, serial, run, ct);
        RunRules.Refuse(RunRules.WhyNotRecord(at, who));
        var preview = at.ReadFile(fileName, bytes, mapping);
        await files.Put(bytes, ct);
        return preview;
    }

    /// <summary>Keeps a photo or a table, so that a reading can name it by its hash. The same bytes again change nothing.</summary>
    public async Task<string> KeepFile(Caller who, string fileName, string mediaType, ReadOnlyMemory<byte> bytes, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.Record))
        {
            throw new NotAllowedException(ActKind.Record, who);
        }

        MachineActs.Throw(MachineActs.Texts(("file name", fileName), ("media type", mediaType)));
        var hash = await files.Put(bytes, ct);
        await using (var db = store.OpenToRead())
        {
            if (await db.Files.AnyAsync(f => f.Hash == hash, ct))
            {
                return hash;
            }
        }

        await acts.Do(who, ActKind.Record, new { hash, fileName, mediaType }, key, async act =>
        {
            if (!await act.Db.Files.AnyAsync(f => f.Hash == hash, ct))
            {
                act.Db.Files.Add(new FileRow { Hash = hash, Name = fileName, MediaType = mediaType, Size = bytes.Length, AtUs = act.Now.Microseconds, By = who.Person });
            }

            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, hash), hash, new { hash, fileName, mediaType });
        }, ct);
        return hash;
    }

    /// <summary>Records a previewed file: read again from the kept bytes, all or none.</summary>
    public async Task<RecordedReadings> RecordFile(Caller who, RecordFileRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.Record))
        {
            throw new NotAllowedException(ActKind.Record, who);
        }

        var bytes = await files.Get(request.FileHash, ct)
            ?? throw new BadInputException("file", request.FileHash, "the hash of a file that was previewed");
        return await acts.Do(who, ActKind.Record, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            RunRules.Refuse(RunRules.WhyNotRecord(at, who));
            await RunRules.RefuseUnqualified(act, at.Machine, at.Survey, ct);
            var preview = at.ReadFile(request.FileName, bytes, request.Mapping);
            var typed = preview.Rows.Select(r => new TypedReading(r.Place, r.Column, r.Typed, r.Unit)).ToImmutableArray();
            var readings = await ReadingEntry.Understand(at, typed, EntryRoute.File, act, ct);
            var row = await act.Db.Runs.SingleAsync(r => r.Id == request.Run, ct);
            (row.FileHash, row.FileColumns) = (request.FileHash, request.Mapping is { } mapping ? CanonicalJson.Of(mapping) : null);
            if (!await act.Db.Files.AnyAsync(f => f.Hash == request.FileHash, ct))
            {
                act.Db.Files.Add(new FileRow
                {
                    Hash = request.FileHash, Name = request.FileName, MediaType = "text/csv", Size = bytes.Length, AtUs = act.Now.Microseconds, By = who.Person,
                });
            }

            return Add(act, at, readings, await TouchPayload(act, at, new { request }, ct));
        }, ct);
    }

    /// <summary>Corrects a reading by a further one that supersedes it and says why.</summary>
    public Task<RecordedReadings> Correct(Caller who, CorrectRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Correct, request, key, async act =>
        {
            var (at, old) = await Find(act, request.Serial, request.Reading, ct);
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            RunRules.Refuse(RunRules.WhyNotCorrect(at, old, who));
            var readings = await ReadingEntry.Understand(at, [new TypedReading(old.Place.Key, old.Column, request.Typed, request.Unit ?? old.Value.Unit)], EntryRoute.Typed, act, ct, correcting: old);
            var corrected = readings[0] with { Supersedes = old.Id, Reason = request.Reason };
            var result = Add(act, at, [corrected], await TouchPayload(act, at, new { request, Was = old.Value }, ct));
            if (at.Run.Finished is not null)
            {
                await act.Db.SaveChangesAsync(ct);
                await Show(act, at, await Evaluation.Renew(act, request.Serial, s => s == at.Survey.Id, ct), ct);
            }

            return result;
        }, ct);

    /// <summary>Sets a run aside, with a reason; it is kept and named on the certificate.</summary>
    public Task<ActReceipt> Discard(Caller who, DiscardRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Discard, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            RunRules.Refuse(RunRules.WhyNotDiscard(at, who));
            var row = await act.Db.Runs.SingleAsync(r => r.Id == request.Run, ct);
            (row.DiscardedUs, row.DiscardedBy, row.DiscardedBecause) = (act.Now.Microseconds, who.Person, request.Reason);
            var payload = await TouchPayload(act, at, new { request }, ct);
            await act.Db.SaveChangesAsync(ct);
            await Evaluation.Renew(act, request.Serial, s => s == at.Survey.Id, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, payload);
        }, ct);

    /// <summary>Finishes a run that is complete, and calculates every result that rests on its survey.</summary>
    public Task<FinishedRun> Finish(Caller who, FinishRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Finish, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            RunRules.Refuse(RunRules.WhyNotFinish(at, who));
            (await act.Db.Runs.SingleAsync(r => r.Id == request.Run, ct)).FinishedUs = act.Now.Microseconds;
            await act.Touch(request.Serial, ct);
            await act.Db.SaveChangesAsync(ct);
            var evaluations = await Evaluation.Renew(act, request.Serial, s => s == at.Survey.Id, ct);
            await Show(act, at, evaluations, ct);
            var results = evaluations.Select(e => new FinishedResult(e.Line, e.Record.Input.Characteristic.Title, e.Hash, e.Record.Result)).ToImmutableArray();
            return new ActResult<FinishedRun>(
                new FinishedRun(act.Sequence, request.Run, results, at.Run.Kind == RunKind.SpotCheck), request.Serial,
                new { request, Evaluations = evaluations.Select(e => new { e.Line, e.Hash }) });
        }, ct);

    // From the moment a value is known, only an inspector sets its runs aside (docs/method/verdict.md, "Looking again").
    private static async Task Show(ActContext act, RunPlace at, ImmutableArray<StoredEvaluation> evaluations, CancellationToken ct)
    {
        if (evaluations.Any(e => e.Record.Result.State == ResultState.Calculated))
        {
            foreach (var run in await act.Db.Runs.Where(r => r.MeasurementId == at.Measurement.Id && r.FinishedUs != null && r.ShownUs == null).ToListAsync(ct))
            {
                run.ShownUs = act.Now.Microseconds;
            }
        }
    }

    private static async Task<(RunPlace At, Reading Reading)> Find(ActContext act, string serial, long reading, CancellationToken ct)
    {
        var row = await act.Db.Readings.AsNoTracking().SingleOrDefaultAsync(r => r.Id == reading && r.Serial == serial, ct)
            ?? throw new NotFoundException($"There is no reading {reading} on {serial}.");
        return (await RunPlace.Find(act.Db, serial, row.RunId, ct), row.ToReading());
    }

    private static ActResult<RecordedReadings> Add(ActContext act, RunPlace at, ImmutableArray<Reading> readings, object payload)
    {
        act.Db.Readings.AddRange(readings.Select(r => r.ToRow(at.Run.Id, at.Machine.Serial)));
        foreach (var reading in readings)
        {
            act.Keep(KeptRow.Reading, reading.Id, FormattableString.Invariant($"{at.Run.Id}"), reading.Hash);
        }

        return new ActResult<RecordedReadings>(
            new RecordedReadings(act.Sequence, at.Run.Id, readings.Length, [.. readings.Select(r => r.Id)]), at.Machine.Serial,
            new { Request = payload, Readings = readings.Select(r => new { r.Id, r.Place, r.Column, r.Value, r.Supersedes, r.Reason }) });
    }

    private static async Task<object> TouchPayload(ActContext act, RunPlace at, object payload, CancellationToken ct)
    {
        await act.Touch(at.Machine.Serial, ct);
        return payload;
    }
}
