using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Temperatures;

/// <summary>Reads rounds and comparisons.</summary>
public sealed class TemperatureReader(Store store)
{
    /// <summary>The comparison that holds for the rounds of a day: its latest; null where probes were not compared.</summary>
    /// <param name="day">yyyy-MM-dd in plant time.</param>
    public async Task<ComparedProbes?> ComparisonOf(string day, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await ComparisonOf(db, day, ct);
    }

    internal static async Task<ComparedProbes?> ComparisonOf(Db db, string day, CancellationToken ct) =>
        await db.ProbeComparisons.AsNoTracking().Where(c => c.Day == day).OrderByDescending(c => c.Id).FirstOrDefaultAsync(ct) is { } row
            ? CanonicalJson.Read<ComparedProbes>(row.Comparison) : null;

    internal static async Task<ImmutableArray<TemperatureRound>> RoundsOf(Db db, string serial, CancellationToken ct) =>
        [.. (await db.TemperatureRounds.AsNoTracking().Where(r => r.Serial == serial).OrderBy(r => r.Id).Select(r => r.Round).ToListAsync(ct)).Select(CanonicalJson.Read<TemperatureRound>)];
}
