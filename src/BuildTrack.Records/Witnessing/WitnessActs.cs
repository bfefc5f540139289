using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Witnessing;

/// <summary>Notice of a visit to a witness point.</summary>
/// <param name="Visit">yyyy-MM-dd.</param>
/// <param name="Letter">By which the customer agrees to a shorter notice; null where the notice is kept.</param>
public sealed record InviteRequest(string Serial, string Hold, string Witness, string Organisation, string Visit, string? Letter);

/// <summary>What came of a visit, or a letter that gives it up.</summary>
/// <param name="Witness">Null: who was invited.</param>
/// <param name="Organisation">Null: as invited.</param>
/// <param name="Statement">Code on the signed statement.</param>
/// <param name="FileHash">SHA-256 of its scan among the machine's files.</param>
public sealed record WitnessRequest(
    string Serial, string Hold, WitnessAct Act, string? Witness, string? Organisation, string? Remark, string? Statement, string? FileHash, string? Letter);

/// <summary>A link by which the invited witness looks on.</summary>
/// <param name="Until">yyyy-MM-dd, the last day it opens.</param>
public sealed record LookOnRequest(string Serial, string Hold, string Until);

/// <param name="Link">The line in the record that the link names.</param>
public sealed record LookOnReceipt(long Act, string Serial, string Hold, long Link, string Until);

/// <summary>Inviting the customer's witness and recording what came of it. A witness has no account: an inspector, or who may release the point by delegation, attests what was signed on paper.</summary>
public sealed class WitnessActs(ActRunner acts)
{
    public Task<ActReceipt> Invite(Caller who, InviteRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.InviteWitness, request, key, async act =>
        {
            var faults = MachineActs.Texts(("witness", request.Witness), ("organisation", request.Organisation));
            faults.AddRange(CalendarActs.Day("day of the visit", request.Visit));
            faults.AddRange(Optional(("letter", request.Letter)));
            MachineActs.Throw(faults);
            var (machine, hold, today) = await Find(act, request.Serial, request.Hold, ct);
            var (letter, holidays) = (MachineActs.Plain(request.Letter), await CalendarReader.Holidays(act.Db, ct));
            RunRules.Refuse(WitnessRules.WhyNotInvite(machine, hold, request.Visit, letter, today, holidays));
            return await Add(act, request.Serial, new WitnessEntry(
                0, hold.Id, WitnessAct.Invited, request.Witness.Trim(), request.Organisation.Trim(), request.Visit, WorkingDays.Between(today, request.Visit, holidays), letter, null, null, null, who.Person, act.Now), ct);
        }, ct);

    public Task<ActReceipt> Record(Caller who, WitnessRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordWitness, request, key, async act =>
        {
            var faults = Optional(("witness", request.Witness), ("organisation", request.Organisation), ("remark", request.Remark), ("code on the signed statement", request.Statement), ("letter", request.Letter));
            if (!WitnessEntry.Outcomes.Contains(request.Act))
            {
                faults.Add(new InputFault("what came of it", $"'{request.Act}'", "present, accepts, accepts with punch list, does not accept, did not come, or gave the visit up"));
            }

            var (machine, hold, today) = await Find(act, request.Serial, request.Hold, ct);
            var invited = WitnessStanding.Of(machine, hold).Invitation;
            var (witness, organisation) = (MachineActs.Plain(request.Witness) ?? invited?.Witness, MachineActs.Plain(request.Organisation) ?? invited?.Organisation ?? machine.Customer);
            if (request.Act == WitnessAct.Waived && witness is null)
            {
                faults.Add(new InputFault("witness", "none", "the customer's person who signed the letter"));
            }

            MachineActs.Throw(faults);
            var entry = new WitnessEntry(
                0, hold.Id, request.Act, witness ?? "", organisation, null, null, MachineActs.Plain(request.Letter), MachineActs.Plain(request.Remark), null, null, who.Person, act.Now);
            entry = entry.Signed ? entry with { Statement = MachineActs.Plain(request.Statement)?.ToUpperInvariant(), FileHash = MachineActs.Plain(request.FileHash) } : entry;
            RunRules.Refuse(DelegationRules.Limit(who.Own, who.Person, await DelegationReader.InForce(act.Db, who.Person, act.Now, ct))?.Invoke(machine, hold));
            RunRules.Refuse(WitnessRules.WhyNotRecord(machine, hold, entry, today));
            return await Add(act, request.Serial, entry, ct);
        }, ct);

    /// <summary>Gives the witness invited a link to look on; it ends the link before.</summary>
    public Task<LookOnReceipt> LetIn(Caller who, LookOnRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.LetWitnessLookOn, request, key, async act =>
        {
            MachineActs.Throw([.. CalendarActs.Day("last day", request.Until)]);
            var (machine, hold, today) = await Find(act, request.Serial, request.Hold, ct);
            RunRules.Refuse(LookingOn.WhyNotLetIn(machine, hold, request.Until, today));
            var invited = WitnessStanding.Of(machine, hold).Invitation!;
            var link = await Keep(act, request.Serial, new WitnessEntry(
                0, hold.Id, WitnessAct.MayLookOn, invited.Witness, invited.Organisation, request.Until, null, null, null, null, null, who.Person, act.Now), ct);
            return new ActResult<LookOnReceipt>(new LookOnReceipt(act.Sequence, request.Serial, hold.Id, link.Id, request.Until), request.Serial, link);
        }, ct);

    public Task<ActReceipt> EndLookingOn(Caller who, string serial, string holdId, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.EndLookingOn, new { serial, holdId }, key, async act =>
        {
            var (machine, hold, today) = await Find(act, serial, holdId, ct);
            RunRules.Refuse(LookingOn.WhyNotEnd(machine, hold, today));
            var link = LookingOn.At(machine, hold, today)!;
            return await Add(act, serial, new WitnessEntry(
                0, hold.Id, WitnessAct.LookingOnEnded, link.Witness, link.Organisation, null, null, null, null, null, null, who.Person, act.Now), ct);
        }, ct);

    internal static async Task<ImmutableArray<WitnessEntry>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.Witnesses.AsNoTracking().Where(w => w.Serial == serial).OrderBy(w => w.Id).ToListAsync(ct)).Select(w => new WitnessEntry(
            w.Id, w.Hold, (WitnessAct)w.Act, w.Witness, w.Organisation, w.Visit, w.Notice, w.Letter, w.Remark, w.Statement, w.FileHash, w.Person, new Instant(w.AtUs)))];

    private static async Task<(MachineRecord Machine, HoldPoint Hold, string Today)> Find(ActContext act, string serial, string hold, CancellationToken ct)
    {
        var machine = await MachineReader.Load(act.Db, serial, ct);
        return (machine, machine.Revision.Holds.SingleOrDefault(h => h.Id == hold) ?? throw new NotFoundException($"{serial} has no hold point {hold}."), (await PlantReader.Time(act.Db, ct)).Day(act.Now));
    }

    private static async Task<ActResult<ActReceipt>> Add(ActContext act, string serial, WitnessEntry entry, CancellationToken ct) =>
        new(new ActReceipt(act.Sequence, serial), serial, await Keep(act, serial, entry, ct));

    private static async Task<WitnessEntry> Keep(ActContext act, string serial, WitnessEntry entry, CancellationToken ct)
    {
        entry = entry with { Id = act.NewId() };
        act.Db.Witnesses.Add(new WitnessRow
        {
            Id = entry.Id, Serial = serial, Hold = entry.Hold, Act = (int)entry.Act, Witness = entry.Witness, Organisation = entry.Organisation, Visit = entry.Visit, Notice = entry.Notice, Letter = entry.Letter,
            Remark = entry.Remark, Statement = entry.Statement, FileHash = entry.FileHash, Person = entry.Person, AtUs = entry.At.Microseconds,
        });
        await act.Touch(serial, ct);
        return entry;
    }

    private static List<InputFault> Optional(params (string Where, string? Text)[] texts) => MachineActs.Texts([.. texts.Where(t => !string.IsNullOrWhiteSpace(t.Text))]);
}
