namespace BuildTrack.Metrology.Corrections;

/// <summary>Where a linear function is least under linear limits.</summary>
/// <param name="X">The place; null where the limits leave none.</param>
/// <param name="Active">Indices of the limits that hold it, without those of the outer box.</param>
/// <param name="Weights">Their multipliers, zero or more: with them cost + Σ weight · row = 0, which proves that no place is better.</param>
/// <param name="Bounded">False where only the outer box holds the place: the function falls without end, or rounding lets no vertex be told from the
/// next.</param>
internal sealed record VertexResult(double[]? X, int[] Active, double[] Weights, bool Bounded);

/// <summary>Least value of cost · x under row · x ≤ limit for few unknowns and any number of rows, exact to rounding.</summary>
/// <remarks>Vertices are visited from outside (dual simplex): at each one the row that is violated most comes in, and the row leaves whose multiplier is used
/// up first. Every vertex is solved afresh from its rows, so no error gathers. After many steps the lowest index decides (R. Bland, 1977), which cannot
/// cycle.</remarks>
internal static class LeastVertex
{
    private const int PatientSteps = 500;
    private const int MostSteps = 50_000;

    /// <summary>Solves.</summary>
    /// <param name="cost">One for each unknown.</param>
    /// <param name="rows">Rows of limits; not all zero.</param>
    /// <param name="limits">Right-hand sides.</param>
    /// <param name="box">No unknown is larger than this in size at any answer that is wanted.</param>
    /// <param name="tolerance">A row counts as violated beyond this, in the unit of the limits.</param>
    public static VertexResult Solve(double[] cost, IReadOnlyList<double[]> rows, IReadOnlyList<double> limits, double box, double tolerance)
    {
        int count = cost.Length, own = rows.Count;

        // Rows of the box stand behind the others: x_j ≤ box, then −x_j ≤ box.
        double Entry(int row, int j) => row < own ? rows[row][j] : (row - own) % count != j ? 0 : row - own < count ? 1 : -1;
        double Limit(int row) => row < own ? limits[row] : box;
        var basis = new int[count];
        var weights = new double[count];
        for (var j = 0; j < count; j++)
            (basis[j], weights[j]) = (own + (cost[j] < 0 ? 0 : count) + j, Math.Abs(cost[j]));

        var matrix = new double[count, count + 1];

        // Those of the last basis, afresh: the ones carried along only choose which row leaves.
        double[] Multipliers()
        {
            for (var k = 0; k < count; k++)
            {
                for (var j = 0; j < count; j++)
                    matrix[j, k] = Entry(basis[k], j);
                matrix[k, count] = -cost[k];
            }

            return Gauss(matrix);
        }

        for (var step = 0; ; step++)
        {
            for (var k = 0; k < count; k++)
            {
                for (var j = 0; j < count; j++)
                    matrix[k, j] = Entry(basis[k], j);
                matrix[k, count] = Limit(basis[k]);
            }

            var x = Gauss(matrix);
            var entering = Violated(x, rows, limits, basis, tolerance, step > PatientSteps);
            if (entering < 0 || step == MostSteps)
                return Found(x, basis, Multipliers(), own, entering < 0);

            for (var k = 0; k < count; k++)
            {
                for (var j = 0; j < count; j++)
                    matrix[j, k] = Entry(basis[k], j);
                matrix[k, count] = Entry(entering, k);
            }

            var change = Gauss(matrix);
            var leaving = Leaving(change, weights, basis, step > PatientSteps);
            if (leaving < 0)
                return new VertexResult(null, [], [], true);
            var length = weights[leaving] / change[leaving];
            for (var k = 0; k < count; k++)
                weights[k] = Math.Max(0, weights[k] - (length * change[k]));
            (basis[leaving], weights[leaving]) = (entering, length);
        }
    }

    private static VertexResult Found(double[] x, int[] basis, double[] weights, int own, bool solved)
    {
        const double nothing = 1e-9;
        int[] held = [.. Enumerable.Range(0, basis.Length).Where(k => basis[k] < own && weights[k] > nothing).OrderBy(k => basis[k])];
        var bounded = solved && !Enumerable.Range(0, basis.Length).Any(k => basis[k] >= own && weights[k] > nothing);
        return new VertexResult(x, [.. held.Select(k => basis[k])], [.. held.Select(k => weights[k])], bounded);
    }

    private static int Violated(double[] x, IReadOnlyList<double[]> rows, IReadOnlyList<double> limits, int[] basis, double tolerance, bool lowest)
    {
        var (found, most) = (-1, tolerance);
        for (var i = 0; i < rows.Count; i++)
        {
            var excess = -limits[i];
            for (var j = 0; j < x.Length; j++)
                excess += rows[i][j] * x[j];
            if (excess <= most || Array.IndexOf(basis, i) >= 0)
                continue;
            (found, most) = (i, excess);
            if (lowest)
                break;
        }

        return found;
    }

    private static int Leaving(double[] change, double[] weights, int[] basis, bool lowest)
    {
        const double smallest = 1e-11;
        var found = -1;
        for (var k = 0; k < change.Length; k++)
        {
            if (change[k] <= smallest)
                continue;
            double ratio = weights[k] / change[k], best = found < 0 ? double.PositiveInfinity : weights[found] / change[found];
            var tie = found >= 0 && Math.Abs(ratio - best) <= 1e-14 * (1 + best);
            if (tie ? (lowest ? basis[k] < basis[found] : change[k] > change[found]) : ratio < best)
                found = k;
        }

        return found;
    }

    /// <summary>The solution of a square system whose right-hand side is the last column; the largest entry of a column leads.</summary>
    internal static double[] Gauss(double[,] matrix)
    {
        var count = matrix.GetLength(0);
        var a = (double[,])matrix.Clone();
        for (var column = 0; column < count; column++)
        {
            var lead = column;
            for (var row = column + 1; row < count; row++)
                lead = Math.Abs(a[row, column]) > Math.Abs(a[lead, column]) ? row : lead;
            for (var j = 0; j <= count; j++)
                (a[column, j], a[lead, j]) = (a[lead, j], a[column, j]);
            for (var row = column + 1; row < count; row++)
            {
                var factor = a[row, column] / a[column, column];
                for (var j = column; j <= count; j++)
                    a[row, j] -= factor * a[column, j];
            }
        }

        var x = new double[count];
        for (var row = count - 1; row >= 0; row--)
        {
            var sum = a[row, count];
            for (var j = row + 1; j < count; j++)
                sum -= a[row, j] * x[j];
            x[row] = sum / a[row, row];
        }

        return x;
    }
}
