namespace BuildTrack.Metrology.Verdicts;

/// <summary>Takes the least-squares plane out of heights over fixed stations (the matrix M of docs/method/verdict.md, never written out).</summary>
internal sealed class PlaneProjector
{
    private readonly double[] first;
    private readonly double[] second;
    private readonly double one;

    /// <exception cref="ArgumentException">Fewer than three stations, or all on one line in plan.</exception>
    public PlaneProjector(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm)
    {
        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        var n = xMm.Length;
        one = n;
        (first, second) = (Centred(xMm), Centred(yMm));
        if (Norm(first) < Norm(second))
        {
            (first, second) = (second, first);
        }

        Scale(first, 1 / Norm(first));
        var along = Dot(first, second);
        for (var i = 0; i < n; i++)
        {
            second[i] -= along * first[i];
        }

        var left = Norm(second);
        if (n < 3 || !(left > 1e-9 * Math.Sqrt((along * along) + (left * left))))
        {
            throw new ArgumentException("The stations lie on one line in plan; no plane can be taken out.", nameof(xMm));
        }

        Scale(second, 1 / left);
    }

    public int Count => first.Length;

    /// <summary>Replaces values by their deviations from their least-squares plane.</summary>
    public void TakeOut(Span<double> values)
    {
        double sum = 0, a = 0, b = 0;
        for (var i = 0; i < values.Length; i++)
        {
            sum += values[i];
            a += values[i] * first[i];
            b += values[i] * second[i];
        }

        sum /= one;
        for (var i = 0; i < values.Length; i++)
        {
            values[i] -= sum + (a * first[i]) + (b * second[i]);
        }
    }

    /// <summary>Variance of the difference of two residuals of unit noise: 2 less what the plane takes out.</summary>
    public double PairVariance(int i, int j)
    {
        var (a, b) = (first[i] - first[j], second[i] - second[j]);
        return 2 - (a * a) - (b * b);
    }

    private static double[] Centred(ReadOnlySpan<double> values)
    {
        var mean = 0.0;
        foreach (var value in values)
        {
            mean += value / values.Length;
        }

        var centred = new double[values.Length];
        for (var i = 0; i < values.Length; i++)
        {
            centred[i] = values[i] - mean;
        }

        return centred;
    }

    private static double Dot(double[] a, double[] b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++)
        {
            sum += a[i] * b[i];
        }

        return sum;
    }

    private static double Norm(double[] a) => Math.Sqrt(Dot(a, a));

    private static void Scale(double[] a, double factor)
    {
        for (var i = 0; i < a.Length; i++)
        {
            a[i] *= factor;
        }
    }
}
