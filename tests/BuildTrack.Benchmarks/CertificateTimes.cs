using System.Diagnostics;
using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Certificates;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Demo;
using BuildTrack.Records.Storage;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>How long the demo's certificate takes from its frozen record to the sealed file.</summary>
internal static class CertificateTimes
{
    private const int Rounds = 31;

    public static async Task Run()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-certificate-");
        try
        {
            var store = new StoreSettings(folder.FullName, null);
            using var key = PlantKey.LoadOrCreate(store.KeysFolder, "BuildTrack plant", TimeProvider.System);
            var renderer = new CertificatePdf(key);
            void Host(IServiceCollection services) => services.AddLogging().AddSingleton<ICertificateRenderer>(renderer);
            await new DemoLoader(store, Path.Combine(ServerProcess.Tree(), "demo-data"), Path.Combine(ServerProcess.Tree(), "checklists"), Host, TimeProvider.System.GetUtcNow()).Load(CancellationToken.None);
            await using var records = DemoData.Open(folder.FullName, Host);
            var certificates = records.GetRequiredService<CertificateReader>();
            var line = (await certificates.List(CancellationToken.None))[0];
            var text = (await certificates.RecordText(line.Number, line.Issue, CancellationToken.None))!;

            var (times, size) = (new List<double>(), 0);
            for (var round = 0; round < Rounds; round++)
            {
                var begun = Stopwatch.GetTimestamp();
                size = renderer.Render(text).Length;
                times.Add(Stopwatch.GetElapsedTime(begun).TotalMilliseconds);
            }

            Line(($"certificate {line.Number}, record {text.Length / 1024} kB, file {size / 1024} kB", -64));
            Line(("median", -16), (Ms(Median(times.Skip(5))), 12));
            Line(("longest", -16), (Ms(times.Skip(5).Max()), 12));
        }
        finally
        {
            Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
            folder.Delete(recursive: true);
        }
    }
}
