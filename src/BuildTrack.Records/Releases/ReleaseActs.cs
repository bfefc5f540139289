using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Releases;

/// <summary>Passing a hold point, or giving it back.</summary>
public sealed class ReleaseActs(ActRunner acts, PasswordCheck passwords, CertificateIssuer issuer)
{
    /// <summary>Releases a hold point. When it was the last of a certificate's scope, the number is taken in the same transaction.</summary>
    /// <exception cref="ChangedMeanwhileException">The sheet is no longer the one that was seen.</exception>
    public async Task<ReleaseReceipt> Release(Caller who, ReleaseRequest request, string? key, CancellationToken ct) =>
        (await Release(who, new ReleaseSheetRequest(request.Serial, [new SeenPoint(request.Hold, request.Sheet)], request.Password), request.Emergency, key, ct)).Points[0];

    /// <summary>Releases the points of a sheet, in the order of the route, each by its own rules: all of them, or none.</summary>
    /// <exception cref="ChangedMeanwhileException">One of them is no longer as it was seen.</exception>
    public Task<ReleaseSheetReceipt> ReleaseSheet(Caller who, ReleaseSheetRequest request, string? key, CancellationToken ct) => Release(who, request, null, key, ct);

    private async Task<ReleaseSheetReceipt> Release(Caller who, ReleaseSheetRequest request, EmergencyRequest? emergency, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.Release))
        {
            throw new NotAllowedException(ActKind.Release, who);
        }

        CheckPoints(request.Points);
        await passwords.Demand(who, request.Password, ct);
        var second = emergency is null ? null : await Second(emergency, ct);
        return await acts.Do(who, ActKind.Release, new { request.Serial, request.Points, Emergency = second?.Said }, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var order = machine.Revision.Holds.Select(h => h.Id).ToList();
            var released = new List<Passed>();
            foreach (var point in request.Points.OrderBy(p => order.IndexOf(p.Hold)))
            {
                // Read anew after each point, so that the rules of the next see it as released.
                machine = released.Count == 0 ? machine : await MachineReader.Load(act.Db, request.Serial, ct);
                released.Add(await Pass(act, machine, point, second, ct));
            }

            await act.Touch(request.Serial, ct);
            return new ActResult<ReleaseSheetReceipt>(new ReleaseSheetReceipt(act.Sequence, [.. released.Select(p => p.Receipt)]), request.Serial, new { request.Serial, Points = released.Select(p => p.Record) });
        }, ct);
    }

    /// <summary>The second person, who has typed the own password.</summary>
    private async Task<Confirmation> Second(EmergencyRequest emergency, CancellationToken ct)
    {
        MachineActs.Throw(MachineActs.Texts(("reason", emergency.Reason), ("person who confirms", emergency.Person)));
        return new Confirmation(await passwords.Demand(emergency.Person!, emergency.Password, ct), emergency.Reason!.Trim());
    }

    private sealed record Confirmation(Caller By, string Reason)
    {
        /// <summary>What the request and the history say of it.</summary>
        public object Said => new { ConfirmedBy = By.Person, Reason };
    }

    private static void CheckPoints(ImmutableArray<SeenPoint> points)
    {
        if (points.IsDefaultOrEmpty)
        {
            throw new BadInputException("points", "none", "at least one hold point");
        }

        // A program's list may hold anything; what it leaves out is told by its place.
        var gaps = points.Select((p, i) => (p, i)).Where(x => string.IsNullOrEmpty(x.p?.Hold) || string.IsNullOrEmpty(x.p.Sheet))
            .Select(x => new InputFault($"points[{x.i}]", x.p is null ? "nothing" : string.IsNullOrEmpty(x.p.Hold) ? "no hold point" : $"{x.p.Hold} without a sheet", "a hold point and the hash of the sheet seen")).ToList();
        if (gaps.Count > 0)
        {
            throw new BadInputException(gaps);
        }

        if (points.GroupBy(p => p.Hold).FirstOrDefault(g => g.Count() > 1) is { } twice)
        {
            throw new BadInputException("points", $"{twice.Key} {twice.Count()} times", "each hold point once");
        }
    }

    private async Task<Passed> Pass(ActContext act, MachineRecord machine, SeenPoint point, Confirmation? second, CancellationToken ct)
    {
        var hold = Find(machine, point.Hold);
        CheckSheet(machine, hold, point.Sheet);
        var (under, notLent) = Permissions.May(act.Who.Own, ActKind.Release) ? (null, null)
            : DelegationRules.ForRelease(machine, hold, act.Who.Person, await DelegationReader.InForce(act.Db, act.Who.Person, act.Now, ct), second is not null);
        var people = await QualificationReader.For(act, hold.Qualified, ct);
        if ((notLent ?? (second is null ? ReleaseRules.WhyNotRelease(machine, hold, act.Who.Person, people)
            : EmergencyRules.WhyNot(machine, hold, act.Who.Person, second.By.Person, Permissions.May(second.By.Roles, ActKind.Release), people))) is { } rule)
        {
            throw new RefusedException(rule);
        }

        var characteristics = machine.StandingOfHold(hold).Characteristics;
        var evaluations = characteristics.Select(c => c.Evaluation!.Hash).ToImmutableArray();
        ImmutableArray<string> conceded = [.. characteristics.Select(c => c.Concession?.Name).OfType<string>().Distinct()];
        var concessions = conceded.IsEmpty ? default(ImmutableArray<string>?) : conceded;
        var decision = Decide(act, machine.Serial, hold, HoldDecisionKind.Released, second?.Reason, point.Sheet, evaluations);
        var acting = under is null ? null : new ActingFor(under.By, under.No);
        (decision.ConfirmedBy, decision.ForPerson, decision.Delegation) = (second?.By.Person, acting?.Person, acting?.Delegation);
        await act.Db.SaveChangesAsync(ct);
        var (certificate, blocked) = await issuer.WhenComplete(act, machine.Serial, hold.Id, ct);
        return new Passed(
            new ReleaseReceipt(act.Sequence, hold.Id, certificate?.Number, certificate?.Issue, blocked, concessions, second?.By.Person, acting),
            new { point.Hold, point.Sheet, Decision = decision.Id, Evaluations = evaluations, Concessions = concessions, Emergency = second?.Said, For = acting, certificate?.Number, certificate?.Issue, certificate?.RecordHash, Blocked = blocked });
    }

    /// <param name="Record">What the history of acts keeps of this point.</param>
    private sealed record Passed(ReleaseReceipt Receipt, object Record);

    /// <summary>Gives a hold point back to those who measured, with the reason.</summary>
    public Task<ActReceipt> Return(Caller who, ReturnRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Return, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var hold = Find(machine, request.Hold);
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

    private static HoldPoint Find(MachineRecord machine, string hold) =>
        machine.Revision.Holds.SingleOrDefault(h => h.Id == hold) ?? throw new NotFoundException($"{machine.Serial} has no hold point {hold}.");

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
