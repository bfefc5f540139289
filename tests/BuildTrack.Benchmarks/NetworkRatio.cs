using BuildTrack.Metrology.LevelNetwork;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Benchmarks;

/// <summary>The adjustment of a large level network, as a part of what a dense solution of a small one costs.</summary>
internal static class NetworkRatio
{
    private const int Unknowns = 1000;
    private const int Rows = 50;
    private const int Columns = 100;

    public static (string Name, double Ratio) Measure()
    {
        var net = Grid();
        var (matrix, right) = Dense();
        var known = new Dictionary<string, double> { ["0,0"] = 0 };

        // The whole of it: heights, redundancy numbers, doubtful observations, closures of all loops.
        return ("mathnet-cholesky@1000/level-network@5000", EngineRatios.Paired(
            () =>
            {
                var values = LevelNetworkCalculation.Adjust(net, known, sigmasKnown: true).Values!;
                return values.SumOfSquares + values.Redundancy[^1] + values.Loops[^1].ClosureUm;
            },
            () => matrix.Cholesky().Solve(right)[0], 1_000_000));
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
