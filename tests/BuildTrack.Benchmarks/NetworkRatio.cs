using System.Diagnostics;
using BuildTrack.Metrology.LevelNetwork;
using MathNet.Numerics;
using MathNet.Numerics.LinearAlgebra;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>The adjustment of a large level network, as a part of what a dense solution of a small one costs.</summary>
/// <remarks>
/// Adjust, solve, adjust in every round; the round's ratio is the solution over the mean of its two adjustments, so that whatever else the machine does falls on both.
/// The median of the rounds' ratios counts. The adjustment is the whole of it: reading the names, heights, redundancy numbers, doubtful observations, closures of all loops.
/// </remarks>
internal static class NetworkRatio
{
    private const int Rounds = 25;
    private const int Unknowns = 1000;
    private const int Rows = 50;
    private const int Columns = 100;

    public static (string Name, double Ratio) Measure()
    {
        Control.UseManaged();
        Control.UseSingleThread();
        var net = Grid();
        var (matrix, right) = Dense();
        var known = new Dictionary<string, double> { ["0,0"] = 0 };
        var sink = 0.0;

        // Both compiled to the end before anything counts.
        for (var warm = 0; warm < 60; warm++)
            Adjust();
        for (var warm = 0; warm < 3; warm++)
            Solve();
        Thread.Sleep(500);
        var ratios = new List<double>();
        for (var round = -3; round < Rounds; round++)
        {
            var before = Time(Adjust);
            var during = Time(Solve);
            var after = Time(Adjust);
            if (round >= 0)
                ratios.Add(during * 2 / (before + after));
        }

        GC.KeepAlive(sink);
        return ("mathnet-cholesky@1000/level-network@5000", Median(ratios));

        void Adjust()
        {
            var values = LevelNetworkCalculation.Adjust(net, known, sigmasKnown: true).Values!;
            sink += values.SumOfSquares + values.Redundancy[^1] + values.Loops[^1].ClosureUm;
        }

        void Solve() => sink += matrix.Cholesky().Solve(right)[0];
    }

    private static double Time(Action what)
    {
        var begun = Stopwatch.GetTimestamp();
        what();
        return Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
    }

    /// <summary>5,000 stations with every adjacent observation, 0.5 µm of noise and one wrong reading: the same at each run.</summary>
    private static LevelObservation[] Grid()
    {
        var random = new Random(20260702);
        var net = new List<LevelObservation>();
        for (var i = 0; i < Rows; i++)
        {
            for (var j = 0; j < Columns; j++)
            {
                if (j + 1 < Columns)
                    net.Add(LevelObservation.WithSigma($"{i},{j}", $"{i},{j + 1}", 3 + random.NextDouble(), 0.3));
                if (i + 1 < Rows)
                    net.Add(LevelObservation.WithSigma($"{i},{j}", $"{i + 1},{j}", random.NextDouble() - 2, 0.4));
            }
        }

        net[4321] = net[4321] with { RiseUm = 9 };
        return [.. net];
    }

    private static (Matrix<double> Matrix, Vector<double> Right) Dense()
    {
        var random = new Random(20260703);
        var matrix = Matrix<double>.Build.Dense(Unknowns, Unknowns);
        for (var i = 0; i < Unknowns; i++)
        {
            for (var j = 0; j <= i; j++)
                matrix[i, j] = matrix[j, i] = random.NextDouble() - 0.5 + (i == j ? Unknowns : 0);
        }

        return (matrix, Vector<double>.Build.Dense(Unknowns, i => i % 7));
    }
}
