using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Files;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.History;

public sealed record ActLine(long Sequence, Instant At, string Person, string Kind, string Subject, string Payload, string Hash);

/// <summary>Reads the history of acts, and checks that it and what it rests on are as they were written.</summary>
public sealed class HistoryReader(Store store, FileStore files)
{
    /// <summary>The check of the whole record as a long work.</summary>
    public const string Check = "check of the whole record";

    /// <summary>Acts before a sequence number, newest first.</summary>
    public async Task<ImmutableArray<ActLine>> Page(long before, int count, string? subject, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = db.Acts.Where(a => a.Sequence < before && (subject == null || a.Subject == subject)).OrderByDescending(a => a.Sequence).Take(count);
        return [.. (await rows.ToListAsync(ct)).Select(a => new ActLine(a.Sequence, new Instant(a.AtUs), a.Person, a.Kind, a.Subject, a.Payload, a.Hash))];
    }

    /// <summary>Checks the whole record as it stands now: chain, readings, calculations, kept files, every other row.</summary>
    /// <param name="tell">Told how far it is after each row.</param>
    public async Task<HistoryCheck> Verify(Func<Progress, Task> tell, CancellationToken ct)
    {
        await using var db = await store.OpenSnapshot(ct);
        return await new HistoryChecker(db, files, tell, ct).Run();
    }
}
