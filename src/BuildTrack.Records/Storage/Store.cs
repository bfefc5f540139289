using System.Data;
using System.Data.Common;
using BuildTrack.Domain.Rules;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace BuildTrack.Records.Storage;

/// <summary>Where the records live.</summary>
/// <param name="Folder">Database (SQLite), evidence files, keys.</param>
/// <param name="Postgres">Connection text of a PostgreSQL server; null for SQLite in <paramref name="Folder"/>.</param>
public sealed record StoreSettings(string Folder, string? Postgres)
{
    /// <summary>The database is being filled and can be made anew at any time: SQLite does not wait for the disk. For the demo's loading only.</summary>
    public bool Filling { get; init; }

    public string DatabaseFile => Path.Combine(Folder, "buildtrack.db");

    public string FilesFolder => Path.Combine(Folder, "files");

    public string KeysFolder => Path.Combine(Folder, "keys");
}

/// <summary>The database cannot be reached or is busy; nothing was changed, the same request may be sent again.</summary>
public sealed class StoreBusyException(string message, Exception? inner = null) : Exception(message, inner);

/// <summary>Opens the database. One connection text, never one shared connection.</summary>
public sealed class Store
{
    private readonly DbContextOptions options;
    private readonly KeptReadings readings = new();

    public Store(StoreSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        Settings = settings;
        options = settings.Postgres is { } postgres
            ? new DbContextOptionsBuilder<PostgresDb>().UseNpgsql(postgres).Options
            : new DbContextOptionsBuilder<SqliteDb>().UseSqlite(SqliteText(settings.DatabaseFile)).AddInterceptors(new Pragmas(settings.Filling)).Options;
    }

    public StoreSettings Settings { get; }

    public bool IsSqlite => Settings.Postgres is null;

    public Db Open()
    {
        Db db = options is DbContextOptions<PostgresDb> postgres ? new PostgresDb(postgres) : new SqliteDb((DbContextOptions<SqliteDb>)options);
        db.KeptReadings = readings;
        return db;
    }

    /// <summary>A context that tracks nothing, for reading.</summary>
    public Db OpenToRead()
    {
        var db = Open();
        db.ChangeTracker.QueryTrackingBehavior = QueryTrackingBehavior.NoTracking;
        return db;
    }

    /// <summary>A context that sees the record as it stands at its first question, whatever is written meanwhile; it holds up no act.</summary>
    public async Task<Db> OpenSnapshot(CancellationToken ct)
    {
        var db = OpenToRead();
        db.KeptReadings = null;
        await db.Database.OpenConnectionAsync(ct);
        if (db.Database.GetDbConnection() is SqliteConnection sqlite)
        {
            // A transaction that is not deferred takes the write lock.
            await db.Database.UseTransactionAsync(sqlite.BeginTransaction(deferred: true), ct);
        }
        else
        {
            await db.Database.BeginTransactionAsync(IsolationLevel.RepeatableRead, ct);
        }

        return db;
    }

    /// <summary>Whether an error means "busy or unreachable" rather than a fault of ours.</summary>
    public static bool IsBusy(Exception error) => error switch
    {
        SqliteException { SqliteErrorCode: 5 or 6 } => true,
        PostgresException { SqlState: "40001" or "40P01" or "55P03" or "57P01" or "57P02" or "57P03" or "53300" } => true,
        NpgsqlException { InnerException: System.IO.IOException or System.Net.Sockets.SocketException or TimeoutException } => true,
        DbUpdateException { InnerException: { } inner } => IsBusy(inner),
        InvalidOperationException { InnerException: NpgsqlException inner } => IsBusy(inner),
        _ => false,
    };

    private static string SqliteText(string file) => new SqliteConnectionStringBuilder
    {
        DataSource = file,
        // Busy waiting and command time-out in seconds: short acts either get the lock soon or say so.
        DefaultTimeout = 5,
        ForeignKeys = true,
        Pooling = true,
    }.ToString();

    // WAL is kept in the file; synchronous and the size limit belong to each connection and are pinned on every opening.
    private sealed class Pragmas(bool filling) : DbConnectionInterceptor
    {
        private readonly string text = $"PRAGMA synchronous={(filling ? "OFF" : "FULL")}; PRAGMA journal_size_limit=67108864;";

        public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
        {
            using var command = connection.CreateCommand();
            command.CommandText = text;
            command.ExecuteNonQuery();
        }

        public override async Task ConnectionOpenedAsync(DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
        {
            await using var command = connection.CreateCommand();
            command.CommandText = text;
            await command.ExecuteNonQueryAsync(cancellationToken);
        }
    }
}
