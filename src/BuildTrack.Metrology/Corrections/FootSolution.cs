namespace BuildTrack.Metrology.Corrections;

/// <summary>The moves with the smallest expected sum of squared deviations from the reference, within raise-only and travel.</summary>
internal sealed class FootSolution
{
    private readonly double[,] matrix;
    private readonly double[] linear;
    private readonly double[] low;
    private readonly double[] high;
    private readonly bool raiseOnly;

    public FootSolution(IReadOnlyList<FootPlace> feet, FootInfluenceEstimate influence, FootGoal goal, FootReference reference)
    {
        var count = feet.Count;

        // Each column and the heights less what the reference takes out: their mean, or their plane.
        double[][] columns = [.. Enumerable.Range(0, count).Select(j => Rest([.. Enumerable.Range(0, count).Select(i => influence.Of(i, j))]))];
        var heights = Rest([.. feet.Select(f => f.HeightUm)]);
        var degrees = count - (reference == FootReference.Level ? 1 : 3);
        matrix = new double[count, count];
        linear = new double[count];
        for (var j = 0; j < count; j++)
        {
            linear[j] = Dot(columns[j], heights);
            for (var k = 0; k < count; k++)
                matrix[j, k] = Dot(columns[j], columns[k]) + (Math.Max(1, degrees) * influence.Covariance[(j * count) + k]) + (j == k ? 1e-9 : 0);
        }

        raiseOnly = goal == FootGoal.RaiseToHighest;
        low = [.. feet.Select(f => raiseOnly ? 0 : -(f.FallLeftUm ?? FootMoves.LargestUm))];
        high = [.. feet.Select(f => f.RiseLeftUm ?? FootMoves.LargestUm)];

        double[] Rest(double[] values)
        {
            var rest = FootMoves.Deviations(feet, reference, values);
            var mean = rest.Average();
            return [.. rest.Select(v => v - mean)];
        }
    }

    /// <summary>Moves wanted were there no end of travel, and moves of which none is smaller than is worth making: the smallest is left and the others are
    /// solved again.</summary>
    public (double[] Wanted, double[] Moves) Moves(double smallestUm)
    {
        double[] from = [.. low], to = [.. high];
        var wanted = BoundedQuadratic.Solve(matrix, linear, [.. low.Select(_ => raiseOnly ? 0 : -FootMoves.LargestUm)],
            [.. high.Select(_ => FootMoves.LargestUm)]);
        var moves = BoundedQuadratic.Solve(matrix, linear, from, to);
        while (Smallest(moves, smallestUm) is var least && least >= 0)
        {
            from[least] = to[least] = 0;
            moves = BoundedQuadratic.Solve(matrix, linear, from, to);
        }

        return (wanted, moves);
    }

    /// <summary>Variance that the uncertainty of the influences gives to the height over any one foot, µm².</summary>
    internal static double Quadratic(FootInfluenceEstimate influence, double[] moves)
    {
        var sum = 0.0;
        for (var j = 0; j < moves.Length; j++)
        {
            for (var k = 0; k < moves.Length; k++)
                sum += moves[j] * influence.Covariance[(j * moves.Length) + k] * moves[k];
        }

        return Math.Max(0, sum);
    }

    private static int Smallest(double[] moves, double smallest)
    {
        var found = -1;
        for (var i = 0; i < moves.Length; i++)
        {
            if (moves[i] != 0 && Math.Abs(moves[i]) < smallest && (found < 0 || Math.Abs(moves[i]) < Math.Abs(moves[found])))
                found = i;
        }

        return found;
    }

    private static double Dot(double[] a, double[] b) => a.Zip(b, (x, y) => x * y).Sum();
}
