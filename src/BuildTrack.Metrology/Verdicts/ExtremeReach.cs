namespace BuildTrack.Metrology.Verdicts;

/// <summary>Reaches of the smallest or largest of n single values, such as the thinnest pad.</summary>
/// <remarks>docs/method/verdict.md, "The smallest of several". The n values carry independent noise of one standard uncertainty.</remarks>
public static class ExtremeReach
{
    /// <summary>The three bands, in the unit of <paramref name="sigma"/>.</summary>
    /// <param name="count">How many values there are, one or more.</param>
    /// <param name="sigma">Standard uncertainty of one value, zero or more.</param>
    /// <param name="common">B: the part all values and runs share, zero or more.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigma"/>; null where it is known.</param>
    /// <returns>Accept: 1.6449 σ + B. RejectAlone, from one run: Q97.5[largest of n normals] σ + B, because the place was chosen by its noise.
    /// RejectAgain, for the deciding place measured again: 1.960 σ + B.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A count or degrees of freedom below one, a negative uncertainty.</exception>
    public static (double Accept, double RejectAlone, double RejectAgain) Of(
        int count, double sigma, double common, double? degreesOfFreedom = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        Guard.FiniteNotNegative(sigma, nameof(sigma));
        Guard.FiniteNotNegative(common, nameof(common));
        return (
            (Quantiles.OneSided95(degreesOfFreedom) * sigma) + common,
            (Quantiles.LargestOf975(count, degreesOfFreedom) * sigma) + common,
            (Quantiles.OneSided975(degreesOfFreedom) * sigma) + common);
    }
}
