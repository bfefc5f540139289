using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.RecordReviews;

/// <summary>Says that the record of a step was looked at.</summary>
/// <param name="Note">What was seen.</param>
public sealed record ReviewRecordRequest(string Serial, int Step, string Note);

/// <summary>Reviews of the records that the route names (review:).</summary>
public sealed class RecordReviewActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such machine or step, or the route asks for no review at it.</exception>
    /// <exception cref="RefusedException">Nothing is there to be looked at, it was looked at, or it is the person's own.</exception>
    public Task<ActReceipt> Review(Caller who, ReviewRecordRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ReviewRecord, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var step = machine.Revision.FindStep(request.Step) ?? throw new NotFoundException($"There is no step {request.Step} on the route of {request.Serial}.");
            if (step.Review is not { } record)
            {
                throw new NotFoundException($"The route asks for no review at step {request.Step} of {request.Serial}.");
            }

            MachineActs.Throw(MachineActs.Texts(("what was seen", request.Note)));
            if (RecordReviewRules.WhyNot(machine, request.Step, who.Person) is { } rule)
            {
                throw new RefusedException(rule);
            }

            act.Db.RecordReviews.Add(new RecordReviewRow { Id = act.NewId(), Serial = request.Serial, Step = request.Step, Note = request.Note.Trim(), Person = who.Person, AtUs = act.Now.Microseconds });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, Record = record });
        }, ct);

    internal static async Task<ImmutableArray<RecordReview>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.RecordReviews.AsNoTracking().Where(r => r.Serial == serial).OrderBy(r => r.Id).ToListAsync(ct)).Select(r => new RecordReview(r.Id, r.Step, r.Note, r.Person, new Instant(r.AtUs)))];
}
