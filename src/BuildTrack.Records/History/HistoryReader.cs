using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.History;

public sealed record ActLine(long Sequence, Instant At, string Person, string Kind, string Subject, string Payload, string Hash);

/// <summary>What a check of the record found; nothing when all is as it was written.</summary>
public sealed record HistoryCheck(long Acts, long Readings, long Evaluations, ImmutableArray<string> Faults);

/// <summary>Reads the history of acts, and checks that it and what it rests on are as they were written.</summary>
public sealed class HistoryReader(Store store)
{
    /// <summary>Acts before a sequence number, newest first.</summary>
    public async Task<ImmutableArray<ActLine>> Page(long before, int count, string? subject, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = db.Acts.Where(a => a.Sequence < before && (subject == null || a.Subject == subject)).OrderByDescending(a => a.Sequence).Take(count);
        return [.. (await rows.ToListAsync(ct)).Select(a => new ActLine(a.Sequence, new Instant(a.AtUs), a.Person, a.Kind, a.Subject, a.Payload, a.Hash))];
    }

    /// <summary>Walks the whole chain, recomputes every reading's and evaluation's hash, and every evaluation itself.</summary>
    public async Task<HistoryCheck> Verify(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var faults = ImmutableArray.CreateBuilder<string>();
        var (expected, previous) = (1L, Db.Genesis);
        await foreach (var row in db.Acts.OrderBy(a => a.Sequence).AsAsyncEnumerable().WithCancellation(ct))
        {
            if (row.Sequence != expected)
            {
                faults.Add($"act {expected}: missing; the next one found is {row.Sequence}");
            }
            else if (row.PreviousHash != previous)
            {
                faults.Add($"act {row.Sequence}: names the row before as {row.PreviousHash[..12]}…, found {previous[..12]}…");
            }

            if (ActRunner.HashOf(row) is var hash && hash != row.Hash)
            {
                faults.Add($"act {row.Sequence}: recorded hash {row.Hash[..12]}…, recomputed {hash[..12]}…");
            }

            (expected, previous) = (row.Sequence + 1, row.Hash);
        }

        var head = await db.Head.SingleAsync(ct);
        if (head.Sequence != expected - 1 || head.Hash != previous)
        {
            faults.Add($"head: says act {head.Sequence} {head.Hash[..12]}…, the last act found is {expected - 1} {previous[..12]}…");
        }

        var readings = await Readings(db, faults, ct);
        var evaluations = await Evaluations(db, faults, ct);
        return new HistoryCheck(expected - 1, readings, evaluations, faults.ToImmutable());
    }

    private static async Task<long> Readings(Db db, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var count = 0L;
        await foreach (var row in db.Readings.OrderBy(r => r.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
            count++;
            if (row.ToReading().Hash is var hash && hash != row.Hash)
            {
                faults.Add($"reading {row.Id} of {row.Serial}: recorded hash {row.Hash[..12]}…, recomputed {hash[..12]}…");
            }
        }

        return count;
    }

    private static async Task<long> Evaluations(Db db, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var count = 0L;
        await foreach (var row in db.Evaluations.OrderBy(e => e.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
            count++;
            if (CanonicalJson.Hash(row.Text) is var hash && hash != row.Hash)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}: recorded hash {row.Hash[..12]}…, recomputed {hash[..12]}…");
            }
            else if (CanonicalJson.Read<EvaluationRecord>(row.Text).Input is { } input && input.Engine == Evaluators.Engine
                && CanonicalJson.Of(Evaluators.Evaluate(input)) != row.Text)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}, line {row.Line}: calculated again it gives another answer");
            }
        }

        return count;
    }
}
