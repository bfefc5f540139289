using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Revisions;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Planning;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Checklists;

/// <summary>Two revisions side by side, and what the later one's limits would mean for machines under the earlier one.</summary>
/// <param name="Machines">Machines in build under the earlier revision whose limits differ; each keeps its own.</param>
/// <param name="Effects">Every touched line of a machine under the earlier revision, calculated or not.</param>
/// <param name="Elsewhere">How many machines stand under other revisions than these two.</param>
public sealed record RevisionComparison(
    ChecklistLine From, ChecklistLine To, ImmutableArray<RevisionChange> Changes, ImmutableArray<TouchedMachine> Machines, ImmutableArray<LimitEffect> Effects, int Elsewhere)
{
    /// <summary>Limits of the later revision that no instrument of the register can prove today: a warning.</summary>
    public ImmutableArray<UnprovableLimit> Unprovable { get; init; } = [];
}

/// <summary>A machine in build that keeps limits which a later revision changes.</summary>
/// <param name="State">Where it stands.</param>
public sealed record TouchedMachine(string Serial, string Model, string Class, string Customer, string State, ImmutableArray<string> Lines);

/// <summary>Compares loaded revisions. It records nothing.</summary>
public sealed class RevisionComparer(Store store, PlanReader plans)
{
    /// <exception cref="NotFoundException">No revision has one of the two hashes.</exception>
    public async Task<RevisionComparison> Compare(string from, string to, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var (before, after) = (await Row(db, from, ct), await Row(db, to, ct));
        var later = ChecklistReader.Parse(after);
        var under = before.Hash == after.Hash ? [] : await Under(db, before.Hash, ct);
        var time = await PlantReader.Time(db, ct);
        var effects = under.Select(m => (Machine: m, Effects: LimitEffects.Of(m, later))).Where(x => x.Effects.Length > 0).ToImmutableArray();
        return new RevisionComparison(
            ChecklistReader.Line(before), ChecklistReader.Line(after), RevisionChanges.Between(ChecklistReader.Parse(before), later),
            [.. effects.Where(x => x.Machine.Route.Current is not null).Select(x => new TouchedMachine(
                x.Machine.Serial, x.Machine.Model.Id, x.Machine.Model.Class, x.Machine.Customer, MachineReader.Line(x.Machine, time).State, [.. x.Effects.Select(e => e.Line)]))],
            [.. effects.SelectMany(x => x.Effects)],
            await db.Machines.CountAsync(m => m.ChecklistHash != before.Hash && m.ChecklistHash != after.Hash, ct)) { Unprovable = await plans.Unprovable(later, ct) };
    }

    /// <summary>The machines that were ordered under a revision, by serial number.</summary>
    internal static async Task<ImmutableArray<MachineRecord>> Under(Db db, string hash, CancellationToken ct)
    {
        var machines = ImmutableArray.CreateBuilder<MachineRecord>();
        foreach (var serial in await db.Machines.Where(m => m.ChecklistHash == hash).Select(m => m.Serial).OrderBy(s => s).ToListAsync(ct))
        {
            machines.Add(await MachineReader.Load(db, serial, ct));
        }

        return machines.ToImmutable();
    }

    private static async Task<ChecklistRow> Row(Db db, string hash, CancellationToken ct) =>
        await db.Checklists.AsNoTracking().SingleOrDefaultAsync(c => c.Hash == hash, ct) ?? throw new NotFoundException($"There are no checklists {hash}.");
}
