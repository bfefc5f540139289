using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.InteropServices;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Rejection proved by measuring the contact places again.</summary>
/// <remarks>
/// <para>The weights c of one measurement, applied to heights b of another, give an unbiased value of c·t, and c·t is never above the zone
/// of the truth t. So c·b − <see cref="RejectBandUm"/> &gt; limit proves a rejection at 2.5 % (docs/method/verdict.md).</para>
/// <para>No datum is needed: c is blind to tilt and offset. Several repeat runs are averaged, without shrinking the band.</para>
/// </remarks>
public static class ContactsAgain
{
    /// <summary>At most so many of the highest and of the lowest stations share a mean (pure number): with these the noise of both means is a quarter of that of one difference.</summary>
    public const int MostOfASide = 16;

    /// <summary>c·b, µm.</summary>
    /// <param name="weights">Weights, pure numbers with sum zero; contacts only, or all stations.</param>
    /// <param name="heightsUm">Heights of the same places in the repeat run (or their mean over the runs), µm.</param>
    /// <exception cref="ArgumentException">Different lengths, none at all, or a number that is NaN or infinite.</exception>
    public static double Value(ReadOnlySpan<double> weights, ReadOnlySpan<double> heightsUm)
    {
        CheckWeights(weights);
        Guard.Finite(heightsUm, nameof(heightsUm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), weights.Length, nameof(weights));

        // Σc = 0: the first height may go out of every term, and with it the digits of a far datum.
        double sum = 0;
        for (var i = 0; i < weights.Length; i++)
            sum += weights[i] * (heightsUm[i] - heightsUm[0]);
        return Guard.Finite(sum, "weights times heightsUm");
    }

    /// <summary>1.960 √(cᵀΣc) + B, µm, for independent places of one standard uncertainty.</summary>
    /// <param name="weights">As for <see cref="Value"/>.</param>
    /// <param name="sigmaUm">Standard uncertainty of one height of <em>one</em> repeat run, µm; not divided by the number of runs.</param>
    /// <param name="commonUm">B, µm.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known.</param>
    /// <exception cref="ArgumentException">No weights, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, degrees of freedom below one.</exception>
    public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, double? degreesOfFreedom = null)
    {
        CheckWeights(weights);
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        double squares = 0;
        foreach (var weight in weights)
            squares += weight * weight;
        return (Quantiles.OneSided975(degreesOfFreedom) * sigmaUm * Math.Sqrt(squares)) + commonUm;
    }

    /// <summary>Weights, one for every station, whose value is never above the least-squares range of the truth along z: the difference of the rows of the projector
    /// (heights to deviations) of the highest and the lowest station, or of the means of several.</summary>
    /// <remarks>
    /// <para>They prove a least-squares range when <em>all</em> stations are measured again: c·t is a difference of two means of deviations of the truth, never above
    /// its range. That holds for any stations; these heights only say which prove most.</para>
    /// <para>Without a band: the highest and the lowest; on ties the lowest index. With one, as many of the highest and of the lowest as make c·m less
    /// <paramref name="bandUm"/>·|c| largest, at most <see cref="MostOfASide"/> each: where many stand nearly as high as the highest, their mean loses little height
    /// and most of the noise.</para>
    /// </remarks>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="heightsUm">Heights of the measurement that chooses the stations, µm.</param>
    /// <param name="bandUm">What the value must pass the limit by where |c| is 1, µm.</param>
    /// <exception cref="ArgumentException">Different lengths, a number that is NaN or infinite, or a layout that cannot decide.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative band.</exception>
    public static ImmutableArray<double> LeastSquaresRangeWeights(
        ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm, double bandUm = 0)
    {
        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.Finite(heightsUm, nameof(heightsUm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), xMm.Length, nameof(xMm));
        Guard.FiniteNotNegative(bandUm, nameof(bandUm));
        if (xMm.Length < 4)
        {
            throw new ArgumentException(
                string.Create(CultureInfo.InvariantCulture, $"{xMm.Length} stations cannot decide about a plane; four are the fewest."), nameof(xMm));
        }

        var frame = PlanFrame.Of(xMm, yMm);
        if (frame.Shape != PlanShape.Plane)
            throw new ArgumentException("All stations lie on one line in plan; they cannot decide about a plane.", nameof(xMm));
        var rest = heightsUm.ToArray();
        frame.Level(rest);
        int[] byHeight = [.. Enumerable.Range(0, rest.Length).OrderByDescending(i => rest[i]).ThenBy(i => i)];
        int[] byDepth = [.. Enumerable.Range(0, rest.Length).OrderBy(i => rest[i]).ThenBy(i => i)];
        var most = Math.Min(MostOfASide, rest.Length / 2);
        Mean[] highs = Means(frame, rest, byHeight, most), lows = Means(frame, rest, byDepth.Where(i => i != byHeight[0]), most);
        var (best, high, low) = (double.NegativeInfinity, 1, 1);
        for (var h = 1; h <= most; h++)
        {
            for (var l = 1; l <= most; l++)
            {
                double u = highs[h - 1].U - lows[l - 1].U, w = highs[h - 1].W - lows[l - 1].W;
                var squares = (1.0 / h) + (1.0 / l) - (u * u / frame.SumUU) - (w * w / frame.SumWW);
                var proves = highs[h - 1].Rest - lows[l - 1].Rest - (bandUm * Math.Sqrt(Math.Max(0, squares)));
                if (proves > best)
                    (best, high, low) = (proves, h, l);
            }
        }

        var byU = (highs[high - 1].U - lows[low - 1].U) / frame.SumUU;
        var byW = (highs[high - 1].W - lows[low - 1].W) / frame.SumWW;
        var weights = new double[rest.Length];
        for (var k = 0; k < weights.Length; k++)
            weights[k] = -(byU * frame.U[k]) - (byW * frame.W[k]);
        foreach (var i in byHeight[..high])
            weights[i] += 1.0 / high;
        foreach (var i in byDepth.Where(i => i != byHeight[0]).Take(low))
            weights[i] -= 1.0 / low;
        return ImmutableCollectionsMarshal.AsImmutableArray(weights);
    }

    /// <summary>Means over the first stations of an order: of one, of two, and so on.</summary>
    private static Mean[] Means(PlanFrame frame, double[] rest, IEnumerable<int> order, int most)
    {
        var means = new Mean[most];
        double sum = 0, u = 0, w = 0;
        var count = 0;
        foreach (var i in order.Take(most))
        {
            (sum, u, w) = (sum + rest[i], u + frame.U[i], w + frame.W[i]);
            count++;
            means[count - 1] = new Mean(sum / count, u / count, w / count);
        }

        return means;
    }

    private readonly record struct Mean(double Rest, double U, double W);

    private static void CheckWeights(ReadOnlySpan<double> weights)
    {
        Guard.Finite(weights, nameof(weights));
        if (weights.IsEmpty)
            throw new ArgumentException("There are no weights: nothing was to be measured again.", nameof(weights));
        double sum = 0, size = 0;
        foreach (var weight in weights)
        {
            sum += weight;
            size += Math.Abs(weight);
        }

        if (Math.Abs(sum) > 1e-9 * size)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"weights add to {sum:R}; they must add to zero."), nameof(weights));
    }
}
