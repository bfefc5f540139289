using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Qualifications;

/// <summary>Who stands on which list for special work.</summary>
public sealed class QualificationReader(Store store, TimeProvider clock)
{
    /// <summary>Every entry of every list, as of today in plant time.</summary>
    public async Task<QualifiedPeople> Today(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await On(db, Instant.Now(clock), ct);
    }

    /// <summary>The lists that people are put on: those of the edition in force, and of the one loaded last, so that its lists are filled before it is approved.</summary>
    public async Task<ImmutableArray<Qualification>> Lists(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Lists(db, ct);
    }

    internal static async Task<ImmutableArray<Qualification>> Lists(Db db, CancellationToken ct)
    {
        var latest = await db.Checklists.AsNoTracking().OrderByDescending(c => c.Order).FirstOrDefaultAsync(ct);
        return [.. new[] { await ChecklistReader.Current(db, ct), latest }.OfType<ChecklistRow>().DistinctBy(r => r.Hash).SelectMany(r => ChecklistReader.Parse(r).Qualifications).DistinctBy(q => q.Id)];
    }

    /// <summary>What an act needs to know of a list; nothing is read where it asks for none.</summary>
    internal static async Task<QualifiedPeople> For(ActContext act, string? list, CancellationToken ct) => list is null ? QualifiedPeople.Nobody : await On(act.Db, act.Now, ct);

    internal static async Task<QualifiedPeople> On(Db db, Instant now, CancellationToken ct)
    {
        var ends = (await db.QualificationEnds.AsNoTracking().ToListAsync(ct)).ToDictionary(e => e.EntryId, e => new TakenOff(e.By, new Instant(e.AtUs), e.Day, e.Reason));
        var rows = await db.Qualifications.AsNoTracking().OrderBy(q => q.Id).ToListAsync(ct);
        return new QualifiedPeople(
            [.. rows.Select(q => new ListEntry(q.Id, q.List, q.Person, q.FromDay, q.ToDay, q.Evidence, q.By, new Instant(q.AtUs), ends.GetValueOrDefault(q.Id)))],
            (await PlantReader.Time(db, ct)).Day(now));
    }
}
