using System.Diagnostics;
using System.Globalization;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>The sheets over all machines with twenty machines and with two thousand, SQLite.</summary>
/// <remarks>A bulk writer makes the others out of one delivered machine of the demo: its rows once more under another serial number.</remarks>
internal static class FleetTimes
{
    private const string Delivered = "OV2661-0030";
    private const string InWork = "OV2661-0031";
    private const int Warm = 10;
    private const int Rounds = 50;

    private static readonly string[] Tables = ["Machines", "Measurements", "Runs", "RunInstruments", "Readings", "Evaluations", "HoldDecisions", "RouteCard", "BedChanges", "Certificates"];

    private static readonly (string Path, string Person)[] Pages =
    [
        ("/", "tilda.averne"), ("/", "renna.tallworth"), ("/machines", "tilda.averne"), ("/work-centres", "tilda.averne"), ("/waiting", "maren.ostley"),
        ($"/machines/{InWork}", "renna.tallworth"), ("/find?text=OV", "tilda.averne"), ("/certificates", "maren.ostley"),
    ];

    public static async Task Run()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-fleet-");
        try
        {
            var published = Path.Combine(folder.FullName, "server");
            await ServerProcess.Publish(published);
            var (few, many) = (Path.Combine(folder.FullName, "few"), Path.Combine(folder.FullName, "many"));
            (await ServerProcess.Start(published, few, demo: true)).Dispose();
            Copy(few, many);
            Fill(few, 20);
            Fill(many, 2000);
            var (small, large) = (await Measure(published, few), await Measure(published, many));
            Line(("page", -32), ("as", -18), ("20", 10), ("2,000", 10), ("ratio", 8));
            for (var i = 0; i < Pages.Length; i++)
            {
                Line((Pages[i].Path, -32), (Pages[i].Person, -18), (Ms(small[i]), 10), (Ms(large[i]), 10), ((large[i] / small[i]).ToString("0.00", CultureInfo.InvariantCulture), 8));
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static async Task<List<double>> Measure(string published, string data)
    {
        using var server = await ServerProcess.Start(published, data, demo: true);
        await using var records = DemoData.Open(data);
        var cookies = new Dictionary<string, string>();
        foreach (var person in Pages.Select(p => p.Person).Distinct())
        {
            cookies[person] = (await records.GetRequiredService<SessionStore>().SignIn(person, DemoData.Password, CancellationToken.None)).Secret ?? throw new InvalidOperationException($"{person} could not sign in.");
        }

        using var http = new HttpClient(new SocketsHttpHandler { UseCookies = false, AllowAutoRedirect = false }) { Timeout = TimeSpan.FromMinutes(20) };
        var medians = new List<double>();
        foreach (var (path, person) in Pages)
        {
            var times = new List<double>();
            for (var round = -Warm; round < Rounds; round++)
            {
                using var request = new HttpRequestMessage(HttpMethod.Get, new Uri(server.Address, path));
                request.Headers.TryAddWithoutValidation("Cookie", $"{Web.Security.SessionSchemes.CookieName}={cookies[person]}");
                var begun = Stopwatch.GetTimestamp();
                using var answer = await http.SendAsync(request);
                await answer.Content.ReadAsByteArrayAsync();
                answer.EnsureSuccessStatusCode();
                var took = Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
                if (round >= 0)
                {
                    times.Add(took);
                }
                else if (round == -Warm)
                {
                    Line(($"first {path}", -32), (person, -18), (Ms(took), 10));
                }
            }

            medians.Add(Median(times));
        }

        return medians;
    }

    /// <summary>Machines under new serial numbers until there are so many; says how many readings there are then.</summary>
    private static void Fill(string data, int machines)
    {
        using var connection = new SqliteConnection($"Data Source={Path.Combine(data, "buildtrack.db")};Pooling=False");
        connection.Open();
        long Scalar(string sql) => Convert.ToInt64(Command(connection, sql).ExecuteScalar(), CultureInfo.InvariantCulture);
        Command(connection, "PRAGMA synchronous=OFF").ExecuteNonQuery();
        var watch = Stopwatch.StartNew();
        using (var transaction = connection.BeginTransaction())
        {
            for (var no = Scalar("SELECT COUNT(*) FROM Machines"); no < machines; no++)
            {
                foreach (var table in Tables)
                {
                    var columns = Columns(connection, table);
                    var copied = columns.Select(c => c.Name == "Serial" ? $"'OV2661-{no + 5000}'" : c.Name == "Number" ? $"\"Number\" || '-{no}'" : c.Name == "RecordText" ? "''" : c.IsId ? $"\"{c.Name}\" + {no}00000000" : $"\"{c.Name}\"");
                    Command(connection, $"INSERT INTO \"{table}\" ({string.Join(", ", columns.Select(c => $"\"{c.Name}\""))}) SELECT {string.Join(", ", copied)} FROM \"{table}\" WHERE Serial = '{Delivered}'").ExecuteNonQuery();
                }
            }

            transaction.Commit();
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Scalar("SELECT COUNT(*) FROM Machines")} machines, {Scalar("SELECT COUNT(*) FROM Readings")} readings, written in {watch.Elapsed.TotalSeconds:0.0} s"));
    }

    private static List<(string Name, bool IsId)> Columns(SqliteConnection connection, string table)
    {
        var columns = new List<(string, bool)>();
        using var reader = Command(connection, $"SELECT name, type FROM pragma_table_info('{table}')").ExecuteReader();
        while (reader.Read())
        {
            var name = reader.GetString(0);
            columns.Add((name, reader.GetString(1) == "INTEGER" && (name == "Supersedes" || name.EndsWith("Id", StringComparison.Ordinal))));
        }

        return columns;
    }

    private static SqliteCommand Command(SqliteConnection connection, string sql)
    {
        var command = connection.CreateCommand();
#pragma warning disable CA2100 // Names of our own tables and numbers.
        command.CommandText = sql;
#pragma warning restore CA2100
        return command;
    }

    private static void Copy(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var copy = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }
    }
}
