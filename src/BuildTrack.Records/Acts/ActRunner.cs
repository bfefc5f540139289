using System.Data.Common;
using System.Diagnostics;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Storage;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;

namespace BuildTrack.Records.Acts;

/// <summary>The person's roles do not allow the act.</summary>
public sealed class NotAllowedException(string act, Caller who)
    : Exception($"{who.Name} may not {act}: this needs the role {string.Join(" or ", Permissions.RolesFor(act))}; {who.Person} has {(who.Roles.Length == 0 ? "none" : string.Join(", ", who.Roles))}.")
{
    public string Act { get; } = act;
}

/// <summary>An act under way: its database, moment and number.</summary>
public sealed class ActContext(Db db, Caller who, Instant now, long sequence, string previousHash, long nextId)
{
    public Db Db { get; } = db;

    public Caller Who { get; } = who;

    public Instant Now { get; } = now;

    public long Sequence { get; } = sequence;

    /// <summary>Hash of the row of the act before.</summary>
    public string PreviousHash { get; } = previousHash;

    internal long NextFree { get; private set; } = nextId;

    /// <summary>A new id, unique over all tables; given back if the act is refused.</summary>
    public long NewId() => NextFree++;

    internal List<KeptRow> Kept { get; } = [];

    /// <summary>Names a reading, an evaluation or a file that this act writes: the history then tells if one is changed, moved, taken away or slipped in. Other rows are named by themselves.</summary>
    /// <param name="of">The run of a reading, the line of an evaluation, the step of a file.</param>
    internal void Keep(string what, long id, string of, string hash) => Kept.Add(new KeptRow(what, id, of, hash));
}

/// <summary>What an act leaves behind: the answer for the caller, and the payload of its row in the history.</summary>
/// <param name="Payload">Everything that the state after can be told from; never a password.</param>
public sealed record ActResult<T>(T Outcome, string Subject, object Payload);

/// <summary>A row that an act wrote, as the act's payload names it.</summary>
internal sealed record KeptRow(string What, long Id, string Of, string Hash)
{
    public const string Reading = "reading";
    public const string Evaluation = "evaluation";
    public const string File = "file";

    /// <summary>The payload's key for the list of them.</summary>
    public const string Key = "kept";

    /// <summary>The payload's key for the first id that was free: the first act that tells one is the first that speaks for rows of every table.</summary>
    public const string From = "keptFrom";
}

/// <summary>Runs every act: one transaction, one row in the history of acts, the same answer for the same key.</summary>
public sealed class ActRunner(Store store, TimeProvider clock) : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    // One writer at a time in this host; SQLite knows no queue of its own. Other hosts meet at the database's lock.
    private readonly SemaphoreSlim gate = new(1, 1);

    public void Dispose() => gate.Dispose();

    /// <summary>Does an act, or refuses it and changes nothing.</summary>
    /// <param name="request">What was asked, without secrets: a key used again must come with the same.</param>
    /// <exception cref="NotAllowedException">The roles do not allow it.</exception>
    /// <exception cref="RefusedException">A rule forbids it; one of them is that the session was begun by badge or PIN.</exception>
    /// <exception cref="KeyReusedException">The key came with another request before.</exception>
    /// <exception cref="StoreBusyException">The database stayed locked or could not be reached.</exception>
    public Task<T> Do<T>(Caller who, string kind, object request, string? key, Func<ActContext, Task<ActResult<T>>> act, CancellationToken ct)
        where T : notnull =>
        !Permissions.May(who.Roles, kind) ? throw new NotAllowedException(kind, who)
        : who.ByPin && PinRules.WhyNot(kind) is { } rule ? throw new RefusedException(rule)
        : Run(who, kind, request, key, act, ct);

    /// <summary>The same for the one act that nobody can be asked about: making the first administrator.</summary>
    internal async Task<T> Run<T>(Caller who, string kind, object request, string? key, Func<ActContext, Task<ActResult<T>>> act, CancellationToken ct)
        where T : notnull
    {
        var begun = Stopwatch.GetTimestamp();
        if (!await gate.WaitAsync(Patience, ct))
        {
            throw new StoreBusyException("Another act has held the record for 5 s; nothing was changed, send the request again.");
        }

        try
        {
            // What was waited for the other acts is not waited for the database again.
            var left = Math.Max(1, (int)Math.Ceiling((Patience - Stopwatch.GetElapsedTime(begun)).TotalSeconds));
            return await Locked(who, kind, request, key, left, act, ct);
        }
        catch (Exception error) when (Store.IsBusy(error))
        {
            throw new StoreBusyException("The database is busy or cannot be reached; nothing was changed, send the request again.", error);
        }
        finally
        {
            gate.Release();
        }
    }

    private async Task<T> Locked<T>(
        Caller who, string kind, object request, string? key, int patienceSeconds, Func<ActContext, Task<ActResult<T>>> act, CancellationToken ct)
        where T : notnull
    {
        var requestHash = RequestHash(who, kind, request, key);
        await using var db = store.Open();
        if (db.Database.GetDbConnection() is SqliteConnection sqlite)
        {
            sqlite.DefaultTimeout = patienceSeconds;
        }

        // Takes the write lock at once on SQLite (a deferred transaction that reads and then writes fails late), and the head row next on both.
        await using var transaction = await db.Database.BeginTransactionAsync(ct);
        var (sequence, previousHash, nextId) = await TakeHead(db, transaction, patienceSeconds, ct);
        if (key is not null && await db.Acts.AsNoTracking().SingleOrDefaultAsync(a => a.Key == key, ct) is { } before)
        {
            await transaction.RollbackAsync(ct);
            return before.RequestHash == requestHash ? CanonicalJson.Read<T>(before.Outcome) : throw new KeyReusedException(key);
        }

        var context = new ActContext(db, who, Instant.Now(clock), sequence, previousHash, nextId);
        // What an act saves on its way is no longer marked as added or changed at its end.
        void Gather(object? sender, SavingChangesEventArgs saving) => KeptRows.Gather(db, context.Kept);
        db.SavingChanges += Gather;
        var result = await act(context);
        db.SavingChanges -= Gather;
        KeptRows.Gather(db, context.Kept);
        var row = new ActRow
        {
            Sequence = sequence,
            AtUs = context.Now.Microseconds,
            Person = who.Person,
            Kind = kind,
            Subject = result.Subject,
            Payload = Payload(result.Payload, context.Kept, nextId),
            PreviousHash = previousHash,
            Hash = "",
            Key = key,
            RequestHash = requestHash,
            Outcome = CanonicalJson.Of(result.Outcome),
        };
        row.Hash = HashOf(row);
        db.Acts.Add(row);
        await db.SaveChangesAsync(ct);
        await db.Head.Where(h => h.Id == 1).ExecuteUpdateAsync(
            s => s.SetProperty(h => h.Hash, row.Hash).SetProperty(h => h.NextId, context.NextFree), ct);
        await transaction.CommitAsync(ct);
        return result.Outcome;
    }

    /// <summary>Hash of an act's row: over everything it says and the hash of the row before.</summary>
    internal static string HashOf(ActRow row) => CanonicalJson.Hash(CanonicalJson.Of(new
    {
        row.Sequence,
        At = new Instant(row.AtUs),
        row.Person,
        row.Kind,
        row.Subject,
        row.Payload,
        Previous = row.PreviousHash,
        row.Key,
        row.RequestHash,
        row.Outcome,
    }));

    private static string Payload(object payload, List<KeptRow> kept, long from)
    {
        var node = CanonicalJson.Tree(payload)!.AsObject();
        if (kept.Count > 0)
        {
            node[KeptRow.Key] = CanonicalJson.Tree(kept);
            node[KeptRow.From] = from;
        }

        return CanonicalJson.Write(node);
    }

    private static string RequestHash(Caller who, string kind, object request, string? key)
    {
        try
        {
            return (key is null ? null : CanonicalJson.WhyNotText(key)) is { } why
                ? throw new BadInputException("idempotency key", why, "plain text")
                : CanonicalJson.Hash($"{who.Person}\n{kind}\n{CanonicalJson.Of(request)}");
        }
        catch (ArgumentException error)
        {
            throw new BadInputException("the request", error.Message, "plain text and finite numbers");
        }
    }

    private static async Task<(long Sequence, string Hash, long NextId)> TakeHead(
        Db db, IDbContextTransaction transaction, int patienceSeconds, CancellationToken ct)
    {
        await using var command = db.Database.GetDbConnection().CreateCommand();
        command.CommandTimeout = patienceSeconds;
        command.Transaction = transaction.GetDbTransaction();
        command.CommandText = "UPDATE \"Head\" SET \"Sequence\" = \"Sequence\" + 1 WHERE \"Id\" = 1 RETURNING \"Sequence\", \"Hash\", \"NextId\"";
        await using DbDataReader reader = await command.ExecuteReaderAsync(ct);
        return await reader.ReadAsync(ct)
            ? (reader.GetInt64(0), reader.GetString(1), reader.GetInt64(2))
            : throw new InvalidOperationException("The head row of the history is missing; restore the database from its backup.");
    }
}
