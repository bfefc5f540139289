using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Kits;

/// <summary>Records something of a long-lead part.</summary>
/// <param name="Due">yyyy-MM-dd of the supplier's promise, of an order; null where none was given.</param>
/// <param name="Note">Supplier's order number; needed where an entry is taken back: why.</param>
public sealed record KitRequest(string Serial, string Part, KitAct Act, string? Due, string? Note);

/// <summary>Long-lead parts of machines: ordered, received, an entry taken back. Lines are added, never changed.</summary>
public sealed class KitActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such machine, or no such part in its kit.</exception>
    public Task<ActReceipt> Record(Caller who, KitRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordKitPart, request, key, async act =>
        {
            var faults = new List<InputFault>();
            if (request.Due is not null)
            {
                faults.AddRange(request.Act == KitAct.Ordered ? CalendarActs.Day("day promised", request.Due) : [new InputFault("day promised", $"'{request.Due}'", "none: only an order has one")]);
            }

            if (request.Act == KitAct.TakenBack || !string.IsNullOrWhiteSpace(request.Note))
            {
                faults.AddRange(MachineActs.Texts((request.Act == KitAct.TakenBack ? "reason" : "note", request.Note)));
            }

            MachineActs.Throw(faults);
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var line = KitStanding.Of(machine).Lines.FirstOrDefault(l => l.Part.Id == request.Part) ?? throw new NotFoundException($"There is no part {request.Part} in the kit of {request.Serial}.");
            RunRules.Refuse(KitRules.WhyNot(line, request.Act, request.Due, (await PlantReader.Time(act.Db, ct)).Day(act.Now)));
            act.Db.Kits.Add(new KitRow
            {
                Id = act.NewId(), Serial = request.Serial, Part = line.Part.Id, Act = (int)request.Act, Due = request.Due, Note = string.IsNullOrWhiteSpace(request.Note) ? null : request.Note.Trim(),
                Person = who.Person, AtUs = act.Now.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    internal static async Task<ImmutableArray<KitEntry>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.Kits.AsNoTracking().Where(k => k.Serial == serial).OrderBy(k => k.Id).ToListAsync(ct)).Select(k => new KitEntry(k.Id, k.Part, (KitAct)k.Act, k.Due, k.Note, k.Person, new Instant(k.AtUs)))];
}
