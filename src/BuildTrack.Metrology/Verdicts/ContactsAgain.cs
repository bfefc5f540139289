using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.InteropServices;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Rejection proved by measuring the contact places again.</summary>
/// <remarks>
/// <para>The weights c of one measurement, applied to heights b of another, give an unbiased value of c·t, and c·t is never above the zone
/// of the truth t. So c·b − <see cref="RejectBandUm"/> &gt; limit proves a rejection at 2.5 % (docs/method/verdict.md).</para>
/// <para>No datum is needed: c is blind to tilt and offset. Two such measurements are planned, and the first may prove it alone: c·b is the mean of
/// those there are. Further ones enter the mean and leave the band.</para>
/// </remarks>
public static class ContactsAgain
{
    private const int MostSteps = 200;

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

    /// <summary>f √(cᵀΣc) + B, µm, for independent places of one standard uncertainty; f by <see cref="Quantiles.OfLook"/>.</summary>
    /// <param name="weights">As for <see cref="Value"/>.</param>
    /// <param name="sigmaUm">Standard uncertainty of one height of <em>one</em> repeat run, µm; not divided by the number of runs.</param>
    /// <param name="commonUm">B, µm.</param>
    /// <param name="runs">How many repeat runs the value is the mean of, one or more.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known.</param>
    /// <exception cref="ArgumentException">No weights, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, no run, degrees of freedom below one.</exception>
    public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, int runs, double? degreesOfFreedom = null)
    {
        CheckWeights(weights);
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        return (Quantiles.OfLook(runs, degreesOfFreedom) * sigmaUm * Length(weights)) + commonUm;
    }

    /// <summary>What to hand to <see cref="LeastSquaresRangeWeights"/>: the band of both repeat runs for |c| = 1 and half a standard deviation of their mean to spare, µm.</summary>
    /// <remarks>Without any to spare the weights would prove most in every other case only. Half of one proves most in simulated beds without order.</remarks>
    /// <param name="sigmaUm">Standard uncertainty of one height of one repeat run, µm.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known.</param>
    public static double ChoiceBandUm(double sigmaUm, double? degreesOfFreedom = null) =>
        (Quantiles.OfLook(2, degreesOfFreedom) + (0.5 / Math.Sqrt(2))) * Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));

    /// <summary>Weights, one for every station, whose value is never above the least-squares range of the truth along z: the difference of the rows of the projector
    /// (heights to deviations) of the highest and the lowest station, or of weighted means of several.</summary>
    /// <remarks>
    /// <para>They prove a least-squares range when <em>all</em> stations are measured again: c·t is a difference of two means of deviations of the truth, never above
    /// its range. That holds for any means; these heights only say which prove most.</para>
    /// <para>Without a band: the highest and the lowest; on ties the lowest index. With one, the means a of high and b of low stations that make
    /// (a − b)·m less <paramref name="bandUm"/>·√(|a|² + |b|²) largest: each weight grows with what its station stands beyond a level. Where many stand nearly as
    /// high as the highest, their mean loses little height and most of the noise.</para>
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
        var (high, low) = MeansThatProveMost(rest, bandUm);
        var weights = WithoutPlane(frame, [.. high.Zip(low, (h, l) => h - l)]);
        // On a bed without any deviation both means are the same and nothing is left to weigh: any two stations serve, and these leave the most.
        if (weights.Max(Math.Abs) < 1e-9)
            weights = Enumerable.Range(1, rest.Length - 1).Select(other => WithoutPlane(frame, [.. rest.Select((_, k) => k == 0 ? 1.0 : k == other ? -1 : 0)])).MaxBy(w => Squares(w))!;
        return ImmutableCollectionsMarshal.AsImmutableArray(weights);
    }

    /// <summary>What a plane of least squared weights leaves of them; they add to zero already.</summary>
    private static double[] WithoutPlane(PlanFrame frame, double[] weights)
    {
        double byU = 0, byW = 0;
        for (var k = 0; k < weights.Length; k++)
            (byU, byW) = (byU + (weights[k] * frame.U[k] / frame.SumUU), byW + (weights[k] * frame.W[k] / frame.SumWW));
        for (var k = 0; k < weights.Length; k++)
            weights[k] -= (byU * frame.U[k]) + (byW * frame.W[k]);
        return weights;
    }

    /// <summary>The means a and b, weights that are not negative and add to one, that make (a − b)·m − band √(|a|² + |b|²) largest.</summary>
    /// <param name="deviationsUm">m, µm.</param>
    /// <param name="bandUm">Zero or more, µm.</param>
    internal static (double[] High, double[] Low) MeansThatProveMost(double[] deviationsUm, double bandUm)
    {
        double[] turned = [.. deviationsUm.Select(d => -d)];
        if (bandUm == 0)
            return (Alone(deviationsUm), Alone(turned));
        var length = Math.Sqrt(2);
        for (var step = 0; ; step++)
        {
            // 2√q ≤ q/l + l: what is maximised for a length l is a lower bound that touches where √q = l, so every step gains, and where it stands still is the maximum.
            var (high, low) = (Beyond(deviationsUm, length / bandUm), Beyond(turned, length / bandUm));
            var now = Math.Sqrt(Squares(high) + Squares(low));
            if (Math.Abs(now - length) <= 1e-12 * length || step == MostSteps)
                return (high, low);
            length = now;
        }
    }

    /// <summary>The whole weight on the largest value.</summary>
    private static double[] Alone(double[] values)
    {
        var weights = new double[values.Length];
        weights[Array.IndexOf(values, values.Max())] = 1;
        return weights;
    }

    /// <summary>The mean a that makes a·v − |a|²/(2 <paramref name="slope"/>) largest: a is slope times what a value stands beyond the level at which they add to one.</summary>
    private static double[] Beyond(double[] values, double slope)
    {
        // From the largest value on: with next to no band the weights stay exact.
        var largest = values.Max();
        double sum = 0, level = double.PositiveInfinity;
        var count = 0;
        foreach (var value in values.Select(v => v - largest).OrderDescending().TakeWhile(v => count == 0 || v > level))
        {
            sum += value;
            count++;
            level = (sum - (1 / slope)) / count;
        }

        return [.. values.Select(v => slope * Math.Max(0, v - largest - level))];
    }

    private static double Squares(ReadOnlySpan<double> weights)
    {
        double squares = 0;
        foreach (var weight in weights)
            squares += weight * weight;
        return squares;
    }

    private static double Length(ReadOnlySpan<double> weights) => Math.Sqrt(Squares(weights));

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
