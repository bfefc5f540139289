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
public sealed class MachineDigests(Store store) : IDisposable
{
    // A machine that several ask for at once is read once.
    private readonly SemaphoreSlim reading = new(1, 1);

    private readonly ConcurrentDictionary<(Type Kind, string Serial), (Mark Mark, object Digest)> kept = new();

    private readonly ConcurrentDictionary<Type, Func<MachineRecord, PlantTime, object>> derivations = new();

    // Every act moves the head, so nothing has changed while it stands: a list is then given again without a look at the machines.
    private readonly ConcurrentDictionary<Type, (Head Head, object List)> lists = new();

    private readonly record struct Mark(long Version, bool Approved, string Zone);

    private readonly record struct Head(long Sequence, string Hash);

    public void Dispose() => reading.Dispose();

    /// <summary>Says that a digest will be asked for: from then on it is made whenever a machine is read for any of them.</summary>
    /// <typeparam name="T">What is kept; there is one derivation for each such type.</typeparam>
    public void Needs<T>(Func<MachineRecord, PlantTime, T> derive)
        where T : class => derivations.TryAdd(typeof(T), derive);

    /// <summary>Makes every digest that is needed and not there yet, so that the first who asks does not wait for all machines.</summary>
    public async Task Prepare(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        foreach (var (serial, mark, time) in await Marks(db, ct))
        {
            if (derivations.Keys.FirstOrDefault(kind => Known(kind, serial, mark) is null) is { } missing)
            {
                await Read(db, serial, mark, time, missing, ct);
            }
        }
    }

    /// <summary>One digest of every machine, by serial number: the same list as long as no act was done.</summary>
    /// <typeparam name="T">What is kept; there is one derivation for each such type.</typeparam>
    public async Task<ImmutableArray<T>> Of<T>(Func<MachineRecord, PlantTime, T> derive, CancellationToken ct)
        where T : class
    {
        Needs(derive);
        await using var db = store.OpenToRead();

        // The head is read first: an act that comes between leads to one look too many, never to an old list.
        var head = await db.Head.Select(h => new Head(h.Sequence, h.Hash)).SingleAsync(ct);
        if (lists.TryGetValue(typeof(T), out var list) && list.Head == head)
        {
            return (ImmutableArray<T>)list.List;
        }

        var all = ImmutableArray.CreateBuilder<T>();
        foreach (var (serial, mark, time) in await Marks(db, ct))
        {
            all.Add((T)(Known(typeof(T), serial, mark) ?? await Read(db, serial, mark, time, typeof(T), ct)));
        }

        var found = all.ToImmutable();
        lists[typeof(T)] = (head, found);
        return found;
    }

    private static async Task<IReadOnlyList<(string Serial, Mark Mark, PlantTime Time)>> Marks(Db db, CancellationToken ct)
    {
        var zone = (await PlantReader.Get(db, ct)).TimeZone;
        var time = new PlantTime(zone);
        var machines = await db.Machines.OrderBy(m => m.Serial)
            .Select(m => new { m.Serial, m.Version, Approved = db.Checklists.Any(c => c.Hash == m.ChecklistHash && c.ApprovedUs != null) }).ToListAsync(ct);
        return [.. machines.Select(m => (m.Serial, new Mark(m.Version, m.Approved, zone), time))];
    }

    private object? Known(Type kind, string serial, Mark mark) => kept.TryGetValue((kind, serial), out var known) && known.Mark == mark ? known.Digest : null;

    private async Task<object> Read(Db db, string serial, Mark mark, PlantTime time, Type wanted, CancellationToken ct)
    {
        await reading.WaitAsync(ct);
        try
        {
            if (Known(wanted, serial, mark) is { } meanwhile)
            {
                return meanwhile;
            }

            var record = await MachineReader.Load(db, serial, ct);

            // An act may have come between: what was read belongs to the version that was read.
            var read = mark with { Version = record.Version };
            foreach (var (kind, derive) in derivations)
            {
                kept[(kind, serial)] = (read, derive(record, time));
            }

            return kept[(wanted, serial)].Digest;
        }
        finally
        {
            reading.Release();
        }
    }
}
