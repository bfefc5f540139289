namespace BuildTrack.Metrology.Verdicts;

/// <summary>Reaches of the smallest or largest of n single values, such as the least pad thickness.</summary>
/// <remarks>The case of one contact: the place that decides. Noise pushes the least of many values down, so one measurement alone rejects only far beyond the limit.</remarks>
public static class ExtremeReach
{
    /// <summary>The reaches, in the unit of <paramref name="sigma"/>.</summary>
    /// <param name="count">Number of values, at least one, dimensionless.</param>
    /// <param name="sigma">Standard uncertainty of one value, random part, in the unit of the value.</param>
    /// <param name="common">The part all values share, in the unit of the value.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigma"/>; null where it is known, not estimated. The reach of one measurement alone supposes it known.</param>
    /// <returns>For acceptance 1.6449 σ + B; for a rejection by one measurement alone Q97.5 of the largest of n normal values + B; for the deciding
    /// place measured again 1.960 σ + B.</returns>
    public static (double Accept, double RejectAlone, double RejectAgain) Of(int count, double sigma, double common, double? degreesOfFreedom = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        Guard.FiniteNotNegative(sigma, nameof(sigma));
        Guard.FiniteNotNegative(common, nameof(common));
        // P(max of n ≤ q) = Φ(q)^n
        var alone = Quantile.OfNormal(Math.Pow(0.975, 1.0 / count));
        return ((Quantile.OneSided95(degreesOfFreedom) * sigma) + common, (alone * sigma) + common, (Quantile.OneSided975(degreesOfFreedom) * sigma) + common);
    }
}
