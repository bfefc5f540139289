namespace BuildTrack.Metrology.Corrections;

/// <summary>Polynomial of least squares by polynomials that are orthogonal over the stations (G. Forsythe, 1957): no normal equations, no powers.</summary>
internal static class PolynomialFit
{
    /// <summary>The fitted values at the stations.</summary>
    /// <param name="x">Places; at least degree + 1 different ones.</param>
    /// <param name="y">Values, any unit.</param>
    /// <param name="degree">Zero or more.</param>
    public static double[] Of(double[] x, double[] y, int degree)
    {
        double middle = (x.Max() + x.Min()) / 2, half = (x.Max() - x.Min()) / 2;
        double[] u = [.. x.Select(v => (v - middle) / half)], rest = [.. y], fitted = new double[y.Length];
        List<double[]> basis = [];
        for (var k = 0; k <= degree; k++)
        {
            double[] next = k == 0 ? [.. u.Select(_ => 1.0)] : [.. basis[^1].Select((p, i) => p * u[i])];

            // Twice: the second pass takes out what rounding left of the first.
            for (var pass = 0; pass < 2; pass++)
            {
                foreach (var earlier in basis)
                    TakeOut(next, earlier, Dot(next, earlier));
            }

            var length = Math.Sqrt(Dot(next, next));
            for (var i = 0; i < next.Length; i++)
                next[i] /= length;
            basis.Add(next);
        }

        for (var pass = 0; pass < 2; pass++)
        {
            foreach (var one in basis)
            {
                var part = Dot(rest, one);
                TakeOut(rest, one, part);
                TakeOut(fitted, one, -part);
            }
        }

        return fitted;
    }

    private static void TakeOut(double[] from, double[] what, double part)
    {
        for (var i = 0; i < from.Length; i++)
            from[i] -= part * what[i];
    }

    private static double Dot(double[] a, double[] b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++)
            sum += a[i] * b[i];
        return sum;
    }
}
