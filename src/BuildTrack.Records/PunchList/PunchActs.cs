using System.Globalization;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.PunchList;

/// <summary>Puts an item on a machine's punch list.</summary>
/// <param name="Owner">Sign-in name of who sees to it, or the name of an outside party.</param>
/// <param name="Due">yyyy-MM-dd.</param>
public sealed record AddPunchRequest(string Serial, string Text, PunchClass? Class, string Owner, bool Outside, string Due);

/// <summary>Gives an item another class, with the reason.</summary>
public sealed record ChangePunchClassRequest(string Serial, int No, PunchClass? Class, string Reason);

/// <summary>Closes an item.</summary>
/// <param name="Evidence">What shows that it is done.</param>
/// <param name="FileHash">SHA-256 of a file kept before; null for none.</param>
public sealed record ClosePunchRequest(string Serial, int No, string Evidence, string? FileHash);

/// <param name="No">The item's number on its machine.</param>
public sealed record PunchReceipt(long Sequence, string Serial, int No);

/// <summary>A machine's punch list: items are added, their class changes with a reason, and somebody who does not own them closes them.</summary>
public sealed class PunchActs(ActRunner acts)
{
    public Task<PunchReceipt> Add(Caller who, AddPunchRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.AddPunchItem, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var faults = MachineActs.Texts(("text", request.Text), ("owner", request.Owner));
            faults.AddRange(ClassFaults(request.Class));
            if (!DateOnly.TryParseExact(request.Due, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _))
            {
                faults.Add(new InputFault("due", $"'{request.Due}'", "a date like 2026-11-25"));
            }

            if (!request.Outside && !await act.Db.Persons.AnyAsync(p => p.Person == request.Owner && !p.Disabled, ct))
            {
                faults.Add(new InputFault("owner", $"'{request.Owner}'", "the sign-in name of somebody who works here, or an outside party marked as such"));
            }

            MachineActs.Throw(faults);
            var no = machine.Punch.Length == 0 ? 1 : machine.Punch.Max(i => i.No) + 1;
            act.Db.PunchItems.Add(new PunchItemRow
            {
                Id = act.NewId(), Serial = request.Serial, No = no, Text = request.Text.Trim(), Class = (int)request.Class!.Value, Owner = request.Owner.Trim(), Outside = request.Outside,
                Due = request.Due, Person = who.Person, AtUs = act.Now.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<PunchReceipt>(new PunchReceipt(act.Sequence, request.Serial, no), request.Serial, new { request, No = no });
        }, ct);

    public Task<PunchReceipt> ChangeClass(Caller who, ChangePunchClassRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ChangePunchClass, request, key, act =>
        {
            MachineActs.Throw([.. MachineActs.Texts(("reason", request.Reason)), .. ClassFaults(request.Class)]);
            return Enter(act, request, request.Serial, request.No, PunchAct.ChangeClass, request.Reason, request.Class, null, ct);
        }, ct);

    public Task<PunchReceipt> Close(Caller who, ClosePunchRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ClosePunchItem, request, key, async act =>
        {
            var faults = MachineActs.Texts(("evidence", request.Evidence));
            if (request.FileHash is { } hash && !await act.Db.Files.AnyAsync(f => f.Hash == hash, ct))
            {
                faults.Add(new InputFault("file", $"'{hash}'", "the SHA-256 of a file that was kept before"));
            }

            MachineActs.Throw(faults);
            return await Enter(act, request, request.Serial, request.No, PunchAct.Close, request.Evidence, null, request.FileHash, ct);
        }, ct);

    private static async Task<ActResult<PunchReceipt>> Enter(
        ActContext act, object request, string serial, int no, PunchAct kind, string text, PunchClass? to, string? file, CancellationToken ct)
    {
        var item = Find(await MachineReader.Load(act.Db, serial, ct), no);
        if (PunchRules.WhyNot(item, kind, act.Who.Person, to) is { } rule)
        {
            throw new RefusedException(rule);
        }

        act.Db.PunchEntries.Add(new PunchEntryRow
        {
            Id = act.NewId(), ItemId = item.Id, Act = (int)kind, Person = act.Who.Person, AtUs = act.Now.Microseconds, Text = text.Trim(), Class = (int?)to, FileHash = file,
        });
        await act.Touch(serial, ct);
        return new ActResult<PunchReceipt>(new PunchReceipt(act.Sequence, serial, no), serial, request);
    }

    private static IEnumerable<InputFault> ClassFaults(PunchClass? given) => given is null ? [new InputFault("class", "nothing", "A, B or C")] : [];

    private static PunchItem Find(MachineRecord machine, int no) =>
        machine.Punch.SingleOrDefault(i => i.No == no) ?? throw new NotFoundException($"There is no item {no} on the punch list of {machine.Serial}.");
}
