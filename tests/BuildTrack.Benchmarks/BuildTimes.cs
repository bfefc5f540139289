using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Web.Tests.Building;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>How long a class-B machine takes from order to factory certificate by a program over the network, and the pages with it in the database.</summary>
/// <remarks>The reference is measured in the same run: as many bare commits of one row to an SQLite file in the same folder, fully synchronous, as the script has writing requests.</remarks>
internal static class BuildTimes
{
    private const string Serial = "OV1530-9001";
    private const int Seed = 20261125;
    private const double PageLimitMs = 100;

    public static async Task Run()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-build-");
        try
        {
            var (published, data) = (Path.Combine(folder.FullName, "server"), Path.Combine(folder.FullName, "data"));
            await ServerProcess.Publish(published);
            using var server = await ServerProcess.Start(published, data, demo: true);
            await using var records = DemoData.Open(data);
            var people = (await records.GetRequiredService<PeopleReader>().List(CancellationToken.None)).ToDictionary(p => p.Person);
            async Task<HttpClient> As(string person)
            {
                var line = people[person];
                var token = await records.GetRequiredService<PeopleActs>().IssueToken(new Caller(line.Person, line.Name, line.Roles), CancellationToken.None);
                var client = new HttpClient { BaseAddress = server.Address };
                client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", token.Secret);
                return client;
            }

            using var planner = await As("tilda.averne");
            using var technician = await As("renna.tallworth");
            using var inspector = await As("dov.harrickson");
            using var administrator = await As("odo.fenn");
            foreach (var (list, person) in new[] { ("welder", "renna.tallworth"), ("electrician", "dov.harrickson"), ("laser-safety-officer", "dov.harrickson") })
            {
                using var listed = await administrator.PostAsJsonAsync($"/api/v1/qualifications/{list}/people", new { person, from = "2015-01-01", to = "2099-12-31", evidence = "K-1" });
                listed.EnsureSuccessStatusCode();
            }

            var script = new MachineScript(new Crew(planner, technician, inspector, DemoData.Password), Serial, Seed);
            var begun = Stopwatch.GetTimestamp();
            await script.Run();
            var seconds = Stopwatch.GetElapsedTime(begun).TotalSeconds;
            if (script.Certificate is null)
            {
                throw new InvalidOperationException("The script ended without the factory certificate.");
            }

            var bare = BareCommits(Path.Combine(folder.FullName, "bare.db"), script.Written);
            Line(($"class-B machine, {script.Readings} readings, {script.Written} writing requests, SQLite", -68), ("seconds", 10), ("ratio", 10));
            Line(("order to factory certificate over the network", -68), (Text(seconds), 10), (Text(seconds / bare), 10));
            Line(("reference: as many bare commits of one row", -68), (Text(bare), 10), ("1", 10));

            var machine = await records.GetRequiredService<MachineReader>().Load(Serial, CancellationToken.None);
            var medians = await PageTimes.Measure(server, records, Serial, machine.Measurements.SelectMany(m => m.Runs).First(r => r.Instruments.Length > 0).Id);
            Line(("median of the pages' medians", -66), (Ms(Median(medians)), 10));
            Line(($"slowest page's median, limit {PageLimitMs:0} ms: {(medians.Max() <= PageLimitMs ? "kept" : "NOT kept")}", -66), (Ms(medians.Max()), 10));
        }
        finally
        {
            SqliteConnection.ClearAllPools();
            folder.Delete(recursive: true);
        }
    }

    private static string Text(double value) => value.ToString("0.00", CultureInfo.InvariantCulture);

    private static double BareCommits(string file, int count)
    {
        using var connection = new SqliteConnection($"Data Source={file}");
        connection.Open();
        void Do(string sql)
        {
            using var command = connection.CreateCommand();
            command.CommandText = sql;
            command.ExecuteNonQuery();
        }

        Do("PRAGMA journal_mode = WAL");
        Do("PRAGMA synchronous = FULL");
        Do("CREATE TABLE rows (id INTEGER PRIMARY KEY, text TEXT NOT NULL)");
        var begun = Stopwatch.GetTimestamp();
        for (var i = 0; i < count; i++)
        {
            Do("INSERT INTO rows (text) VALUES ('one row')");
        }

        return Stopwatch.GetElapsedTime(begun).TotalSeconds;
    }
}
