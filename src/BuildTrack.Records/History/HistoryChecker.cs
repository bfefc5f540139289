using System.Collections.Immutable;
using System.Text.Json;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.History;

/// <summary>What a check of the record found; nothing when all is as it was written.</summary>
/// <param name="Acts">The number of the last act that it saw.</param>
/// <param name="Files">Photos, evidence files and documents of certificates whose content was hashed again.</param>
public sealed record HistoryCheck(long Acts, long Readings, long Evaluations, ImmutableArray<string> Faults, long Files = 0, long Rows = 0);

/// <summary>One check of the whole record, as it stood when the check began.</summary>
/// <remarks>
/// Walks the whole chain, recomputes every reading's and evaluation's hash, and every evaluation itself. A reading or an evaluation must be
/// one that an act wrote, where that act put it; and what an act wrote must still be there. The same holds for photos and files, the content of every kept file is hashed again, and for every other row that
/// acts add or change, back to the first act that named such rows.
/// </remarks>
/// <param name="db">A snapshot: an act that comes meanwhile is neither seen nor held up.</param>
/// <param name="tell">Told after each row.</param>
internal sealed class HistoryChecker(Db db, FileStore files, Func<Progress, Task> tell, CancellationToken ct)
{
    private const int Stages = 5;

    private readonly ImmutableArray<string>.Builder faults = ImmutableArray.CreateBuilder<string>();
    private readonly Dictionary<(string What, long Id), Written> kept = [];

    // Rows with a lower id are older than the naming of them.
    private long namedFrom = long.MaxValue;
    private Progress progress;

    public async Task<HistoryCheck> Run()
    {
        var acts = await Acts();
        var readings = await Readings();
        var evaluations = await Evaluations();
        var contents = await Files();
        var rows = await Rows();
        faults.AddRange(kept.OrderBy(k => k.Key.Id).Select(k => $"{k.Key.What} {k.Key.Id} of {k.Value.Serial}: written by act {k.Value.Act}, missing now"));
        return new HistoryCheck(acts, readings, evaluations, faults.ToImmutable(), contents, rows);
    }

    private Task Begin(string what, long total) => tell(progress = new Progress(progress.Stage + 1, Stages, what, 0, total));

    private Task OneMore() => tell(progress = progress with { Done = progress.Done + 1 });

    private async Task<long> Acts()
    {
        var head = await db.Head.SingleAsync(ct);
        await Begin("acts", head.Sequence);
        var (expected, previous, first) = (1L, Db.Genesis, true);
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

            if (Gather(row) is { } from && first)
            {
                (namedFrom, first) = (from, false);
            }

            (expected, previous) = (row.Sequence + 1, row.Hash);
            await OneMore();
        }

        if (head.Sequence != expected - 1 || head.Hash != previous)
        {
            faults.Add($"head: says act {head.Sequence} {Short(head.Hash)}, the last act found is {expected - 1} {Short(previous)}");
        }

        return expected - 1;
    }

    /// <returns>The first id that was free before the act, where it names rows of every table; null for an act that does not.</returns>
    private long? Gather(ActRow row)
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

    private async Task<long> Readings()
    {
        await Begin("readings", await db.Readings.LongCountAsync(ct));
        await foreach (var row in db.Readings.OrderBy(r => r.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
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

            await OneMore();
        }

        return progress.Done;
    }

    private async Task<long> Evaluations()
    {
        await Begin("calculations", await db.Evaluations.LongCountAsync(ct));
        await foreach (var row in db.Evaluations.OrderBy(e => e.Id).AsAsyncEnumerable().WithCancellation(ct))
        {
            if (!kept.Remove((KeptRow.Evaluation, row.Id), out var written)
                || written.Serial != row.Serial || written.Of != row.Line || written.Hash != row.Hash || written.AtUs != row.AtUs)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}, line {row.Line}: {(written is null ? "no act wrote it" : $"act {written.Act} wrote it for {written.Serial}, line {written.Of}, at {new Instant(written.AtUs)} with hash {Short(written.Hash)}")}");
            }

            if (CanonicalJson.Hash(row.Text) is var hash && hash != row.Hash)
            {
                faults.Add($"evaluation {row.Id} of {row.Serial}: recorded hash {Short(row.Hash)}, recomputed {Short(hash)}");
            }
            else
            {
                Calculate(row);
            }

            await OneMore();
        }

        return progress.Done;
    }

    private void Calculate(EvaluationRow row)
    {
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

    /// <summary>Every row of a photo or file against the act that wrote it, and every kept content against its hash.</summary>
    private async Task<long> Files()
    {
        var names = new Dictionary<string, string>();
        foreach (var row in await db.Files.OrderBy(f => f.Hash).ToListAsync(ct))
        {
            names[row.Hash] = $"file '{row.Name}'";
        }

        foreach (var row in await db.StepFiles.OrderBy(f => f.Id).ToListAsync(ct))
        {
            var file = StepFileReader.ToFile(row, null);
            names[row.Hash] = $"{file.InWords}, of {row.Serial}";
            if (!kept.Remove((KeptRow.File, row.Id), out var written) || written.Serial != row.Serial || written.Hash != file.RowHash)
            {
                faults.Add($"{file.InWords}, of {row.Serial}: {(written is null ? "no act attached it" : $"act {written.Act} attached it to {written.Serial}, step {written.Of}, with other words or another content")}");
            }
        }

        foreach (var row in await db.Certificates.OrderBy(c => c.Id).Select(c => new { c.Number, c.Issue, c.FileHash, c.CopyHash }).ToListAsync(ct))
        {
            foreach (var (hash, name) in new[] { (row.FileHash, "certificate"), (row.CopyHash, "customer's copy of certificate") })
            {
                if (hash is not null)
                {
                    names[hash] = $"{name} {row.Number}, issue {row.Issue}";
                }
            }
        }

        await Begin("kept files", names.Count);
        foreach (var (hash, name) in names)
        {
            if (await files.WhyNotSound(hash, ct) is { } why)
            {
                faults.Add($"{name}: {why}");
            }

            await OneMore();
        }

        return names.Count;
    }

    /// <summary>Every other row against the act that wrote it last.</summary>
    private async Task<long> Rows()
    {
        var types = db.Model.GetEntityTypes().Where(KeptRows.Holds).ToList();
        var total = 0L;
        foreach (var type in types)
        {
            total += await AllOf(type.ClrType).LongCountAsync(ct);
        }

        await Begin("other rows", total);
        var count = 0L;
        foreach (var type in types)
        {
            var table = type.GetTableName()!;
            await foreach (var row in AllOf(type.ClrType).AsAsyncEnumerable().WithCancellation(ct))
            {
                await OneMore();
                var id = KeptRows.IdOf(type, row);
                if (!kept.Remove((table, id), out var written) && id < namedFrom)
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

    private IQueryable<object> AllOf(Type row) =>
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
