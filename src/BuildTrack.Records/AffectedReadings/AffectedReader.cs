using System.Collections.Immutable;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.AffectedReadings;

/// <summary>An affected-readings review: the finding and every machine it touches, those that have left the plant first.</summary>
public sealed record AffectedReview(UnfitFinding Finding, ImmutableArray<AffectedMachine> Machines)
{
    public int Undecided => Machines.Count(m => m.Decision is null);
}

/// <summary>What a sheet says of a review as a whole, counted without reading its machines.</summary>
/// <param name="Machines">How many machines the finding touches.</param>
/// <param name="Readings">How many readings stand on them that rest on the instrument.</param>
/// <param name="Shipped">How many of the machines have left the plant.</param>
/// <param name="Undecided">How many of them wait for a decision.</param>
public sealed record AffectedCounts(UnfitFinding Finding, int Machines, int Readings, int Shipped, int Undecided);

/// <summary>A finding with how far its review has come.</summary>
/// <param name="Machines">How many machines rest on the instrument in the time in doubt.</param>
/// <param name="Undecided">How many of them wait for a decision.</param>
public sealed record FindingLine(UnfitFinding Finding, int Machines, int Undecided);

/// <summary>Reads backward: from an instrument to runs, readings, results, machines and certificates.</summary>
public sealed class AffectedReader(Store store, MachineDigests digests)
{
    private sealed record Whereabouts(string Serial, bool Away);

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Derive);

    /// <summary>Every finding, the latest first; of one instrument where one is named.</summary>
    public async Task<ImmutableArray<FindingLine>> List(string? instrument, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var findings = await db.UnfitFindings.AsNoTracking().Where(f => instrument == null || f.Instrument == instrument).OrderByDescending(f => f.Id)
            .Select(f => new
            {
                Row = f,
                Machines = db.RunInstruments.Where(i => i.Instrument == f.Instrument && i.Day.CompareTo(f.LastGood) >= 0 && i.RunId < f.Id).Select(i => i.Serial).Distinct().Count(),
                Decided = db.AffectedDecisions.Where(d => d.FindingId == f.Id).Select(d => d.Serial).Distinct().Count(),
            }).ToListAsync(ct);
        return [.. findings.Select(f => new FindingLine(ToFinding(f.Row), f.Machines, f.Machines - f.Decided))];
    }

    /// <summary>The whole review: every machine that the finding touches is read.</summary>
    /// <exception cref="NotFoundException">No such finding.</exception>
    public async Task<AffectedReview> Review(long finding, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var found = await Find(db, finding, ct);
        var machines = await Touched(db, found, await Serials(db, found, ct), ct);
        return new AffectedReview(found, [.. machines.OrderByDescending(m => m.Shipped).ThenBy(m => m.Machine.Serial, StringComparer.Ordinal)]);
    }

    /// <exception cref="NotFoundException">No such finding.</exception>
    public async Task<AffectedCounts> Count(long finding, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var found = await Find(db, finding, ct);
        var (serials, away, runs) = (await Serials(db, found, ct), await Away(ct), Runs(db, found).Select(i => i.RunId));
        var readings = await db.Readings.CountAsync(r => runs.Contains(r.RunId) && r.Route != (int)EntryRoute.TakenBack && !db.Readings.Any(x => x.Supersedes == r.Id), ct);
        var decided = await db.AffectedDecisions.Where(d => d.FindingId == finding).Select(d => d.Serial).Distinct().CountAsync(ct);
        return new AffectedCounts(found, serials.Count, readings, serials.Count(away.Contains), serials.Count - decided);
    }

    /// <summary>A part of the machines of a review, in its order: those that have left the plant first.</summary>
    /// <exception cref="NotFoundException">No such finding.</exception>
    public async Task<ImmutableArray<AffectedMachine>> Part(long finding, int skip, int take, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var found = await Find(db, finding, ct);
        var away = await Away(ct);
        return await Touched(db, found, (await Serials(db, found, ct)).OrderByDescending(away.Contains).ThenBy(s => s, StringComparer.Ordinal).Skip(skip).Take(take), ct);
    }

    /// <summary>What a finding touches on one machine; null where nothing rests on the instrument.</summary>
    /// <exception cref="NotFoundException">No such finding, or no such machine.</exception>
    public async Task<AffectedMachine?> One(long finding, string serial, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var found = await Find(db, finding, ct);
        return AffectedMachine.Of(await MachineReader.Load(db, serial, ct), found);
    }

    private static async Task<ImmutableArray<AffectedMachine>> Touched(Db db, UnfitFinding finding, IEnumerable<string> serials, CancellationToken ct)
    {
        var machines = ImmutableArray.CreateBuilder<AffectedMachine>();
        foreach (var serial in serials)
        {
            if (AffectedMachine.Of(await MachineReader.Load(db, serial, ct), finding) is { } affected)
            {
                machines.Add(affected);
            }
        }

        return machines.ToImmutable();
    }

    private async Task<HashSet<string>> Away(CancellationToken ct) => (await digests.Of(Derive, ct)).Where(w => w.Away).Select(w => w.Serial).ToHashSet(StringComparer.Ordinal);

    private static Whereabouts Derive(MachineRecord machine, PlantTime time) => new(machine.Serial, AffectedMachine.HasLeft(machine));

    internal static async Task<UnfitFinding> Find(Db db, long finding, CancellationToken ct) =>
        ToFinding(await db.UnfitFindings.AsNoTracking().SingleOrDefaultAsync(f => f.Id == finding, ct)
            ?? throw new NotFoundException($"There is no finding {finding} of an instrument out of limits."));

    /// <summary>The findings that runs of a machine rest on, with what was decided about it.</summary>
    internal static async Task<ImmutableArray<MachineFinding>> FindingsOf(Db db, string serial, CancellationToken ct)
    {
        var findings = await db.UnfitFindings.AsNoTracking().Where(f => db.RunInstruments.Any(i => i.Serial == serial && i.Instrument == f.Instrument && i.RunId < f.Id && i.Day.CompareTo(f.LastGood) >= 0))
            .OrderBy(f => f.Id).ToListAsync(ct);
        if (findings.Count == 0)
        {
            return [];
        }

        var decisions = (await db.AffectedDecisions.AsNoTracking().Where(d => d.Serial == serial).ToListAsync(ct)).ToDictionary(d => d.FindingId);
        return [.. findings.Select(f => new MachineFinding(ToFinding(f), decisions.TryGetValue(f.Id, out var d) ? ToDecision(d) : null))];
    }

    private static IQueryable<RunInstrumentRow> Runs(Db db, UnfitFinding finding) =>
        db.RunInstruments.AsNoTracking().Where(i => i.Instrument == finding.Instrument && i.Day.CompareTo(finding.LastGood) >= 0 && i.RunId < finding.Id);

    private static Task<List<string>> Serials(Db db, UnfitFinding finding, CancellationToken ct) => Runs(db, finding).Select(i => i.Serial).Distinct().OrderBy(s => s).ToListAsync(ct);

    private static UnfitFinding ToFinding(UnfitFindingRow row) => new(
        row.Id, row.Instrument, row.Revision, Parse(row.Found), Parse(row.Allowed), row.LastGood, row.FoundOn, row.Reference, row.Person, new Instant(row.AtUs));

    private static AffectedDecision ToDecision(AffectedDecisionRow row) => new(
        row.Id, row.FindingId, row.Serial, (AffectedDecisionKind)row.Kind, row.Person, new Instant(row.AtUs), row.Note, CanonicalJson.Read<ImmutableArray<RecalculatedResult>>(row.Recalculated));

    private static Amount Parse(string text) => Amount.TryParse(text, out var amount) ? amount : throw new FormatException($"A finding holds '{text}', which is no number with a unit.");
}
