using System.Collections.Immutable;
using System.Linq.Expressions;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Nonconformances;

/// <summary>Reads nonconformances with all their entries.</summary>
public sealed class NonconformanceReader(Store store)
{
    /// <summary>Every nonconformance of the plant, in the order of their numbers.</summary>
    public async Task<ImmutableArray<Nonconformance>> All(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Load(db, _ => true, ct);
    }

    /// <exception cref="NotFoundException">No such number.</exception>
    public async Task<Nonconformance> Get(int number, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Get(db, number, ct);
    }

    internal static async Task<Nonconformance> Get(Db db, int number, CancellationToken ct) =>
        (await Load(db, n => n.Number == number, ct)).SingleOrDefault() ?? throw new NotFoundException(FormattableString.Invariant($"There is no nonconformance NCR-{number:0000}."));

    internal static async Task<ImmutableArray<Nonconformance>> Load(Db db, Expression<Func<NonconformanceRow, bool>> which, CancellationToken ct)
    {
        var rows = await db.Nonconformances.AsNoTracking().Where(which).OrderBy(n => n.Number).ToListAsync(ct);
        if (rows.Count == 0)
        {
            return [];
        }

        var wanted = db.Nonconformances.Where(which).Select(n => n.Id);
        var entries = (await db.NonconformanceEntries.AsNoTracking().Where(e => wanted.Contains(e.NonconformanceId)).ToListAsync(ct)).ToLookup(e => e.NonconformanceId);
        return [.. rows.Select(r => r.ToNonconformance(entries[r.Id]))];
    }
}
