using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Nonconformances;

/// <summary>Raising nonconformances and carrying them on until they are closed.</summary>
public sealed class NonconformanceActs(ActRunner acts)
{
    /// <summary>Takes the next number of the plant's sequence.</summary>
    /// <exception cref="ChangedMeanwhileException">The line has a newer result than the one that was seen.</exception>
    public Task<NonconformanceReceipt> Raise(Caller who, RaiseRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RaiseNonconformance, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            MachineActs.Throw(Faults(machine, request));
            var (step, failed) = request.Line is { } line ? FromLine(machine, line, request.Evaluation) : (request.Step, null);
            var first = (await PlantReader.Get(act.Db, ct)).FirstNonconformance;
            var row = new NonconformanceRow
            {
                // Under the lock of the act: no gap and no number twice.
                Id = act.NewId(), Number = await act.Db.Nonconformances.MaxAsync(n => (int?)n.Number, ct) + 1 ?? first, Serial = request.Serial, Step = step,
                Result = failed is null ? null : CanonicalJson.Of(failed), Seen = request.Seen is { } seen ? CanonicalJson.Of(seen) : null, Severity = (int)request.Severity!.Value,
                Note = Trimmed(request.Note), Person = who.Person, AtUs = act.Now.Microseconds,
            };
            act.Db.Nonconformances.Add(row);
            await act.Touch(request.Serial, ct);
            var raised = row.ToNonconformance([]);
            return new ActResult<NonconformanceReceipt>(
                new NonconformanceReceipt(act.Sequence, request.Serial, row.Number, raised.Standing.Word, null), request.Serial,
                new { request, row.Id, raised.Name, raised.Required, raised.Found, failed?.EvaluationHash });
        }, ct);

    /// <summary>Adds the next entry, or refuses it with the rule. The entry that completes a concession takes its number.</summary>
    /// <exception cref="NotFoundException">No such nonconformance.</exception>
    public Task<NonconformanceReceipt> Do(Caller who, NonconformanceRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, KindOf(request.Act), request, key, async act =>
        {
            var of = await NonconformanceReader.Get(act.Db, request.Number, ct);
            var machine = await MachineReader.Load(act.Db, of.Serial, ct);
            MachineActs.Throw(await Faults(act.Db, of.Serial, request, ct));
            if (NonconformanceRules.WhyNot(machine, of, request.Act, who.Person, who.Roles, request.Disposition) is { } rule)
            {
                throw new RefusedException(rule);
            }

            var detail = new NonconformanceDetail(request.Text!.Trim(), who.Roles, request.Containment, request.Cause, request.Disposition, request.Consent);
            var entry = new NonconformanceEntry(act.NewId(), request.Act, who.Person, act.Now, detail, null);
            if (of.Concedes(entry))
            {
                entry = entry with { Concession = await act.Db.NonconformanceEntries.MaxAsync(e => e.Concession, ct) + 1 ?? 1 };
            }

            act.Db.NonconformanceEntries.Add(new NonconformanceEntryRow
            {
                Id = entry.Id, NonconformanceId = of.Id, Act = (int)entry.Act, Person = entry.Person, AtUs = entry.At.Microseconds, Detail = CanonicalJson.Of(detail),
                Concession = entry.Concession,
            });
            await act.Touch(of.Serial, ct);
            var after = of with { Entries = [.. of.Entries, entry] };
            var concession = entry.Concession is { } number ? Concession.NameOf(number) : null;
            return new ActResult<NonconformanceReceipt>(
                new NonconformanceReceipt(act.Sequence, of.Serial, of.Number, after.Standing.Word, concession), of.Serial, new { request, Entry = entry.Id, of.Name, who.Roles, Concession = concession });
        }, ct);

    /// <summary>The act that a person needs the right for.</summary>
    public static string KindOf(NonconformanceAct act) => act switch
    {
        NonconformanceAct.Contain => ActKind.Contain,
        NonconformanceAct.Propose => ActKind.Propose,
        NonconformanceAct.Approve => ActKind.Approve,
        NonconformanceAct.Consent => ActKind.RecordConsent,
        NonconformanceAct.GiveBack => ActKind.GiveBack,
        NonconformanceAct.Action => ActKind.RecordAction,
        NonconformanceAct.Verify => ActKind.VerifyAction,
        NonconformanceAct.Close => ActKind.CloseNonconformance,
        _ => throw new ArgumentOutOfRangeException(nameof(act), act, "There is no such act."),
    };

    private static (int? Step, FailedResult Failed) FromLine(MachineRecord machine, string line, string? seen)
    {
        var agreed = machine.Agreed().Single(a => a.Characteristic.Line == line);
        if (seen is not null && machine.EvaluationOf(line)?.Hash is var now && now != seen)
        {
            throw new ChangedMeanwhileException($"The result of {line} of {machine.Serial}", seen[..Math.Min(12, seen.Length)], now?[..12] ?? "none");
        }

        var (failed, rule) = NonconformanceRules.FromResult(machine, agreed);
        return failed is null ? throw new RefusedException(rule!) : (machine.Revision.Holds.Single(h => h.Id == agreed.Characteristic.Hold).Step, failed);
    }

    private static List<InputFault> Faults(MachineRecord machine, RaiseRequest request)
    {
        var faults = request.Seen is { } seen
            ? MachineActs.Texts(("required", seen.Required), ("found", seen.Found), ("where it is required", seen.Origin)) : [];
        if (request.Severity is null)
        {
            faults.Add(new InputFault("severity", "nothing", "critical, major or minor"));
        }

        if (request.Line is null == request.Seen is null)
        {
            faults.Add(new InputFault("nonconformance", request.Line is null ? "neither a line nor what was seen" : "a line and something typed", "a line, whose values come from the record, or what was seen"));
        }

        if (request.Line is { } line && machine.Agreed().All(a => a.Characteristic.Line != line))
        {
            faults.Add(new InputFault("line", $"'{line}'", $"a line of the inspection and test plan of {machine.Serial}"));
        }

        if (request.Step is { } step && (request.Line is not null || machine.Revision.FindStep(step) is null))
        {
            faults.Add(new InputFault("step", $"{step}", request.Line is null ? $"a step of the route of {machine.Serial}" : "none: the line tells it"));
        }

        if (!string.IsNullOrWhiteSpace(request.Note))
        {
            faults.AddRange(MachineActs.Texts(("note", request.Note)));
        }

        return faults;
    }

    private static async Task<List<InputFault>> Faults(Db db, string serial, NonconformanceRequest request, CancellationToken ct)
    {
        var faults = MachineActs.Texts(("text", request.Text));
        void Belongs(string where, object? given, NonconformanceAct to)
        {
            if (given is null == (request.Act == to))
            {
                faults.Add(new InputFault(where, given is null ? "nothing" : "one", given is null ? $"one: {KindOf(to)} needs it" : $"none: it belongs to {KindOf(to)}"));
            }
        }

        Belongs("containment", request.Containment, NonconformanceAct.Contain);
        Belongs("cause", request.Cause, NonconformanceAct.Propose);
        Belongs("disposition", request.Disposition, NonconformanceAct.Propose);
        Belongs("consent", request.Consent, NonconformanceAct.Consent);
        if (request.Consent is { } consent)
        {
            faults.AddRange(MachineActs.Texts(("customer's person", consent.Person), ("letter", consent.Letter)));
        }

        if (request.Containment is { } containment)
        {
            faults.AddRange(MachineActs.Texts(("tag", containment.Tag), ("place", containment.Place)));
            var others = containment.OthersToStop.IsDefault ? [] : containment.OthersToStop;
            var known = await db.Machines.Where(m => m.Serial != serial && others.ToList().Contains(m.Serial)).Select(m => m.Serial).ToListAsync(ct);
            faults.AddRange(others.Except(known).Select(o => new InputFault("other machine to stop", $"'{o}'", "the serial number of another machine in the record")));
        }

        return faults;
    }

    private static string? Trimmed(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
