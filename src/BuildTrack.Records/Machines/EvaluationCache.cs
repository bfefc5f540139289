using System.Collections.Concurrent;
using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Machines;

/// <summary>Evaluations as records. Each is sealed by its hash and never replaced, so that its text is read once; a machine has some eighty of them.</summary>
internal static class EvaluationCache
{
    /// <summary>Some fifty machines; then it begins anew.</summary>
    private const int Most = 4000;

    private static readonly ConcurrentDictionary<string, EvaluationRecord> ByHash = new();

    /// <summary>The evaluations with these ids, by line.</summary>
    public static async Task<ImmutableArray<StoredEvaluation>> Read(Db db, IReadOnlyList<long> ids, CancellationToken ct)
    {
        var rows = await db.Evaluations.AsNoTracking().Where(e => ids.Contains(e.Id)).OrderBy(e => e.Line).Select(e => new { e.Id, e.Line, e.Hash, e.AtUs }).ToListAsync(ct);
        var unread = rows.Where(r => !ByHash.ContainsKey(r.Hash)).Select(r => r.Id).ToList();
        var texts = unread.Count == 0 ? [] : await db.Evaluations.AsNoTracking().Where(e => unread.Contains(e.Id)).Select(e => new { e.Id, e.Text }).ToDictionaryAsync(e => e.Id, e => e.Text, ct);
        if (ByHash.Count > Most)
        {
            ByHash.Clear();
        }

        // A record that another request cleared meanwhile is read by itself.
        var found = ImmutableArray.CreateBuilder<StoredEvaluation>(rows.Count);
        foreach (var row in rows)
        {
            if (!ByHash.TryGetValue(row.Hash, out var record))
            {
                var text = texts.TryGetValue(row.Id, out var read) ? read : await db.Evaluations.AsNoTracking().Where(e => e.Id == row.Id).Select(e => e.Text).SingleAsync(ct);
                record = CanonicalJson.Read<EvaluationRecord>(text);

                // Only what its hash speaks for is kept: a text changed behind the record's back is read again each time.
                if (CanonicalJson.Hash(text) == row.Hash)
                {
                    ByHash[row.Hash] = record;
                }
            }

            found.Add(new StoredEvaluation(row.Id, row.Line, row.Hash, new Instant(row.AtUs), record));
        }

        return found.MoveToImmutable();
    }
}
