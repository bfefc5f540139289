using System.Collections.Immutable;
using System.Globalization;
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

    /// <summary>Weights, one for every station, whose value is the least-squares range of these heights along z: the difference of the rows of
    /// the projector (heights to deviations) that belong to the highest and the lowest station.</summary>
    /// <remarks>They prove a least-squares range when <em>all</em> stations are measured again: c·t is a difference of two deviations of the truth,
    /// never above its range. On ties the lowest index.</remarks>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="heightsUm">Heights of the measurement that chooses the two stations, µm.</param>
    /// <exception cref="ArgumentException">Different lengths, a number that is NaN or infinite, or a layout that cannot decide.</exception>
    public static ImmutableArray<double> LeastSquaresRangeWeights(
        ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)
    {
        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.Finite(heightsUm, nameof(heightsUm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), xMm.Length, nameof(xMm));
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
        int high = 0, low = 0;
        for (var i = 1; i < rest.Length; i++)
        {
            if (rest[i] > rest[high])
                high = i;
            if (rest[i] < rest[low])
                low = i;
        }

        if (high == low)
            low = 1;
        var byU = (frame.U[high] - frame.U[low]) / frame.SumUU;
        var byW = (frame.W[high] - frame.W[low]) / frame.SumWW;
        var weights = ImmutableArray.CreateBuilder<double>(rest.Length);
        for (var k = 0; k < rest.Length; k++)
            weights.Add((k == high ? 1 : 0) - (k == low ? 1 : 0) - (byU * frame.U[k]) - (byW * frame.W[k]));
        return weights.MoveToImmutable();
    }

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
