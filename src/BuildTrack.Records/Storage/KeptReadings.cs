using System.Collections.Concurrent;
using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Storage;

/// <summary>
/// The readings of the machines that were asked for lately. A reading is never changed once its act is done, and ids rise in the order of the acts, so only what came after the
/// last one known is read. Whether the database still is the one they were read from, and the act they were read in was not taken back, is told by that last reading: its hash
/// covers id, value, person and the microsecond. If it is another one, everything is read anew.
/// </summary>
internal sealed class KeptReadings
{
    /// <summary>Some megabytes; beyond, the machine that nobody asked for longest goes.</summary>
    private const int Most = 32;

    private readonly ConcurrentDictionary<string, Kept> bySerial = new(StringComparer.Ordinal);
    private long asked;

    /// <summary>The readings of a machine by run, in the order of their ids.</summary>
    public static async Task<ImmutableDictionary<long, ImmutableArray<Reading>>> Of(Db db, string serial, CancellationToken ct) =>
        db.KeptReadings is { } kept ? await kept.Read(db, serial, ct) : With(ImmutableDictionary<long, ImmutableArray<Reading>>.Empty, await After(db, serial, 0, ct));

    private async Task<ImmutableDictionary<long, ImmutableArray<Reading>>> Read(Db db, string serial, CancellationToken ct)
    {
        var known = bySerial.GetValueOrDefault(serial) ?? Kept.Nothing;
        var rows = await After(db, serial, known.Last, ct);
        if (known.Last > 0 && (rows.Count == 0 || rows[0].Id != known.Last || rows[0].Hash != known.LastHash))
        {
            (known, rows) = (Kept.Nothing, await After(db, serial, 0, ct));
        }
        else if (known.Last > 0)
        {
            rows.RemoveAt(0);
        }

        var now = rows.Count == 0 ? known : new Kept(rows[^1].Id, rows[^1].Hash, With(known.ByRun, rows), 0);
        if (now.Last > 0)
        {
            Keep(serial, now);
        }

        return now.ByRun;
    }

    private void Keep(string serial, Kept kept)
    {
        bySerial[serial] = kept with { Asked = Interlocked.Increment(ref asked) };
        while (bySerial.Count > Most && bySerial.MinBy(k => k.Value.Asked) is { Key: { } oldest })
        {
            bySerial.TryRemove(oldest, out _);
        }
    }

    private static Task<List<ReadingRow>> After(Db db, string serial, long from, CancellationToken ct) =>
        db.Readings.AsNoTracking().Where(r => r.Serial == serial && r.Id >= from).OrderBy(r => r.Id).ToListAsync(ct);

    private static ImmutableDictionary<long, ImmutableArray<Reading>> With(ImmutableDictionary<long, ImmutableArray<Reading>> byRun, IEnumerable<ReadingRow> rows) =>
        byRun.SetItems(rows.GroupBy(r => r.RunId).Select(g => KeyValuePair.Create(g.Key, byRun.GetValueOrDefault(g.Key, []).AddRange(g.Select(r => r.ToReading())))));

    private sealed record Kept(long Last, string LastHash, ImmutableDictionary<long, ImmutableArray<Reading>> ByRun, long Asked)
    {
        public static readonly Kept Nothing = new(0, "", ImmutableDictionary<long, ImmutableArray<Reading>>.Empty, 0);
    }
}
