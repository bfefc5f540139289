using System.Diagnostics;
using BuildTrack.Domain.Certificates;
using BuildTrack.Documents.Certificates;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Demo;
using BuildTrack.Records.Storage;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Benchmarks;

/// <summary>From an instrument to the machines and certificates that rest on it, in SQLite databases of 10⁴ and 10⁶ readings.</summary>
/// <remarks>
/// The demo's machine with a certificate is copied, row by row, until there are enough readings. On the first copies the instrument was used; the others used
/// another one, as in a plant that has changed its instruments since. What is asked for is the same in both; only what must not be looked at grows.
/// The texts of results and certificates of the others are left empty, since nobody reads them: with them the database would be ten times as large.
/// </remarks>
internal static class AffectedRatio
{
    private const int Rounds = 31;
    private const int AffectedMachines = 4;

    private static readonly string[] Tables = ["Machines", "Measurements", "Runs", "RunInstruments", "Readings", "Evaluations", "HoldDecisions", "Certificates", "RouteCard"];

    private static readonly HashSet<string> Numbers = ["Id", "MeasurementId", "RunId", "Supersedes"];

    public static async Task<(string Name, double Ratio, string Note)> Measure()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-affected-");
        try
        {
            var demo = new StoreSettings(Path.Combine(folder.FullName, "demo"), null);
            using (var key = PlantKey.LoadOrCreate(demo.KeysFolder, "BuildTrack plant", TimeProvider.System))
            {
                var renderer = new CertificatePdf(key);
                void Host(IServiceCollection services) => services.AddLogging().AddSingleton<ICertificateRenderer>(renderer);
                await new DemoLoader(demo, Path.Combine(ServerProcess.Tree(), "demo-data"), Path.Combine(ServerProcess.Tree(), "checklists"), Host, TimeProvider.System.GetUtcNow())
                    .Load(CancellationToken.None);
            }

            var (few, fewReadings, fewFinding) = Filled(folder.FullName, demo, "1e4", 10_000);
            var (many, manyReadings, manyFinding) = Filled(folder.FullName, demo, "1e6", 1_000_000);
            await using var fewRecords = DemoData.Open(few);
            await using var manyRecords = DemoData.Open(many);
            List<double> ofFew = [], ofMany = [];
            for (var round = -5; round < Rounds; round++)
            {
                var (small, large) = (await Time(fewRecords, fewFinding), await Time(manyRecords, manyFinding));
                if (round >= 0)
                {
                    ofFew.Add(small);
                    ofMany.Add(large);
                }
            }

            var note = FormattableString.Invariant($"{manyReadings} readings: {Figures.Ms(Figures.Median(ofMany))}; {fewReadings} readings: {Figures.Ms(Figures.Median(ofFew))}");
            return ("affected-readings@1e6/affected-readings@1e4", Figures.Median(ofMany.Zip(ofFew, (m, f) => m / f)), note);
        }
        finally
        {
            SqliteConnection.ClearAllPools();
            folder.Delete(recursive: true);
        }
    }

    private static async Task<double> Time(ServiceProvider records, (string Instrument, long Finding) asked)
    {
        var reader = records.GetRequiredService<AffectedReader>();
        var begun = Stopwatch.GetTimestamp();
        var lines = await reader.List(asked.Instrument, CancellationToken.None);
        var review = await reader.Review(asked.Finding, CancellationToken.None);
        var time = Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
        if (lines.Single().Machines != review.Machines.Length || review.Machines.Sum(m => m.Certificates.Length) < AffectedMachines)
        {
            throw new InvalidOperationException($"{review.Machines.Length} machines and {review.Machines.Sum(m => m.Certificates.Length)} certificates were found; {AffectedMachines} or more were written.");
        }

        return time;
    }

    /// <summary>A copy of the demo with that many readings, and the finding that is asked about.</summary>
    private static (string Folder, long Readings, (string Instrument, long Finding) Asked) Filled(string folder, StoreSettings demo, string name, int readings)
    {
        SqliteConnection.ClearAllPools();
        var settings = new StoreSettings(Directory.CreateDirectory(Path.Combine(folder, name)).FullName, null);
        File.Copy(demo.DatabaseFile, settings.DatabaseFile);
        using var connection = new SqliteConnection($"Data Source={settings.DatabaseFile}");
        connection.Open();
        T Ask<T>(string sql)
        {
            using var command = connection.CreateCommand();
            command.CommandText = sql;
            return (T)Convert.ChangeType(command.ExecuteScalar()!, typeof(T), System.Globalization.CultureInfo.InvariantCulture);
        }

        void Do(string sql)
        {
            using var command = connection.CreateCommand();
            command.CommandText = sql;
            command.ExecuteNonQuery();
        }

        Do("PRAGMA synchronous = OFF");
        var serial = Ask<string>("SELECT c.Serial FROM Certificates c JOIN Readings r ON r.Serial = c.Serial WHERE c.VoidReason IS NULL GROUP BY c.Serial ORDER BY count(*) DESC LIMIT 1");
        // The instrument that most of the template's readings rest on: the dearest question about it.
        var instrument = Ask<string>($"SELECT i.Instrument FROM RunInstruments i JOIN Readings r ON r.RunId = i.RunId WHERE i.Serial = '{serial}' GROUP BY i.Instrument ORDER BY count(*) DESC LIMIT 1");
        var (each, before, next) = (Ask<int>($"SELECT count(*) FROM Readings WHERE Serial = '{serial}'"), Ask<int>("SELECT count(*) FROM Readings"), Ask<long>("SELECT NextId FROM Head"));
        var copies = (readings - before + each - 1) / each;
        Do("BEGIN");
        foreach (var table in Tables)
        {
            using var command = connection.CreateCommand();
            command.CommandText = $"SELECT name FROM pragma_table_info('{table}')";
            using var reader = command.ExecuteReader();
            var columns = new List<string>();
            while (reader.Read())
            {
                columns.Add(reader.GetString(0));
            }

            var values = columns.Select(c =>
                Numbers.Contains(c) ? $"t.\"{c}\" + n.k * {next}"
                : c is "Serial" or "Number" ? $"t.\"{c}\" || '-' || n.k"
                : c == "Instrument" ? $"CASE WHEN n.k <= {AffectedMachines} THEN t.\"{c}\" ELSE t.\"{c}\" || '-before' END"
                : (table, c) is ("Evaluations", "Text") or ("Certificates", "RecordText") ? $"CASE WHEN n.k <= {AffectedMachines} THEN t.\"{c}\" ELSE '' END"
                : $"t.\"{c}\"");
            Do($"WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < {copies}) "
                + $"INSERT INTO \"{table}\" ({string.Join(", ", columns.Select(c => $"\"{c}\""))}) SELECT {string.Join(", ", values)} FROM n CROSS JOIN \"{table}\" t WHERE t.Serial = '{serial}'");
        }

        var finding = next * (copies + 2L);
        Do("INSERT INTO UnfitFindings (Id, Instrument, Revision, Found, Allowed, LastGood, FoundOn, Reference, Person, AtUs) "
            + $"VALUES ({finding}, '{instrument}', 2, '9 µm', '4 µm', '2020-01-01', '2030-01-01', 'K-1', 'maren.ostley', 0)");
        Do($"UPDATE Head SET NextId = {finding + 1}");
        Do("COMMIT");
        return (settings.Folder, Ask<long>("SELECT count(*) FROM Readings"), (instrument, finding));
    }
}
