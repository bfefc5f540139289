using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>How long a published server takes until it is ready.</summary>
internal static class StartTimes
{
    private const int Rounds = 5;

    public static async Task Run()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-start-");
        try
        {
            var published = Path.Combine(folder.FullName, "server");
            await ServerProcess.Publish(published);
            var (first, again, demo) = (new List<double>(), new List<double>(), new List<double>());
            for (var round = 0; round < Rounds; round++)
            {
                var data = Path.Combine(folder.FullName, $"data-{round}");
                first.Add(await Once(published, data, demo: false));
                again.Add(await Once(published, data, demo: false));
                demo.Add(await Once(published, Path.Combine(folder.FullName, $"demo-{round}"), demo: true));
            }

            Line(("published server, process start to ready", -48), ("median", 12), ("longest", 12));
            foreach (var (what, times) in new[] { ("first start, empty folder, tables are made", first), ("every further start", again), ("--demo, with its machines and a certificate", demo) })
            {
                Line((what, -48), (Ms(Median(times)), 12), (Ms(times.Max()), 12));
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static async Task<double> Once(string published, string data, bool demo)
    {
        using var server = await ServerProcess.Start(published, data, demo);
        return server.Ready.TotalMilliseconds;
    }
}
