using System.Collections.Immutable;
using System.Text.RegularExpressions;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Machines;

/// <summary>Ordering machines, changing what was agreed, and acts on the bed.</summary>
public sealed partial class MachineActs(ActRunner acts)
{
    /// <summary>Opens a build record under the checklists in force.</summary>
    public Task<ActReceipt> Order(Caller who, OrderMachineRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.OrderMachine, request, key, async act =>
        {
            var faults = Texts(("serial number", request.Serial), ("customer", request.Customer));
            if (!SerialNumber().IsMatch(request.Serial))
            {
                faults.Add(new InputFault("serial number", $"'{request.Serial}'", "letters, digits and hyphens, like OV1530-0417"));
            }

            var row = await ChecklistReader.Current(act.Db, ct)
                ?? throw new RefusedException(new BrokenRule("R-ORDER-01", "No checklists are loaded; an administrator loads them before a machine is ordered."));
            var revision = ChecklistReader.Parse(row);
            var model = revision.Models.SingleOrDefault(m => m.Id == request.Model);
            if (model is null)
            {
                faults.Add(new InputFault("model", $"'{request.Model}'", $"one of {string.Join(", ", revision.Models.Select(m => m.Id))}"));
            }
            else
            {
                faults.AddRange(FaultsOf(request.Order, revision, model));
            }

            Throw(faults);
            if (await act.Db.Machines.AnyAsync(m => m.Serial == request.Serial, ct))
            {
                throw new RefusedException(new BrokenRule("R-ORDER-02", $"Machine {request.Serial} has a build record already."));
            }

            act.Db.Machines.Add(new MachineRow
            {
                Serial = request.Serial,
                Model = request.Model,
                Customer = request.Customer,
                ChecklistHash = row.Hash,
                Order = CanonicalJson.Of(request.Order),
                OrderedUs = act.Now.Microseconds,
                Version = act.Sequence,
            });
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, Checklists = row.Hash });
        }, ct);

    /// <summary>Replaces what the order changes of the company's limits, with approver and reason; results are calculated anew.</summary>
    public Task<ActReceipt> ChangeOrder(Caller who, ChangeOrderRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ChangeOrder, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            if (machine.Version != request.Version)
            {
                throw new ChangedMeanwhileException($"Machine {request.Serial}", $"version {request.Version}", $"version {machine.Version}");
            }

            Throw(FaultsOf(request.Order, machine.Revision, machine.Model));
            var touched = request.Order.Concat(machine.Order).Select(t => t.Characteristic).ToHashSet();
            if (machine.Revision.Holds.Select(machine.StandingOfHold)
                    .FirstOrDefault(h => h.Released is not null && h.Characteristics.Any(c => touched.Contains(c.Agreed.Characteristic.Id))) is { } released)
            {
                throw new RefusedException(new BrokenRule("R-ORDER-03", $"{released.Hold.Id} of {request.Serial} is released; its limits no longer change."));
            }

            var row = await act.Db.Machines.SingleAsync(m => m.Serial == request.Serial, ct);
            row.Order = CanonicalJson.Of(request.Order);
            row.Version = act.Sequence;
            await act.Db.SaveChangesAsync(ct);
            await Evaluation.Renew(act, request.Serial, _ => true, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    /// <summary>Records an act on the bed. Measurements it makes void stay, and their results are to be repeated.</summary>
    public Task<ActReceipt> ChangeBed(Caller who, ChangeBedRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ChangeBed, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var faults = Texts(("note", request.Note));
            if (machine.Revision.Invalidation.All(r => r.Change != request.Change))
            {
                faults.Add(new InputFault("act on the bed", $"'{request.Change}'", $"one of {string.Join(", ", machine.Revision.Invalidation.Select(r => r.Change))}"));
            }

            Throw(faults);
            NoOpenRun(machine);

            AddBedChange(act, request.Serial, request.Change, request.Note);
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    private static List<InputFault> FaultsOf(ImmutableArray<OrderTerm> order, ChecklistRevision revision, MachineModel model)
    {
        var faults = new List<InputFault>();
        foreach (var term in order)
        {
            var where = $"order term for {term.Characteristic}";
            var characteristic = revision.Characteristics.SingleOrDefault(c => c.Id == term.Characteristic);
            if (characteristic is null || revision.RequirementOf(characteristic.Limit, model) is not { } company)
            {
                faults.Add(new InputFault(where, $"'{term.Characteristic}'", $"a characteristic of class {model.Class}: {string.Join(", ", revision.Characteristics.Where(c => revision.RequirementOf(c.Limit, model) is not null).Select(c => c.Id))}"));
                continue;
            }

            faults.AddRange(Texts(($"{where}, origin", term.Origin), ($"{where}, edition", term.Edition), ($"{where}, approver", term.ApprovedBy), ($"{where}, reason", term.Reason)));
            var references = Evaluators.Find(characteristic.Evaluator)?.References ?? [];
            if (term.Reference is { } reference && !references.Contains(reference))
            {
                faults.Add(new InputFault($"{where}, reference", $"'{reference}'", references.Length == 0 ? "none: this calculation knows no choice" : string.Join(" or ", references)));
            }

            foreach (var (name, given, standard) in new[] { ("upper limit", term.Upper, company.Upper), ("lower limit", term.Lower, company.Lower) })
            {
                if (given is not null && (standard is null || Domain.Measuring.Units.Calculated(given.Unit) != Domain.Measuring.Units.Calculated(standard.Unit)))
                {
                    faults.Add(new InputFault($"{where}, {name}", given.ToString(), standard is null ? "none: the characteristic has no such limit" : $"a value like {standard}"));
                }
            }
        }

        return faults;
    }

    /// <summary>The row of an act on the bed, by whoever does the act that it belongs to.</summary>
    internal static void AddBedChange(ActContext act, string serial, string change, string note) => act.Db.BedChanges.Add(new BedChangeRow
    {
        Id = act.NewId(), Serial = serial, Change = change, Note = note, Person = act.Who.Person, AtUs = act.Now.Microseconds,
    });

    internal static void NoOpenRun(MachineRecord machine)
    {
        if (machine.Measurements.Select(m => m.Open).FirstOrDefault(r => r is not null) is { } open)
        {
            throw new RefusedException(new BrokenRule("R-BED-01", $"Run {open.No} by {open.Person} is still open; finish or discard it before the bed is changed."));
        }
    }

    /// <summary>A text that may be left out: without the space around it; null where there is nothing.</summary>
    internal static string? Plain(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    internal static List<InputFault> Texts(params (string Where, string? Text)[] texts)
    {
        var faults = new List<InputFault>();
        foreach (var (where, text) in texts)
        {
            if (string.IsNullOrWhiteSpace(text))
            {
                faults.Add(new InputFault(where, "nothing", "a text"));
            }
            else if (text.Length > 500)
            {
                faults.Add(new InputFault(where, $"{text.Length} characters", "at most 500"));
            }
            else if (CanonicalJson.WhyNotText(text) is { } why)
            {
                faults.Add(new InputFault(where, why, "plain text"));
            }
        }

        return faults;
    }

    internal static void Throw(List<InputFault> faults)
    {
        if (faults.Count > 0)
        {
            throw new BadInputException(faults);
        }
    }

    [GeneratedRegex("^[A-Za-z0-9][A-Za-z0-9-]{0,39}$")]
    private static partial Regex SerialNumber();
}

/// <summary>The version that every act on a machine raises.</summary>
internal static class MachineVersion
{
    public static async Task Touch(this ActContext act, string serial, CancellationToken ct) =>
        (await act.Db.Machines.SingleAsync(m => m.Serial == serial, ct)).Version = act.Sequence;
}

/// <summary>Calculates a machine's results anew inside an act and keeps those that changed.</summary>
internal static class Evaluation
{
    /// <summary>Evaluates the characteristics that rest on the wanted surveys, in the order of their lines, results of others first.</summary>
    public static async Task<ImmutableArray<StoredEvaluation>> Renew(ActContext act, string serial, Func<string, bool> survey, CancellationToken ct)
    {
        var renewed = ImmutableArray.CreateBuilder<StoredEvaluation>();
        var machine = await MachineReader.Load(act.Db, serial, ct);
        var wanted = EvaluationInputs.InOrder(machine.Agreed().Where(a => machine.SurveysOf(a.Characteristic).Any(survey) && Evaluators.Find(a.Characteristic.Evaluator) is not null));
        foreach (var agreed in wanted)
        {
            var record = Evaluators.Evaluate(EvaluationInputs.For(machine, agreed));
            var text = CanonicalJson.Of(record);
            var hash = CanonicalJson.Hash(text);
            var line = agreed.Characteristic.Line;
            var stored = machine.EvaluationOf(line) is { } before && before.Hash == hash ? before : new StoredEvaluation(act.NewId(), line, hash, act.Now, record);
            renewed.Add(stored);
            if (stored.Hash != machine.EvaluationOf(line)?.Hash)
            {
                act.Keep(KeptRow.Evaluation, stored.Id, line, hash);
                act.Db.Evaluations.Add(new EvaluationRow
                {
                    Id = stored.Id, Serial = serial, Line = line, Hash = hash, Text = text, AtUs = act.Now.Microseconds,
                    State = (int)record.Result.State, Verdict = (int?)record.Result.Verdict,
                });
                machine = machine with { Evaluations = [.. machine.Evaluations.Where(e => e.Line != line), stored] };
            }
        }

        await act.Db.SaveChangesAsync(ct);
        return renewed.ToImmutable();
    }
}
