using System.Collections.Immutable;
using System.Data;
using System.Diagnostics;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace BuildTrack.Records.Tests.Pitfalls;

/// <summary>These measure seconds, so nothing runs beside them.</summary>
[CollectionDefinition(nameof(LockedDatabaseTests), DisableParallelization = true)]
public sealed class LockedDatabaseCollection;

/// <summary>Somebody else holds the database: wait a little, then say so; never lose, never double.</summary>
[Collection(nameof(LockedDatabaseTests))]
public sealed class LockedDatabaseTests
{
    [Theory, OnBoth]
    public async Task Acts_wait_for_a_database_that_is_locked_for_two_seconds(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("WARM");
        var free = await Hold(plant);
        var acts = Enumerable.Range(0, 8).Select(i => Task.Run(() => plant.Order($"WAIT-{i}", key: $"k{i}"))).ToList();
        await Task.Delay(TimeSpan.FromSeconds(2));
        await free();
        await Task.WhenAll(acts);
        Assert.Equal(9L, await plant.Count("Machines"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Acts_give_up_within_six_seconds_when_the_lock_stays_and_the_same_request_passes_later(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("WARM");
        var before = await plant.Dump();
        var free = await Hold(plant);
        try
        {
            // Sent one second after the other: whoever waited for the others' turn does not wait for the database as long again.
            var tries = Enumerable.Range(0, 4).Select(i => Task.Run(async () =>
            {
                await Task.Delay(TimeSpan.FromSeconds(i));
                var watch = Stopwatch.StartNew();
                await Assert.ThrowsAsync<StoreBusyException>(() => plant.Order($"LATER-{i}", key: $"k{i}"));
                return watch.Elapsed;
            })).ToList();
            var took = await Task.WhenAll(tries);
            Assert.All(took, t => Assert.InRange(t.TotalSeconds, 3.5, 6.5));
        }
        finally
        {
            await free();
        }

        Assert.Equal(before, await plant.Dump());
        for (var i = 0; i < 4; i++)
        {
            await plant.Order($"LATER-{i}", key: $"k{i}");
        }

        Assert.Equal(5L, await plant.Count("Machines"));
        await plant.Sound();
    }

    [Fact]
    public async Task A_server_that_is_not_there_is_busy_and_not_a_fault()
    {
        using var store = new LostServer();
        await Assert.ThrowsAsync<StoreBusyException>(() => store.Runner.Do<ActReceipt>(
            TestPlant.Administrator, Domain.People.ActKind.SetPlant, new { }, null, _ => throw new UnreachableException(), default));
    }

    /// <summary>Takes the write lock from outside; gives back how to let it go.</summary>
    private static async Task<Func<Task>> Hold(TestPlant plant)
    {
        System.Data.Common.DbConnection connection = plant.On == Database.Sqlite
            ? new SqliteConnection($"Data Source={plant.Settings.DatabaseFile};Pooling=false")
            : new NpgsqlConnection(plant.Settings.Postgres + ";Pooling=false");
        await connection.OpenAsync();
        var transaction = await connection.BeginTransactionAsync(IsolationLevel.Unspecified);
        await using (var command = connection.CreateCommand())
        {
            command.Transaction = transaction;
            command.CommandText = "UPDATE \"Head\" SET \"Sequence\" = \"Sequence\" WHERE \"Id\" = 1";
            await command.ExecuteNonQueryAsync();
        }

        return async () =>
        {
            await transaction.RollbackAsync();
            await transaction.DisposeAsync();
            await connection.DisposeAsync();
        };
    }

    private sealed class LostServer : IDisposable
    {
        private readonly ActRunner runner = new(new Store(new StoreSettings(Path.GetTempPath(), "Host=127.0.0.1;Port=9;Username=nobody;Timeout=2")), TimeProvider.System);

        public ActRunner Runner => runner;

        public void Dispose() => runner.Dispose();
    }
}
