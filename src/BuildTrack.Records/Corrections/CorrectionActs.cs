using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Corrections;

/// <summary>Records which correction was chosen, and why.</summary>
/// <param name="Evaluation">Hash of the result the options were worked out from.</param>
public sealed record ChooseCorrectionRequest(string Serial, string Line, CorrectionKind? Kind, string Evaluation, string Reason);

/// <summary>Corrections side by side, from the record as it stands.</summary>
public sealed class CorrectionReader(MachineReader machines, Store store)
{
    /// <summary>The options for one result; empty with the rule where there is nothing to correct.</summary>
    public async Task<(MachineRecord Machine, CharacteristicStanding Standing, ImmutableArray<CorrectionOption> Options, BrokenRule? WhyNot)> Options(string serial, string line, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var standing = StandingOf(machine, line);
        if (CorrectionPlan.WhyNot(machine, standing) is { } rule)
        {
            return (machine, standing, [], rule);
        }

        await using var db = store.OpenToRead();
        return (machine, standing, CorrectionPlan.Of(machine, standing, await History(db, machine, line, ct)), null);
    }

    internal static CharacteristicStanding StandingOf(MachineRecord machine, string line) =>
        machine.StandingOf(machine.AgreedAt(line));

    /// <summary>Of the other machines: the verdict of the first measurement that had one.</summary>
    internal static async Task<FirstPass> History(Db db, MachineRecord machine, string line, CancellationToken ct)
    {
        var firsts = await db.Evaluations.AsNoTracking().Where(e => e.Line == line && e.Serial != machine.Serial && e.Verdict != null)
            .GroupBy(e => e.Serial).Select(g => g.Min(e => e.Id)).ToListAsync(ct);
        var verdicts = await db.Evaluations.AsNoTracking().Where(e => firsts.Contains(e.Id)).Select(e => e.Verdict).ToListAsync(ct);
        return new FirstPass(verdicts.Count(v => v == (int)Verdict.Accepted), verdicts.Count);
    }
}

/// <summary>A person's choice among the corrections. It changes nothing on the bed: the work is recorded when it is done.</summary>
public sealed class CorrectionActs(ActRunner acts)
{
    public Task<ActReceipt> Choose(Caller who, ChooseCorrectionRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ChooseCorrection, request, key, async act =>
        {
            var faults = MachineActs.Texts(("reason", request.Reason));
            if (request.Kind is null || !Enum.IsDefined(request.Kind.Value))
            {
                faults.Add(new InputFault("correction", request.Kind is null ? "nothing" : $"'{request.Kind}'", string.Join(" or ", Enum.GetNames<CorrectionKind>())));
            }

            MachineActs.Throw(faults);
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var standing = CorrectionReader.StandingOf(machine, request.Line);
            if (CorrectionPlan.WhyNot(machine, standing) is { } rule)
            {
                throw new RefusedException(rule);
            }

            if (standing.Evaluation!.Hash != request.Evaluation)
            {
                throw new ChangedMeanwhileException($"The result of {request.Line} on {request.Serial}", Short(request.Evaluation), Short(standing.Evaluation.Hash));
            }

            var option = CorrectionPlan.Of(machine, standing, await CorrectionReader.History(act.Db, machine, request.Line, ct)).Single(o => o.Kind == request.Kind);
            if (option.Refusal is { } refusal)
            {
                throw new RefusedException(new BrokenRule(CorrectionPlan.NotPossible, $"This cannot be done on {request.Serial}: {refusal}"));
            }

            act.Db.CorrectionChoices.Add(new CorrectionChoiceRow
            {
                Id = act.NewId(), Serial = request.Serial, Line = request.Line, EvaluationHash = request.Evaluation, Kind = (int)option.Kind, Person = who.Person, AtUs = act.Now.Microseconds,
                Reason = request.Reason.Trim(), Option = CanonicalJson.Of(option),
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, option });
        }, ct);

    internal static async Task<ImmutableArray<CorrectionChoice>> Of(Db db, string serial, CancellationToken ct) =>
    [
        .. (await db.CorrectionChoices.AsNoTracking().Where(c => c.Serial == serial).OrderBy(c => c.Id).ToListAsync(ct)).Select(c => new CorrectionChoice(
            c.Id, c.Line, c.EvaluationHash, (CorrectionKind)c.Kind, c.Person, new Instant(c.AtUs), c.Reason, CanonicalJson.Read<CorrectionOption>(c.Option))),
    ];

    internal static string Short(string hash) => hash.Length > 12 ? hash[..12] : hash;
}
