namespace BuildTrack.Metrology.Corrections;

/// <summary>Least value of ½ x·Q·x + q·x with each x between two bounds; Q positive definite and small.</summary>
/// <remarks>Active set after C. Lawson and R. Hanson (Solving Least Squares Problems, 1974, chapter 23), with upper bounds: the bounded unknown
/// whose slope is most wrong is freed, the free ones are solved, and a step that would leave the bounds stops at the first one.
/// Ends after finitely many steps.</remarks>
internal static class BoundedQuadratic
{
    public static double[] Solve(double[,] matrix, double[] linear, double[] low, double[] high)
    {
        var count = linear.Length;
        var free = new bool[count];
        double[] x = [.. low.Select((l, i) => Math.Clamp(0, l, high[i]))];

        // Unknowns inside their bounds start free.
        for (var i = 0; i < count; i++)
            free[i] = x[i] > low[i] && x[i] < high[i];
        var scale = 1 + linear.Max(Math.Abs);
        for (var step = 0; step < 100 * (count + 1); step++)
        {
            while (Inside(matrix, linear, low, high, free, x))
            {
            }

            var (worst, most) = (-1, 1e-11 * scale);
            for (var i = 0; i < count; i++)
            {
                if (free[i] || low[i] >= high[i])
                    continue;
                var slope = Slope(matrix, linear, x, i);
                var wrong = x[i] <= low[i] ? -slope : slope;
                if (wrong > most)
                    (worst, most) = (i, wrong);
            }

            if (worst < 0)
                break;
            free[worst] = true;
        }

        return x;
    }

    public static double Slope(double[,] matrix, double[] linear, double[] x, int i)
    {
        var slope = linear[i];
        for (var j = 0; j < x.Length; j++)
            slope += matrix[i, j] * x[j];
        return slope;
    }

    /// <summary>Moves to the least value of the free unknowns, or toward it as far as the first bound; true where a bound stopped it.</summary>
    private static bool Inside(double[,] matrix, double[] linear, double[] low, double[] high, bool[] free, double[] x)
    {
        int[] open = [.. Enumerable.Range(0, x.Length).Where(i => free[i])];
        if (open.Length == 0)
            return false;
        var system = new double[open.Length, open.Length + 1];
        for (var a = 0; a < open.Length; a++)
        {
            for (var b = 0; b < open.Length; b++)
                system[a, b] = matrix[open[a], open[b]];
            system[a, open.Length] = -linear[open[a]];
            for (var j = 0; j < x.Length; j++)
                system[a, open.Length] -= free[j] ? 0 : matrix[open[a], j] * x[j];
        }

        var aim = LeastVertex.Gauss(system);
        var (part, stop) = (1.0, -1);
        for (var a = 0; a < open.Length; a++)
        {
            var i = open[a];
            var edge = aim[a] < low[i] ? low[i] : aim[a] > high[i] ? high[i] : double.NaN;
            if (!double.IsNaN(edge) && (edge - x[i]) / (aim[a] - x[i]) is var reach && reach < part)
                (part, stop) = (Math.Max(0, reach), i);
        }

        for (var a = 0; a < open.Length; a++)
            x[open[a]] = Math.Clamp(x[open[a]] + (part * (aim[a] - x[open[a]])), low[open[a]], high[open[a]]);
        if (stop < 0)
            return false;
        x[stop] = aim[Array.IndexOf(open, stop)] < low[stop] ? low[stop] : high[stop];
        free[stop] = false;
        return true;
    }
}
