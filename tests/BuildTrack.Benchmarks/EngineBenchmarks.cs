using BenchmarkDotNet.Attributes;
using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Diagnosers;
using BenchmarkDotNet.Exporters;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Loggers;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Benchmarks;

/// <summary>Times of the calculations at the sizes of the work: a bed has 12 to 400 stations.</summary>
/// <remarks>In this process, so that no project is made and restored beside the solution; the reports go to a folder of the system for such files.</remarks>
public class EngineBenchmarks
{
    private static readonly Dictionary<string, double> Known = new() { ["0,0"] = 0 };

    private double[] x = [], y = [], z = [];

    private LevelObservation[] net = [];

    [Params(12, 40, 100, 400)]
    public int Points { get; set; }

    public static void Run() => BenchmarkRunner.Run<EngineBenchmarks>(new ManualConfig
    {
        ArtifactsPath = Directory.CreateTempSubdirectory("engine-benchmarks").FullName,
    }
        .AddJob(Job.ShortRun.WithToolchain(InProcessEmitToolchain.Instance))
        .AddColumnProvider(DefaultColumnProviders.Instance)
        .AddDiagnoser(MemoryDiagnoser.Default)
        .AddExporter(MarkdownExporter.Console)
        .AddLogger(ConsoleLogger.Default));

    [GlobalSetup]
    public void Make()
    {
        (x, y, z) = MadeSets.Of("saddle", Points, new SeededSource(7));

        // A grid four stations wide: every adjacent difference, with noise.
        var source = new SeededSource(8);
        var rises = new List<LevelObservation>();
        for (var i = 0; i < Points / 4; i++)
        {
            for (var j = 0; j < 4; j++)
            {
                if (j < 3)
                    rises.Add(LevelObservation.WithSigma($"{i},{j}", $"{i},{j + 1}", 3 + (0.3 * source.NextNormal()), 0.3));
                if (i + 1 < Points / 4)
                    rises.Add(LevelObservation.WithSigma($"{i},{j}", $"{i + 1},{j}", (0.4 * source.NextNormal()) - 2, 0.4));
            }
        }

        net = [.. rises];
    }

    [Benchmark(Description = "least-squares plane of heights")]
    public double Plane() => PlaneMoments.Of(x, y, z).Slopes().AlongX;

    [Benchmark(Description = "both planes and the exact zone")]
    public double Zone() => FlatnessCalculation.Of(x, y, z, deviations: false).MinimumZone!.FlatnessUm;

    [Benchmark(Description = "level network, a station each")]
    public double Network() => LevelNetworkCalculation.Adjust(net, Known, sigmasKnown: true).Values!.SumOfSquares;
}
