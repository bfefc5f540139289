using System.Diagnostics;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Tests.Pitfalls;

/// <summary>What was measured before the first line was written: migrations that wait for ever, pragmas that slip, versions that corrupt.</summary>
public sealed class StartUpTests
{
    private const string LockTable =
        """CREATE TABLE IF NOT EXISTS "__EFMigrationsLock" ("Id" INTEGER NOT NULL CONSTRAINT "PK___EFMigrationsLock" PRIMARY KEY, "Timestamp" TEXT NOT NULL)""";

    private const string StaleRow = """INSERT INTO "__EFMigrationsLock" VALUES (1, '2026-01-01 00:00:00')""";

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_stale_row_of_the_migration_lock_does_not_hang_the_start(bool migrationsPending)
    {
        await using var plant = migrationsPending ? await TestPlant.MakeEmpty(Database.Sqlite) : await TestPlant.Make(Database.Sqlite);
        await plant.Execute(LockTable);
        await plant.Execute(StaleRow);
        await plant.Get<Migrator>().Run(default).WaitAsync(TimeSpan.FromSeconds(10));
        Assert.Equal(1L, await plant.Count("Head"));
    }

    [Theory, OnBoth]
    public async Task Two_servers_that_start_at_once_migrate_once(Database on)
    {
        await using var plant = await TestPlant.MakeEmpty(on);
        var other = plant.Server();
        await Task.WhenAll(
            Task.Run(() => plant.Get<Migrator>().Run(default)), Task.Run(() => other.GetRequiredService<Migrator>().Run(default))).WaitAsync(TimeSpan.FromSeconds(30));
        Assert.Equal(1L, await plant.Count("Head"));
        await using var db = plant.Get<Store>().OpenToRead();
        Assert.Equal(db.Database.GetMigrations().Count(), (int)await plant.Count("__EFMigrationsHistory"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Starting_again_changes_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var before = await plant.Dump();
        await plant.Get<Migrator>().Run(default);
        Assert.Equal(before, await plant.Dump());
    }

    [Fact]
    public async Task Every_sqlite_connection_flushes_before_it_acknowledges()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Get<Migrator>().Run(default);
        for (var round = 0; round < 3; round++)
        {
            await using var first = plant.Get<Store>().Open();
            await using var second = plant.Get<Store>().OpenToRead();
            foreach (var db in new[] { first, second })
            {
                await db.Database.OpenConnectionAsync();
                Assert.Equal(2L, await Pragma(db, "synchronous"));
                Assert.Equal("wal", await Pragma(db, "journal_mode"));
                Assert.Equal(67_108_864L, await Pragma(db, "journal_size_limit"));
                Assert.Equal(1L, await Pragma(db, "foreign_keys"));
                // A pooled connection comes back with what was done to it.
                await db.Database.ExecuteSqlRawAsync("PRAGMA synchronous=OFF");
            }

            if (round == 1)
            {
                SqliteConnection.ClearPool((SqliteConnection)first.Database.GetDbConnection());
            }
        }

        static async Task<object?> Pragma(Db db, string name)
        {
            await using var command = db.Database.GetDbConnection().CreateCommand();
            command.CommandText = $"PRAGMA {name}";
            return await command.ExecuteScalarAsync();
        }
    }

    [Fact]
    public async Task The_sqlite_library_has_the_mended_write_ahead_log()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var version = Version.Parse((string)(await plant.Scalar("SELECT sqlite_version()"))!);
        Assert.True(version >= new Version(3, 51, 3), $"SQLite {version}; below 3.51.3 two connections can corrupt the file");
    }

    [Fact]
    public async Task Every_text_column_of_postgres_compares_by_code_point()
    {
        await using var plant = await TestPlant.Make(Database.Postgres);
        var others = await plant.Scalar("""
            SELECT string_agg(table_name || '.' || column_name, ', ') FROM information_schema.columns
            WHERE table_schema = 'public' AND data_type IN ('text', 'character varying') AND collation_name IS DISTINCT FROM 'C' AND table_name <> '__EFMigrationsHistory'
            """);
        Assert.True(others is DBNull or null, $"not collated \"C\": {others}");
    }

    [Fact]
    public async Task A_migration_that_another_start_is_doing_is_waited_for()
    {
        await using var plant = await TestPlant.MakeEmpty(Database.Sqlite);
        Directory.CreateDirectory(plant.Settings.Folder);
        var held = new FileStream(plant.Settings.DatabaseFile + ".migrating", FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        var watch = Stopwatch.StartNew();
        var start = Task.Run(() => plant.Get<Migrator>().Run(default));
        await Task.Delay(600);
        Assert.False(start.IsCompleted);
        await held.DisposeAsync();
        await start.WaitAsync(TimeSpan.FromSeconds(10));
        Assert.True(watch.ElapsedMilliseconds >= 600);
    }
}
