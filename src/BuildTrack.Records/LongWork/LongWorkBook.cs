using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.LongWork;

/// <summary>How far a long work has come.</summary>
/// <param name="Stage">Counted from 1.</param>
/// <param name="What">What this stage goes through, as a sheet says it.</param>
/// <param name="Done">So many of them are done.</param>
public readonly record struct Progress(int Stage, int Stages, string What, long Done, long Total);

/// <summary>Where a long work stands.</summary>
public enum LongWorkState
{
    Waiting,
    UnderWay,
    Done,
    Cancelled,
    GivenUp,
}

/// <summary>A long work as sheets and the API show it.</summary>
/// <param name="Beat">Last sign of life; null while nobody does it.</param>
/// <param name="Fault">Why the last try ended; null where none failed.</param>
/// <param name="Outcome">Canonical JSON of what came of it.</param>
public sealed record LongWorkLine(
    string Work, string Kind, LongWorkState State, string Person, Instant Asked, Instant? Beat, Progress Progress, string? Fault, Instant? Ended, string? CancelledBy, string? Outcome)
{
    public bool Open => State is LongWorkState.Waiting or LongWorkState.UnderWay;
}

/// <summary>Asks for long works, cancels them, and tells where they stand. What is asked for is done by <see cref="LongWorker"/>.</summary>
public sealed class LongWorkBook(Store store, TimeProvider clock)
{
    /// <summary>A long work is cancelled by who asked for it, or by an administrator.</summary>
    public const string NotYours = "R-WORK-01";

    /// <summary>What has ended is not cancelled.</summary>
    public const string Ended = "R-WORK-02";

    /// <summary>Asks for a work; where one of its kind is open already, that one is the answer.</summary>
    public async Task<LongWorkLine> Ask(Caller who, string kind, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(who);
        var now = Instant.Now(clock).Microseconds;
        var row = new LongWorkRow { Work = Guid.NewGuid().ToString("N"), Kind = kind, Person = who.Person, AskedUs = now, NextUs = now };
        await using var db = store.Open();
        if (await OpenOne(db, kind, ct) is { } open)
        {
            return ToLine(open);
        }

        db.LongWorks.Add(row);
        try
        {
            await db.SaveChangesAsync(ct);
            return ToLine(row);
        }
        catch (DbUpdateException)
        {
            // The database lets one of a kind be open: somebody asked at the same moment.
            if (await OpenOne(db, kind, ct) is { } other)
            {
                return ToLine(other);
            }

            throw;
        }
    }

    /// <summary>Whether a person may cancel a work: who asked for it, and administrators.</summary>
    public static bool MayCancel(Caller who, LongWorkLine work) => work.Person == who.Person || who.Roles.Contains(Roles.Administrator);

    /// <summary>Ends a work before its end; who does it notices at its next sign of life.</summary>
    /// <exception cref="RefusedException">It is another's, or has ended.</exception>
    /// <exception cref="NotFoundException">No such work.</exception>
    public async Task<LongWorkLine> Cancel(Caller who, string work, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(who);
        var line = await Find(work, ct);
        if (!MayCancel(who, line))
        {
            throw new RefusedException(new BrokenRule(NotYours, $"The {line.Kind} was asked for by {line.Person}: that person or an administrator cancels it."));
        }

        var now = Instant.Now(clock).Microseconds;
        await using var db = store.Open();
        var ended = await db.LongWorks.Where(w => w.Work == work && w.EndedUs == null)
            .ExecuteUpdateAsync(s => s.SetProperty(w => w.EndedUs, now).SetProperty(w => w.CancelledBy, who.Person), ct);
        line = await Find(work, ct);
        return ended == 1 ? line : throw new RefusedException(new BrokenRule(Ended, $"The {line.Kind} has ended at {line.Ended}; nothing was changed."));
    }

    /// <exception cref="NotFoundException">No such work.</exception>
    public async Task<LongWorkLine> Find(string work, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return ToLine(await db.LongWorks.SingleOrDefaultAsync(w => w.Work == work, ct) ?? throw new NotFoundException($"There is no work '{work}'."));
    }

    /// <summary>The latest of a kind, the newest first.</summary>
    public async Task<ImmutableArray<LongWorkLine>> List(string kind, int count, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return [.. (await db.LongWorks.Where(w => w.Kind == kind).OrderByDescending(w => w.AskedUs).Take(count).ToListAsync(ct)).Select(ToLine)];
    }

    private static Task<LongWorkRow?> OpenOne(Db db, string kind, CancellationToken ct) => db.LongWorks.AsNoTracking().SingleOrDefaultAsync(w => w.Kind == kind && w.EndedUs == null, ct);

    private static LongWorkLine ToLine(LongWorkRow row) => new(
        row.Work, row.Kind,
        row switch
        {
            { EndedUs: null, Hand: null } => LongWorkState.Waiting,
            { EndedUs: null } => LongWorkState.UnderWay,
            { CancelledBy: not null } => LongWorkState.Cancelled,
            { Outcome: not null } => LongWorkState.Done,
            _ => LongWorkState.GivenUp,
        },
        row.Person, new Instant(row.AskedUs), row.BeatUs is { } beat ? new Instant(beat) : null, new Progress(row.Stage, row.Stages, row.What ?? "", row.Done, row.Total),
        row.Fault, row.EndedUs is { } ended ? new Instant(ended) : null, row.CancelledBy, row.Outcome);
}
