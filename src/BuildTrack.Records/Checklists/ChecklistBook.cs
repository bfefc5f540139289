using System.Collections.Concurrent;
using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Revisions;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Checklists;

/// <summary>A loaded revision, approved or not.</summary>
public sealed record ChecklistLine(string Hash, string Edition, Instant LoadedAt, string LoadedBy, Instant? ApprovedAt, string? ApprovedBy);

/// <summary>An approval.</summary>
/// <param name="Against">Hash of the approved revision that the approver compared with; null where nothing was compared.</param>
/// <param name="Reason">Why; needed where limits change.</param>
public sealed record ApproveChecklistsRequest(string Hash, string? Against, string? Reason);

/// <summary>Reads revisions by hash. A revision never changes, so a parsed one is kept.</summary>
public sealed class ChecklistReader(Store store)
{
    private static readonly ConcurrentDictionary<string, ChecklistRevision> Parsed = new();

    public async Task<ImmutableArray<ChecklistLine>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return [.. (await db.Checklists.OrderByDescending(c => c.Order).ToListAsync(ct)).Select(Line)];
    }

    /// <summary>The revision that new machines are ordered under: the latest approved one, else the latest; null before any was loaded.</summary>
    public async Task<ChecklistRevision?> Current(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Current(db, ct) is { } row ? Parse(row) : null;
    }

    /// <summary>The revision that was loaded last, approved or not; null before any was loaded.</summary>
    public async Task<ChecklistRevision?> Latest(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await db.Checklists.AsNoTracking().OrderByDescending(c => c.Order).FirstOrDefaultAsync(ct) is { } row ? Parse(row) : null;
    }

    /// <summary>Hash of the approved revision in force; null before the first approval.</summary>
    public async Task<string?> Approved(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Current(db, ct) is { ApprovedUs: not null } row ? row.Hash : null;
    }

    internal static async Task<ChecklistRow?> Current(Db db, CancellationToken ct) =>
        await db.Checklists.AsNoTracking().OrderByDescending(c => c.ApprovedUs != null).ThenByDescending(c => c.Order).FirstOrDefaultAsync(ct);

    /// <summary>A revision, and whether it is approved. Its files, some 70 kB, are read from the database once only.</summary>
    internal static async Task<(ChecklistRevision Revision, bool Approved)> Of(Db db, string hash, CancellationToken ct)
    {
        var approved = await db.Checklists.Where(c => c.Hash == hash).Select(c => c.ApprovedUs != null).SingleAsync(ct);
        return (Parsed.TryGetValue(hash, out var revision) ? revision : Parse(await db.Checklists.AsNoTracking().SingleAsync(c => c.Hash == hash, ct)), approved);
    }

    internal static ChecklistRevision Parse(ChecklistRow row) => Parsed.GetOrAdd(row.Hash, _ =>
    {
        var files = CanonicalJson.Read<SortedDictionary<string, string>>(row.Files);
        var loaded = ChecklistLoader.Load(files, Checklists.FurtherEvaluators.ForTests);
        return loaded.Revision ?? throw new InvalidOperationException($"Stored checklists {row.Hash[..8]} no longer load: {string.Join("; ", loaded.Faults.Take(3))}");
    });

    internal static ChecklistLine Line(ChecklistRow row) => new(
        row.Hash, row.Edition, new Instant(row.LoadedUs), row.LoadedBy, row.ApprovedUs is { } us ? new Instant(us) : null, row.ApprovedBy);
}

/// <summary>Names of calculations that are accepted although this build does not have them; empty outside tests.</summary>
public static class FurtherEvaluators
{
    public static IReadOnlySet<string>? ForTests { get; set; }
}

/// <summary>Loading and approving revisions.</summary>
public sealed class ChecklistActs(ActRunner acts)
{
    /// <summary>Loads a set of files as a revision, not yet approved. The same files again change nothing.</summary>
    /// <exception cref="BadInputException">All faults of all files; the last good revision stays in force.</exception>
    public async Task<ActReceipt> Load(Caller who, IReadOnlyDictionary<string, string> files, string? key, CancellationToken ct)
    {
        var loaded = ChecklistLoader.Load(files, FurtherEvaluators.ForTests);
        if (loaded.Revision is not { } revision)
        {
            throw new BadInputException([.. loaded.Faults.Select(f => new InputFault($"{f.File} line {f.Line}, column {f.Column}", f.Found, f.Expected))]);
        }

        return await acts.Do(who, ActKind.LoadChecklists, new { revision.Hash }, key, async act =>
        {
            if (await act.Db.Checklists.AnyAsync(c => c.Hash == revision.Hash, ct))
            {
                throw new RefusedException(new BrokenRule("R-CHECKLIST-01", $"Checklists {revision.Edition} ({revision.Hash[..8]}) are loaded already."));
            }

            act.Db.Checklists.Add(new ChecklistRow
            {
                Hash = revision.Hash,
                Edition = revision.Edition,
                Files = CanonicalJson.Of(new SortedDictionary<string, string>(files.ToDictionary(), StringComparer.Ordinal)),
                Order = act.Sequence,
                LoadedUs = act.Now.Microseconds,
                LoadedBy = who.Person,
            });
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, revision.Hash), revision.Hash, new { revision.Hash, revision.Edition });
        }, ct);
    }

    /// <summary>Approves a revision without having compared it.</summary>
    public Task<ActReceipt> Approve(Caller who, string hash, string? key, CancellationToken ct) => Approve(who, new ApproveChecklistsRequest(hash, null, null), key, ct);

    /// <summary>Approves a revision: from now on results under it may be released. The history keeps which machines its limits touch.</summary>
    public Task<ActReceipt> Approve(Caller who, ApproveChecklistsRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ApproveChecklists, request, key, async act =>
        {
            if (request.Reason is not null)
            {
                MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            }

            var row = await act.Db.Checklists.SingleOrDefaultAsync(c => c.Hash == request.Hash, ct) ?? throw new NotFoundException($"There are no checklists {request.Hash}.");
            if (row.ApprovedUs is not null)
            {
                throw new RefusedException(new BrokenRule("R-CHECKLIST-02", $"Checklists {row.Edition} were approved by {row.ApprovedBy} already."));
            }

            var touched = await Touched(act.Db, row, request, ct);
            row.ApprovedUs = act.Now.Microseconds;
            row.ApprovedBy = who.Person;
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, row.Hash), row.Hash, new { row.Hash, row.Edition, request.Against, request.Reason, Touched = touched });
        }, ct);

    // The serial numbers whose limits the revision changes, against the approved one before it; none where it is the first.
    private static async Task<ImmutableArray<string>> Touched(Db db, ChecklistRow row, ApproveChecklistsRequest request, CancellationToken ct)
    {
        var before = await ChecklistReader.Current(db, ct) is { ApprovedUs: not null } current ? current : null;
        if (request.Against is { } against && against != before?.Hash)
        {
            throw new ChangedMeanwhileException("The approved edition", against[..Math.Min(8, against.Length)], before?.Hash[..8] ?? "none");
        }

        if (before is null)
        {
            return [];
        }

        var (from, to) = (ChecklistReader.Parse(before), ChecklistReader.Parse(row));
        if (string.IsNullOrWhiteSpace(request.Reason) && RevisionChanges.Between(from, to).Count(RevisionChanges.NeedsReason) is > 0 and var limits)
        {
            throw new RefusedException(new BrokenRule("R-CHECKLIST-03", $"Edition {row.Edition} changes limits or rules of the company in edition {before.Edition}, {limits} in all; it is approved with a reason."));
        }

        return [.. (await RevisionComparer.Under(db, before.Hash, ct)).Where(m => LimitEffects.Of(m, to).Length > 0).Select(m => m.Serial)];
    }
}
