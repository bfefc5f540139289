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
/// What is kept may rest on the record, the approval of its checklists and the plant's time zone; not on the hour. A machine that changed is read once
/// for all sheets: every digest that was ever asked for is made from it.
/// </remarks>
public sealed class MachineDigests(Store store)
{
    private readonly ConcurrentDictionary<(Type Kind, string Serial), (Mark Mark, object Digest)> kept = new();

    private readonly ConcurrentDictionary<Type, Func<MachineRecord, PlantTime, object>> derivations = new();

    private readonly record struct Mark(long Version, bool Approved, string Zone);

    /// <summary>One digest of every machine, by serial number.</summary>
    /// <typeparam name="T">What is kept; there is one derivation for each such type.</typeparam>
    public async Task<ImmutableArray<T>> Of<T>(Func<MachineRecord, PlantTime, T> derive, CancellationToken ct)
        where T : class
    {
        derivations.TryAdd(typeof(T), derive);
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

            // An act may have come between: what was read belongs to the version that was read.
            var read = mark with { Version = record.Version };
            foreach (var (kind, make) in derivations.Where(d => d.Key != typeof(T)))
            {
                kept[(kind, m.Serial)] = (read, make(record, time));
            }

            var digest = derive(record, time);
            kept[(typeof(T), m.Serial)] = (read, digest);
            all.Add(digest);
        }

        return all.MoveToImmutable();
    }
}
