using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Logging;

namespace BuildTrack.Records.Storage;

/// <summary>Brings the database to the current schema before the server listens.</summary>
/// <remarks>
/// A process killed while migrating leaves a row in EF's lock table, and a plain Migrate() then waits for ever, even with nothing to do
/// (dotnet/efcore#38958). So: a lock of our own on a file (SQLite) or an advisory lock (PostgreSQL), look for pending migrations first, and
/// remove a stale row only while holding that lock.
/// </remarks>
public sealed class Migrator(Store store, ILogger<Migrator> log)
{
    /// <summary>The bug of SQLite's write-ahead log that could corrupt a file is mended from this version on.</summary>
    private static readonly Version LeastSqlite = new(3, 51, 3);

    public async Task Run(CancellationToken ct)
    {
        Directory.CreateDirectory(store.Settings.Folder);
        if (store.IsSqlite)
        {
            await Sqlite(ct);
        }
        else
        {
            await Postgres(ct);
        }
    }

    private async Task Sqlite(CancellationToken ct)
    {
        using var fileLock = await TakeFileLock(store.Settings.DatabaseFile + ".migrating", ct);
        await using var db = store.Open();
        await db.Database.OpenConnectionAsync(ct);
        var connection = (SqliteConnection)db.Database.GetDbConnection();
        if (Version.Parse(connection.ServerVersion) < LeastSqlite)
        {
            throw new InvalidOperationException($"SQLite {connection.ServerVersion} is too old: found {connection.ServerVersion}, expected at least {LeastSqlite}.");
        }

        await Execute(connection, "PRAGMA journal_mode=WAL", ct);
        var pending = (await db.Database.GetPendingMigrationsAsync(ct)).ToList();
        if (pending.Count == 0)
        {
            return;
        }

        if ((await db.Database.GetAppliedMigrationsAsync(ct)).Any())
        {
            // A table rebuild is several transactions on SQLite: a kill in between leaves it half done. Keep the state before it.
            var backup = $"{store.Settings.DatabaseFile}.before-{pending[^1]}";
            if (!File.Exists(backup))
            {
                await Execute(connection, $"VACUUM INTO '{backup.Replace("'", "''", StringComparison.Ordinal)}'", ct);
                log.LogInformation("Kept the database as it was before {Migration} in {Backup}", pending[^1], backup);
            }
        }

        await RemoveStaleLock(connection, ct);
        await db.Database.MigrateAsync(ct);
        log.LogInformation("Applied {Count} migrations, the last {Migration}", pending.Count, pending[^1]);
    }

    private async Task Postgres(CancellationToken ct)
    {
        await using var db = store.Open();
        await db.Database.OpenConnectionAsync(ct);
        await db.Database.ExecuteSqlRawAsync("SELECT pg_advisory_lock(7212490031)", ct);
        try
        {
            if ((await db.Database.GetPendingMigrationsAsync(ct)).Any())
            {
                await db.Database.MigrateAsync(ct);
            }
        }
        finally
        {
            await db.Database.ExecuteSqlRawAsync("SELECT pg_advisory_unlock(7212490031)", CancellationToken.None);
        }
    }

    private async Task RemoveStaleLock(SqliteConnection connection, CancellationToken ct)
    {
        await using var look = connection.CreateCommand();
        look.CommandText = "SELECT count(*) FROM sqlite_master WHERE name = '__EFMigrationsLock'";
        if ((long)(await look.ExecuteScalarAsync(ct))! == 0)
        {
            return;
        }

        await using var delete = connection.CreateCommand();
        delete.CommandText = "DELETE FROM \"__EFMigrationsLock\"";
        if (await delete.ExecuteNonQueryAsync(ct) is var rows and > 0)
        {
            log.LogWarning("Removed {Rows} stale migration lock rows: an earlier start was ended while migrating", rows);
        }
    }

    private static async Task Execute(SqliteConnection connection, string sql, CancellationToken ct)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(ct);
    }

    private static async Task<FileStream> TakeFileLock(string path, CancellationToken ct)
    {
        for (var attempt = 0; ; attempt++)
        {
            try
            {
                return new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            }
            catch (IOException) when (attempt < 40)
            {
                await Task.Delay(250, ct);
            }
        }
    }
}
