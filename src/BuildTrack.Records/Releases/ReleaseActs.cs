using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Releases;

/// <summary>Passing a hold point, or giving it back.</summary>
public sealed class ReleaseActs(ActRunner acts, PasswordCheck passwords, CertificateIssuer issuer)
{
    /// <summary>Releases a hold point. When it was the last of a certificate's scope, the number is taken in the same transaction.</summary>
    /// <exception cref="ChangedMeanwhileException">The sheet is no longer the one that was seen.</exception>
    public async Task<ReleaseReceipt> Release(Caller who, ReleaseRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.Release))
        {
            throw new NotAllowedException(ActKind.Release, who);
        }

        await passwords.Demand(who, request.Password, ct);
        return await acts.Do(who, ActKind.Release, new { request.Serial, request.Hold, request.Sheet }, key, async act =>
        {
            var (machine, hold) = await Find(act.Db, request.Serial, request.Hold, ct);
            CheckSheet(machine, hold, request.Sheet);
            if (ReleaseRules.WhyNotRelease(machine, hold, who.Person) is { } rule)
            {
                throw new RefusedException(rule);
            }

            var characteristics = machine.StandingOfHold(hold).Characteristics;
            var evaluations = characteristics.Select(c => c.Evaluation!.Hash).ToImmutableArray();
            ImmutableArray<string> conceded = [.. characteristics.Select(c => c.Concession?.Name).OfType<string>().Distinct()];
            var decision = Decide(act, request.Serial, hold, HoldDecisionKind.Released, null, request.Sheet, evaluations);
            await act.Touch(request.Serial, ct);
            await act.Db.SaveChangesAsync(ct);
            var (certificate, blocked) = await issuer.WhenComplete(act, request.Serial, hold.Id, ct);
            return new ActResult<ReleaseReceipt>(
                new ReleaseReceipt(act.Sequence, hold.Id, certificate?.Number, certificate?.Issue, blocked, conceded.IsEmpty ? null : conceded), request.Serial,
                new { request.Serial, request.Hold, request.Sheet, Decision = decision.Id, Evaluations = evaluations, Concessions = conceded.IsEmpty ? default(ImmutableArray<string>?) : conceded, certificate?.Number, certificate?.Issue, certificate?.RecordHash, Blocked = blocked });
        }, ct);
    }

    /// <summary>Gives a hold point back to those who measured, with the reason.</summary>
    public Task<ActReceipt> Return(Caller who, ReturnRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Return, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var (machine, hold) = await Find(act.Db, request.Serial, request.Hold, ct);
            CheckSheet(machine, hold, request.Sheet);
            if (ReleaseRules.WhyNotReturn(machine, hold) is { } rule)
            {
                throw new RefusedException(rule);
            }

            var evaluations = machine.StandingOfHold(hold).Characteristics.Where(c => c.Evaluation is not null).Select(c => c.Evaluation!.Hash).ToImmutableArray();
            Decide(act, request.Serial, hold, HoldDecisionKind.Returned, request.Reason, request.Sheet, evaluations);
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    private static async Task<(MachineRecord Machine, HoldPoint Hold)> Find(Db db, string serial, string holdId, CancellationToken ct)
    {
        var machine = await MachineReader.Load(db, serial, ct);
        var hold = machine.Revision.Holds.SingleOrDefault(h => h.Id == holdId) ?? throw new NotFoundException($"{serial} has no hold point {holdId}.");
        return (machine, hold);
    }

    private static void CheckSheet(MachineRecord machine, HoldPoint hold, string seen)
    {
        var now = machine.SheetHash(hold.Id);
        if (seen != now)
        {
            throw new ChangedMeanwhileException($"The sheet of {hold.Id} of {machine.Serial}", seen, now);
        }
    }

    private static HoldDecisionRow Decide(
        ActContext act, string serial, HoldPoint hold, HoldDecisionKind kind, string? reason, string sheet, ImmutableArray<string> evaluations)
    {
        var row = new HoldDecisionRow
        {
            Id = act.NewId(), Serial = serial, Hold = hold.Id, Kind = (int)kind, Person = act.Who.Person, AtUs = act.Now.Microseconds, Reason = reason,
            Sheet = sheet, Evaluations = CanonicalJson.Of(evaluations), Act = act.Sequence,
        };
        act.Db.Decisions.Add(row);
        return row;
    }
}
