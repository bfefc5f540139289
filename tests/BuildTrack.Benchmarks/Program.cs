using BuildTrack.Benchmarks;

// dotnet run -c Release --project tests/BuildTrack.Benchmarks -- start|pages|build|fleet|certificate|ratios|affected|times
var parts = new Dictionary<string, Func<Task>>
{
    ["start"] = StartTimes.Run,
    ["pages"] = PageTimes.Run,
    ["build"] = BuildTimes.Run,
    ["fleet"] = FleetTimes.Run,
    ["certificate"] = CertificateTimes.Run,
    ["ratios"] = async () =>
    {
        await Task.Run(EngineRatios.Run);
        await Affected();
    },
    ["affected"] = Affected,
    ["times"] = () => Task.Run(EngineBenchmarks.Run),
};

if (args is not [var name] || !parts.TryGetValue(name, out var part))
{
    Console.Error.WriteLine($"Name one part: {string.Join(", ", parts.Keys)}.");
    return 2;
}

Console.WriteLine(System.Runtime.InteropServices.RuntimeInformation.OSDescription + ", " + System.Runtime.InteropServices.RuntimeInformation.FrameworkDescription + $", {Environment.ProcessorCount} processors");
await part();
return 0;

static async Task Affected()
{
    var (ratio, figure, note) = await AffectedRatio.Measure();
    Console.WriteLine(FormattableString.Invariant($"{ratio} {figure:0.00} ({note})"));
}
