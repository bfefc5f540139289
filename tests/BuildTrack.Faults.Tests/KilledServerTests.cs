using System.Globalization;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Files;
using BuildTrack.Records.History;
using BuildTrack.Records.Storage;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Faults.Tests;

/// <summary>What the server has acknowledged outlives its sudden end. BUILDTRACK_FAULT_ROUNDS sets the number of kills; BUILDTRACK_FAULT_SEED their moments.</summary>
/// <remarks>A killed process leaves what it gave to the operating system; a loss of power is another matter (docs/operations/backup.md).</remarks>
public sealed class KilledServerTests(ITestOutputHelper output) : IDisposable
{
    private static readonly int Rounds = Number("BUILDTRACK_FAULT_ROUNDS", 20);
    private static readonly int Seed = Number("BUILDTRACK_FAULT_SEED", 20260701);
    private readonly string folder = Directory.CreateTempSubdirectory("buildtrack-faults-").FullName;
    private bool keep = true;

    [Fact]
    public async Task No_acknowledged_reading_is_lost_or_doubled_when_the_server_is_killed_again_and_again()
    {
        const string model = "OV-2661/12";
        Dictionary<string, string> tokens;
        await using (var plant = await Plant.Make(folder))
        {
            tokens = plant.Tokens;
            foreach (var person in Plant.Technicians)
            {
                await plant.Order("M-" + person, model);
            }
        }

        var random = new Random(Seed);
        await using var server = new Server(folder);
        using var stop = new CancellationTokenSource();
        var clients = Plant.Technicians.Select(p => new Client(server, tokens[p])).ToList();
        var recorders = clients.Select((c, i) => new Recorder(c, "M-" + Plant.Technicians[i], 58, new Random(Seed + i))).ToList();
        var work = recorders.Select(r => r.Work(stop.Token)).ToList();
        for (var round = 0; round < Rounds; round++)
        {
            await server.Start();
            // By progress, not by the clock: on a busy machine a fixed time would end before anything was recorded.
            var target = recorders.Sum(r => r.Held.Count) + random.Next(20, 120);
            await Until(() => recorders.Sum(r => r.Held.Count) >= target || work.Any(w => w.IsFaulted));
            await Task.WhenAll(work.Where(w => w.IsFaulted));
            await Task.Delay(random.Next(20));
            await server.Kill();
        }

        await server.Start();
        await stop.CancelAsync();
        await Task.WhenAll(work);
        await server.Kill();

        var held = recorders.SelectMany(r => r.Held).ToList();
        var again = clients.Sum(c => c.SentAgain);
        output.WriteLine($"seed {Seed}: {Rounds} kills, {held.Count} readings acknowledged, {again} requests sent again");
        Assert.True(again > 0, "no kill met a request under way: the test proves nothing");
        Assert.Empty(await WhatIsWrong(folder, held));
        clients.ForEach(c => c.Dispose());
        keep = false;
    }

    [Fact]
    public async Task Every_certificate_is_made_exactly_once_without_a_gap_when_the_server_is_killed_while_making_them()
    {
        const int machines = 10;
        Dictionary<string, string> tokens;
        await using (var plant = await Plant.Make(folder))
        {
            tokens = plant.Tokens;
            for (var i = 0; i < machines; i++)
            {
                await plant.Order(Serial(i), "OV-1212/03");
                await plant.MeasureBed(Serial(i));
            }
        }

        var random = new Random(Seed);
        await using var server = new Server(folder);
        using var inspector = new Client(server, tokens[Plant.Inspector]);
        var released = 0;
        var releasing = Task.Run(async () =>
        {
            for (var i = 0; i < machines; i++)
            {
                var machine = await inspector.Send(HttpMethod.Get, $"/machines/{Serial(i)}");
                var sheet = (string)machine["holds"]!.AsArray().Single(h => (string)h!["id"]! == "H1")!["sheet"]!;
                await inspector.Send(HttpMethod.Post, $"/machines/{Serial(i)}/holds/H1/release", new { password = Plant.Password }, sheet);
                Interlocked.Increment(ref released);
            }
        });
        // After each further release the worker begins to write; it is killed at some moment of that.
        var kills = 0;
        for (; !releasing.IsCompleted; kills++)
        {
            await server.Start();
            var seen = Volatile.Read(ref released);
            await Until(() => Volatile.Read(ref released) > seen || releasing.IsCompleted);
            await Task.Delay(random.Next(1000));
            await server.Kill();
        }

        await releasing;

        // A check of the whole record that was under way is begun again by the next server, without anybody asking.
        await server.Start();
        var check = (string)(await inspector.Send(HttpMethod.Post, "/history/checks"))["check"]!;
        await server.Kill();
        await server.Start();
        for (var waited = 0; waited < 120 && !await AllIssued(inspector, machines); waited++)
        {
            await Task.Delay(1000);
        }

        // A certificate is issued in one transaction and its order ticked off in the next: a kill in between leaves one that is ticked off at the next start.
        await Until(() => Waiting(folder) == 0);
        var found = (await inspector.Send(HttpMethod.Get, $"/history/checks/{check}"))["found"];
        for (var waited = 0; waited < 120 && found is null; waited++)
        {
            await Task.Delay(1000);
            found = (await inspector.Send(HttpMethod.Get, $"/history/checks/{check}"))["found"];
        }

        Assert.Empty(found!["faults"]!.AsArray());
        await server.Kill();
        output.WriteLine($"seed {Seed}: {kills} kills, {inspector.SentAgain} requests sent again");
        Assert.True(kills > 1, "the server was hardly killed: the test proves nothing");
        await using var after = Plant.Open(folder);
        var lines = await after.Get<CertificateReader>().List(CancellationToken.None);
        Assert.All(lines, l => Assert.Equal(CertificateStage.Issued, l.Stage));
        Assert.Equal(Enumerable.Range(1, machines).Select(n => n.ToString("0000", CultureInfo.InvariantCulture)), lines.Select(l => l.Number[^4..]).Order(StringComparer.Ordinal));
        Assert.Equal(Enumerable.Range(0, machines).Select(Serial), lines.Select(l => l.Serial).Order(StringComparer.Ordinal));
        foreach (var line in lines)
        {
            Assert.Null(await after.Get<FileStore>().WhyNotSound(line.FileHash!, CancellationToken.None));
        }

        await using var db = after.Get<Store>().OpenToRead();
        Assert.Equal(machines, await db.Outbox.CountAsync(o => o.DoneUs != null));
        Assert.Equal(0, await db.Outbox.CountAsync(o => o.DoneUs == null || o.Dead));
        Assert.Empty((await after.Get<HistoryReader>().Verify(_ => Task.CompletedTask, CancellationToken.None)).Faults);
        keep = false;
    }

    [Fact]
    public async Task A_reading_that_is_missing_and_one_that_was_changed_are_reported()
    {
        long kept, removed, changed;
        await using (var plant = await Plant.Make(folder))
        {
            await plant.Order("M-1", "OV-1212/03");
            await plant.MeasureBed("M-1");
            await using var db = plant.Get<Store>().Open();
            var ids = await db.Readings.OrderBy(r => r.Id).Select(r => r.Id).Take(3).ToListAsync();
            (kept, removed, changed) = (ids[0], ids[1], ids[2]);
        }

        List<Acknowledged> held;
        await using (var plant = Plant.Open(folder))
        {
            await using var db = plant.Get<Store>().Open();
            held = [.. (await db.Readings.AsNoTracking().Where(r => r.Column == "z" || r.Column == "t").ToListAsync()).Select(r => new Acknowledged(r.Serial, r.RunId, r.Id, r.Place, r.Typed))];
            await db.Readings.Where(r => r.Id == removed).ExecuteDeleteAsync();
            await db.Readings.Where(r => r.Id == changed).ExecuteUpdateAsync(s => s.SetProperty(r => r.Typed, "9"));
        }

        var wrong = await WhatIsWrong(folder, held);
        Assert.Contains($"reading {removed} of M-1 was acknowledged and is not there", wrong);
        Assert.Contains(wrong, w => w.StartsWith($"reading {changed} of M-1 says '9'", StringComparison.Ordinal));
        Assert.DoesNotContain(wrong, w => w.StartsWith($"reading {kept} ", StringComparison.Ordinal));
        Assert.Contains(wrong, w => w.StartsWith("history: ", StringComparison.Ordinal));
        keep = false;
    }

    /// <summary>A failure keeps the folder, to be looked at.</summary>
    public void Dispose()
    {
        if (keep)
        {
            output.WriteLine($"kept: {folder}");
        }
        else
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary>Compares what was acknowledged with what the database holds, and checks the history.</summary>
    private static async Task<List<string>> WhatIsWrong(string folder, List<Acknowledged> held)
    {
        await using var plant = Plant.Open(folder);
        await using var db = plant.Get<Store>().OpenToRead();
        var stored = await db.Readings.ToDictionaryAsync(r => r.Id);
        var wrong = new List<string>();
        foreach (var reading in held)
        {
            if (!stored.TryGetValue(reading.Id, out var row))
            {
                wrong.Add($"reading {reading.Id} of {reading.Serial} was acknowledged and is not there");
            }
            else if ((row.Serial, row.RunId, row.Place, row.Typed) != (reading.Serial, reading.Run, reading.Place, reading.Typed))
            {
                wrong.Add($"reading {reading.Id} of {reading.Serial} says '{row.Typed}' at {row.Place}; acknowledged was '{reading.Typed}' at {reading.Place}");
            }
        }

        wrong.AddRange(stored.Values.Where(r => r.Supersedes is null).GroupBy(r => (r.RunId, r.Place, r.Column)).Where(g => g.Count() > 1)
            .Select(g => $"run {g.Key.RunId} has {g.Count()} readings at {g.Key.Place}, column {g.Key.Column}"));
        var unknown = stored.Keys.Except(held.Select(h => h.Id)).Count();
        if (unknown > 0)
        {
            wrong.Add($"{unknown} readings are there that nobody was told of");
        }

        wrong.AddRange((await plant.Get<HistoryReader>().Verify(_ => Task.CompletedTask, CancellationToken.None)).Faults.Select(f => "history: " + f));
        return wrong;
    }

    private static async Task<bool> AllIssued(Client client, int machines)
    {
        var list = (await client.Send(HttpMethod.Get, "/certificates")).AsArray();
        return list.Count == machines && list.All(c => (string)c!["stage"]! == "issued");
    }

    /// <summary>Orders for certificates that are not ticked off, while the server goes on.</summary>
    private static long Waiting(string folder)
    {
        using var connection = new SqliteConnection($"Data Source={Path.Combine(folder, "buildtrack.db")};Mode=ReadOnly");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT COUNT(*) FROM Outbox WHERE DoneUs IS NULL";
        return (long)command.ExecuteScalar()!;
    }

    private static async Task Until(Func<bool> there)
    {
        for (var waited = System.Diagnostics.Stopwatch.StartNew(); !there(); await Task.Delay(5))
        {
            Assert.True(waited.Elapsed < TimeSpan.FromMinutes(2), "nothing goes on: no answer for two minutes");
        }
    }

    private static string Serial(int i) => FormattableString.Invariant($"OV1212-{i + 1:0000}");

    private static int Number(string variable, int otherwise) =>
        int.TryParse(Environment.GetEnvironmentVariable(variable), CultureInfo.InvariantCulture, out var number) ? number : otherwise;
}
