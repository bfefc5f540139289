using System.Collections.Concurrent;
using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Machines;

/// <summary>What the sheets over all machines need of each one: worked out from its record once for every version of it.</summary>
/// <remarks>
/// Every act on a machine raises its version in the same transaction, so a list asks for all versions and reads only the machines that changed.
/// What is kept may rest on the record, the approval of its checklists and the plant's time zone; not on the hour.
/// </remarks>
public sealed class MachineDigests(Store store)
{
    private readonly ConcurrentDictionary<(Type Kind, string Serial), (Mark Mark, object Digest)> kept = new();

    private readonly record struct Mark(long Version, bool Approved, string Zone);

    /// <summary>One digest of every machine, by serial number.</summary>
    /// <typeparam name="T">What is kept; there is one derivation for each such type.</typeparam>
    public async Task<ImmutableArray<T>> Of<T>(Func<MachineRecord, PlantTime, T> derive, CancellationToken ct)
        where T : class
    {
        await using var db = store.OpenToRead();
        var zone = (await PlantReader.Get(db, ct)).TimeZone;
        var time = new PlantTime(zone);
        var machines = await db.Machines.OrderBy(m => m.Serial)
            .Select(m => new { m.Serial, m.Version, Approved = db.Checklists.Any(c => c.Hash == m.ChecklistHash && c.ApprovedUs != null) }).ToListAsync(ct);
        var all = ImmutableArray.CreateBuilder<T>(machines.Count);
        foreach (var m in machines)
        {
            var mark = new Mark(m.Version, m.Approved, zone);
            if (kept.TryGetValue((typeof(T), m.Serial), out var known) && known.Mark == mark)
            {
                all.Add((T)known.Digest);
                continue;
            }

            var record = await MachineReader.Load(db, m.Serial, ct);
            var digest = derive(record, time);

            // An act may have come between: what was read belongs to the version that was read.
            kept[(typeof(T), m.Serial)] = (mark with { Version = record.Version }, digest);
            all.Add(digest);
        }

        return all.MoveToImmutable();
    }
}
