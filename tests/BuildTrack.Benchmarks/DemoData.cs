using BuildTrack.Records;
using BuildTrack.Records.Demo;
using BuildTrack.Records.Storage;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Benchmarks;

/// <summary>Looks into the folder of a running demo from outside.</summary>
internal static class DemoData
{
    public static string Password { get; } = DemoFile.Read(Path.Combine(ServerProcess.Tree(), "demo-data")).Password;

    public static ServiceProvider Open(string folder, Action<IServiceCollection>? host = null)
    {
        var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddBuildTrackRecords(new StoreSettings(folder, null));
        host?.Invoke(services);
        return services.BuildServiceProvider();
    }
}
