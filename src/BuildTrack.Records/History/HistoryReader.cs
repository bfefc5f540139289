using System.Collections.Immutable;
using System.Text.Json;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.History;

public sealed record ActLine(long Sequence, Instant At, string Person, string Kind, string Subject, string Payload, string Hash);

/// <summary>What a check of the record found; nothing when all is as it was written.</summary>
public sealed record HistoryCheck(long Acts, long Readings, long Evaluations, ImmutableArray<string> Faults, long Files = 0, long Rows = 0);

/// <summary>Reads the history of acts, and checks that it and what it rests on are as they were written.</summary>
public sealed class HistoryReader(Store store, FileStore files)
{
    /// <summary>Acts before a sequence number, newest first.</summary>
    public async Task<ImmutableArray<ActLine>> Page(long before, int count, string? subject, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = db.Acts.Where(a => a.Sequence < before && (subject == null || a.Subject == subject)).OrderByDescending(a => a.Sequence).Take(count);
        return [.. (await rows.ToListAsync(ct)).Select(a => new ActLine(a.Sequence, new Instant(a.AtUs), a.Person, a.Kind, a.Subject, a.Payload, a.Hash))];
    }

    /// <summary>
    /// Walks the whole chain, recomputes every reading's and evaluation's hash, and every evaluation itself. A reading or an evaluation must be
    /// one that an act wrote, where that act put it; and what an act wrote must still be there. The same holds for photos and files, the content of every kept file is hashed again, and for every other row that
    /// acts add or change, back to the first act that named such rows.
    /// </summary>
    public async Task<HistoryCheck> Verify(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var faults = ImmutableArray.CreateBuilder<string>();
        var kept = new Dictionary<(string What, long Id), Written>();
        var (expected, previous, from) = (1L, Db.Genesis, (long?)null);
        await foreach (var row in db.Acts.OrderBy(a => a.Sequence).AsAsyncEnumerable().WithCancellation(ct))
        {
            if (row.Sequence != expected)
            {
                faults.Add($"act {expected}: missing; the next one found is {row.Sequence}");
            }
            else if (row.PreviousHash != previous)
            {
                faults.Add($"act {row.Sequence}: names the row before as {Short(row.PreviousHash)}, found {Short(previous)}");
            }

            if (Recomputed(() => ActRunner.HashOf(row)) is var hash && hash != row.Hash)
            {
                faults.Add($"act {row.Sequence}: recorded hash {Short(row.Hash)}, recomputed {Short(hash)}");
            }

            var first = Gather(row, kept, faults);
            from ??= first;
            (expected, previous) = (row.Sequence + 1, row.Hash);
        }

        var head = await db.Head.SingleAsync(ct);
        if (head.Sequence != expected - 1 || head.Hash != previous)
        {
            faults.Add($"head: says act {head.Sequence} {Short(head.Hash)}, the last act found is {expected - 1} {Short(previous)}");
        }

        var readings = await Readings(db, kept, faults, ct);
        var evaluations = await Evaluations(db, kept, faults, ct);
        var contents = await Files(db, kept, faults, ct);
        var rows = await Rows(db, kept, from ?? long.MaxValue, faults, ct);
        faults.AddRange(kept.OrderBy(k => k.Key.Id).Select(k => $"{k.Key.What} {k.Key.Id} of {k.Value.Serial}: written by act {k.Value.Act}, missing now"));
        return new HistoryCheck(expected - 1, readings, evaluations, faults.ToImmutable(), contents, rows);
    }

    /// <returns>The first id that was free before the act, where it names rows of every table; null for an act that does not.</returns>
    private static long? Gather(ActRow row, Dictionary<(string What, long Id), Written> kept, ImmutableArray<string>.Builder faults)
    {
        try
        {
            using var payload = JsonDocument.Parse(row.Payload);
            if (payload.RootElement.TryGetProperty(KeptRow.Key, out var rows))
            {
                foreach (var one in rows.Deserialize<List<KeptRow>>(CanonicalJson.Options)!)
                {
                    kept[(one.What, one.Id)] = new Written(row.Sequence, row.Subject, row.AtUs, one.Of, one.Hash);
                }
            }

            return payload.RootElement.TryGetProperty(KeptRow.From, out var from) ? from.GetInt64() : null;
        }
        catch (Exception error) when (error is JsonException or InvalidOperationException)
        {
            faults.Add($"act {row.Sequence}: its payload cannot be read");
            return null;
        }
    }

    private static async Task<long> Readings(
        Db db, Dictionary<(string What, long Id), Written> kept, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var count = 0L;
        await foreach (var row in db.Readings.OrderBy(r => r.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
            count++;
            var hash = Recomputed(() => row.ToReading().Hash);
            var of = FormattableString.Invariant($"{row.RunId}");
            if (hash != row.Hash)
            {
                faults.Add($"reading {row.Id} of {row.Serial}: recorded hash {Short(row.Hash)}, recomputed {Short(hash)}");
            }

            if (!kept.Remove((KeptRow.Reading, row.Id), out var written) || written.Serial != row.Serial || written.Of != of || written.Hash != row.Hash)
            {
                faults.Add($"reading {row.Id} of {row.Serial}, run {row.RunId}: {(written is null ? "no act wrote it" : $"act {written.Act} wrote it for {written.Serial}, run {written.Of}, with hash {Short(written.Hash)}")}");
            }
        }

        return count;
    }

    private static async Task<long> Evaluations(
        Db db, Dictionary<(string What, long Id), Written> kept, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var count = 0L;
        await foreach (var row in db.Evaluations.OrderBy(e => e.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
            count++;
            if (!kept.Remove((KeptRow.Evaluation, row.Id), out var written)
                || written.Serial != row.Serial || written.Of != row.Line || written.Hash != row.Hash || written.AtUs != row.AtUs)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}, line {row.Line}: {(written is null ? "no act wrote it" : $"act {written.Act} wrote it for {written.Serial}, line {written.Of}, at {new Instant(written.AtUs)} with hash {Short(written.Hash)}")}");
            }

            if (CanonicalJson.Hash(row.Text) is var hash && hash != row.Hash)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}: recorded hash {Short(row.Hash)}, recomputed {Short(hash)}");
                continue;
            }

            var record = CanonicalJson.Read<EvaluationRecord>(row.Text);
            if (row.State != (int)record.Result.State || row.Verdict != (int?)record.Result.Verdict)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}: its row says state {row.State}, verdict {row.Verdict}; its text says {record.Result.State}, {record.Result.Verdict}");
            }

            if (record.Input.Engine == Evaluators.Engine && CanonicalJson.Of(Evaluators.Evaluate(record.Input)) != row.Text)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}, line {row.Line}: calculated again it gives another answer");
            }
        }

        return count;
    }

    /// <summary>Every row of a photo or file against the act that wrote it, and every kept content against its hash.</summary>
    private async Task<long> Files(Db db, Dictionary<(string What, long Id), Written> kept, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var names = new Dictionary<string, string>();
        foreach (var row in await db.Files.AsNoTracking().OrderBy(f => f.Hash).ToListAsync(ct))
        {
            names[row.Hash] = $"file '{row.Name}'";
        }

        foreach (var row in await db.StepFiles.AsNoTracking().OrderBy(f => f.Id).ToListAsync(ct))
        {
            var file = StepFileReader.ToFile(row, null);
            names[row.Hash] = $"{file.InWords}, of {row.Serial}";
            if (!kept.Remove((KeptRow.File, row.Id), out var written) || written.Serial != row.Serial || written.Hash != file.RowHash)
            {
                faults.Add($"{file.InWords}, of {row.Serial}: {(written is null ? "no act attached it" : $"act {written.Act} attached it to {written.Serial}, step {written.Of}, with other words or another content")}");
            }
        }

        foreach (var (hash, name) in names)
        {
            if (await files.WhyNotSound(hash, ct) is { } why)
            {
                faults.Add($"{name}: {why}");
            }
        }

        return names.Count;
    }

    /// <summary>Every other row against the act that wrote it last.</summary>
    /// <param name="from">Rows with a lower id are older than the naming of them.</param>
    private static async Task<long> Rows(Db db, Dictionary<(string What, long Id), Written> kept, long from, ImmutableArray<string>.Builder faults, CancellationToken ct)
    {
        var count = 0L;
        foreach (var type in db.Model.GetEntityTypes().Where(KeptRows.Holds))
        {
            var table = type.GetTableName()!;
            await foreach (var row in AllOf(db, type.ClrType).AsAsyncEnumerable().WithCancellation(ct))
            {
                var id = KeptRows.IdOf(type, row);
                if (!kept.Remove((table, id), out var written) && id < from)
                {
                    continue;
                }

                count++;
                if (written is null)
                {
                    faults.Add($"{table} {id}: no act wrote it");
                }
                else if (Recomputed(() => KeptRows.HashOf(type, row)) is var hash && hash != written.Hash)
                {
                    faults.Add($"{table} {id}: act {written.Act} wrote it with hash {Short(written.Hash)}, recomputed {Short(hash)}");
                }
            }
        }

        return count;
    }

    private static IQueryable<object> AllOf(Db db, Type row) =>
        (IQueryable<object>)typeof(Db).GetMethod(nameof(Db.Set), Type.EmptyTypes)!.MakeGenericMethod(row).Invoke(db, null)!;

    // A changed row may hold what no record can (an unknown kind of value, say): that is a fault to report, too.
    private static string Recomputed(Func<string> hash)
    {
        try
        {
            return hash();
        }
        catch (Exception error) when (error is JsonException or ArgumentException or NotSupportedException)
        {
            return "none, the row holds what no record may";
        }
    }

    private static string Short(string hash) => hash.Length > 12 ? $"{hash[..12]}…" : hash;

    private sealed record Written(long Act, string Serial, long AtUs, string Of, string Hash);
}
