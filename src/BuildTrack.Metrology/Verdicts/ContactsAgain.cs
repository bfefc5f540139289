using System.Collections.Immutable;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Rejection proved by measuring the contact places again.</summary>
/// <remarks>The weights c come from one measurement, the heights b from another: c·b is an unbiased value of c·t, and c·t never exceeds the zone of the truth t.</remarks>
public static class ContactsAgain
{
    /// <summary>c·b, µm. Blind to offset and tilt of the new set-up, since the weights balance.</summary>
    /// <param name="weights">Frozen weights, dimensionless.</param>
    /// <param name="heightsUm">Heights at the same places, µm.</param>
    /// <exception cref="ArgumentException">Different lengths, or a number that is not finite.</exception>
    public static double Value(ReadOnlySpan<double> weights, ReadOnlySpan<double> heightsUm)
    {
        Guard.Finite(weights, nameof(weights));
        Guard.Finite(heightsUm, nameof(heightsUm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), weights.Length, nameof(weights));
        var sum = 0.0;
        for (var i = 0; i < weights.Length; i++)
        {
            sum += weights[i] * heightsUm[i];
        }

        return sum;
    }

    /// <summary>1.960 √(cᵀΣc) + B, µm, for independent noise at each place. It is not divided by the number of repeats: looking again must not narrow it.</summary>
    /// <param name="weights">Frozen weights, dimensionless.</param>
    /// <param name="sigmaUm">Standard uncertainty of one height, random part, µm.</param>
    /// <param name="commonUm">B, µm.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known, not estimated.</param>
    public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, double? degreesOfFreedom = null)
    {
        Guard.Finite(weights, nameof(weights));
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        var squares = 0.0;
        foreach (var weight in weights)
        {
            squares += weight * weight;
        }

        return (Quantile.OneSided975(degreesOfFreedom) * Math.Sqrt(squares) * sigmaUm) + commonUm;
    }

    /// <summary>Weights that turn all heights into the difference of the highest and the lowest least-squares deviation: what proves a least-squares
    /// range when every station is measured again.</summary>
    /// <param name="xMm">Stations, x in mm.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="heightsUm">The first measurement, µm: it chooses the two stations.</param>
    /// <returns>One weight a station, dimensionless; they balance.</returns>
    public static ImmutableArray<double> LeastSquaresRangeWeights(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)
    {
        Guard.Finite(heightsUm, nameof(heightsUm));
        var plane = new PlaneProjector(xMm, yMm);
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), xMm.Length, nameof(xMm));
        var residuals = heightsUm.ToArray();
        plane.TakeOut(residuals);
        var (high, low) = (0, 0);
        for (var i = 0; i < residuals.Length; i++)
        {
            high = residuals[i] > residuals[high] ? i : high;
            low = residuals[i] < residuals[low] ? i : low;
        }

        var weights = new double[residuals.Length];
        (weights[high], weights[low]) = (1, -1);
        // Row high minus row low of the projector: it is symmetric, so the projector itself makes it.
        plane.TakeOut(weights);
        return ImmutableArray.Create(weights);
    }
}
