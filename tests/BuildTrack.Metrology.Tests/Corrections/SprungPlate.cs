using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>A bed on feet as a thin plate on springs: a grid of differences with bending along and across and with twist, a spring under every foot.</summary>
/// <remarks>A foot that is screwed out by e pushes its spring; the bed over it rises until the indicator beside it shows the move. What the other feet then do
/// is the column of influences divided by its own.</remarks>
internal sealed class SprungPlate
{
    private const int PerBay = 2;

    private readonly Matrix<double> influences;

    public SprungPlate(SeededSource source, int feetAlong)
    {
        Feet = [.. Enumerable.Range(0, 2 * feetAlong)
            .Select(i => new FootPlace($"F{i + 1}", 1200 * (i % feetAlong), 1500 * (i / feetAlong), Math.Round(60 * source.NextNormal()), 5000, 5000, 2))];
        int columns = ((feetAlong - 1) * PerBay) + 1, rows = 3, nodes = columns * rows;
        double along = 3 + (6 * source.NextUniform()), across = 0.2 + (0.4 * source.NextUniform()), twist = 0.05 + (0.15 * source.NextUniform());
        var stiffness = Matrix<double>.Build.Dense(nodes, nodes);
        for (var r = 0; r < rows; r++)
        {
            for (var c = 0; c < columns; c++)
            {
                if (c > 0 && c < columns - 1)
                    Add(along, (At(c - 1, r), 1), (At(c, r), -2), (At(c + 1, r), 1));
                if (r == 1)
                    Add(across, (At(c, 0), 1), (At(c, 1), -2), (At(c, 2), 1));
                if (c > 0 && r > 0)
                    Add(twist, (At(c, r), 1), (At(c - 1, r), -1), (At(c, r - 1), -1), (At(c - 1, r - 1), 1));
            }
        }

        int[] places = [.. Enumerable.Range(0, Feet.Length).Select(i => At(i % feetAlong * PerBay, i / feetAlong * (rows - 1)))];
        var springs = places.Select(_ => 0.6 + (0.8 * source.NextUniform())).ToArray();
        for (var k = 0; k < places.Length; k++)
            stiffness[places[k], places[k]] += springs[k];
        var compliance = stiffness.Inverse();
        influences = Matrix<double>.Build.Dense(Feet.Length, Feet.Length, (i, j) => compliance[places[i], places[j]] / compliance[places[j], places[j]]);

        int At(int column, int row) => (row * columns) + column;

        void Add(double weight, params (int Node, double Sign)[] terms)
        {
            foreach (var (a, signA) in terms)
            {
                foreach (var (b, signB) in terms)
                    stiffness[a, b] += weight * signA * signB;
            }
        }
    }

    public FootPlace[] Feet { get; private set; }

    public double[] Heights => [.. Feet.Select(f => f.HeightUm)];

    public double Influence(int over, int moved) => influences[over, moved];

    public double[] Changes(IReadOnlyList<double> moves) => [.. influences * Vector<double>.Build.DenseOfEnumerable(moves)];

    public void Move(IReadOnlyList<double> moves)
    {
        var changes = Changes(moves);
        Feet = [.. Feet.Select((f, i) => f with { HeightUm = f.HeightUm + changes[i] })];
    }

    /// <summary>The feet as a survey sees them.</summary>
    public FootPlace[] Measured(SeededSource source, double sigmaUm) =>
        [.. Feet.Select(f => f with { HeightUm = f.HeightUm + (sigmaUm * source.NextNormal()) })];
}
