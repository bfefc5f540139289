using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.ReadyDates;

/// <summary>Promises a machine for a day: that on which it may leave the plant.</summary>
/// <param name="Day">yyyy-MM-dd.</param>
/// <param name="Reason">Where the promise stands, or why it is another day.</param>
public sealed record PromiseRequest(string Serial, string Day, string Reason);

/// <summary>Days for which machines are promised. A later promise does not change the earlier one; both stay.</summary>
public sealed class PromiseActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such machine.</exception>
    public Task<ActReceipt> Promise(Caller who, PromiseRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.PromiseMachine, request, key, async act =>
        {
            var faults = MachineActs.Texts(("reason", request.Reason));
            faults.AddRange(CalendarActs.Day("day promised", request.Day));
            MachineActs.Throw(faults);
            if (!await act.Db.Machines.AnyAsync(m => m.Serial == request.Serial, ct))
            {
                throw new NotFoundException($"There is no machine {request.Serial}.");
            }

            RunRules.Refuse(PromiseRules.WhyNot(request.Day, (await PlantReader.Time(act.Db, ct)).Day(act.Now)));
            act.Db.Promises.Add(new PromiseRow { Id = act.NewId(), Serial = request.Serial, Day = request.Day, Reason = request.Reason.Trim(), Person = who.Person, AtUs = act.Now.Microseconds });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    internal static async Task<ImmutableArray<MachinePromise>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.Promises.AsNoTracking().Where(p => p.Serial == serial).OrderBy(p => p.Id).ToListAsync(ct)).Select(p => new MachinePromise(p.Id, p.Day, p.Reason, p.Person, new Instant(p.AtUs)))];
}
