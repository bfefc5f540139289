using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Statistics;

/// <summary>A share of a count, and how far the true share may lie from it.</summary>
/// <param name="Count">How many have the property, dimensionless.</param>
/// <param name="Of">Of how many, one or more, dimensionless.</param>
/// <param name="Share">Count over number, dimensionless.</param>
/// <param name="Low">Lower end of the 95 % interval, dimensionless.</param>
/// <param name="High">Its upper end, dimensionless.</param>
public sealed record ProportionResult(int Count, int Of, double Share, double Low, double High);

/// <summary>Interval of a proportion by E. B. Wilson (1927), as the NIST/SEMATECH e-Handbook 7.2.4.1 recommends it.</summary>
/// <remarks>The shares p for which the share found lies within 1.960 standard deviations √(p(1 − p)/n). It stays between 0 and 1 and has a width for none and for all. Method: docs/method/statistics.md.</remarks>
public static class Proportion
{
    /// <summary>Share and 95 % interval; null where there is nothing to take a share of.</summary>
    /// <param name="count">How many have the property, dimensionless.</param>
    /// <param name="of">Of how many, dimensionless.</param>
    /// <exception cref="ArgumentOutOfRangeException">A negative number, or more than there are.</exception>
    public static ProportionResult? Find(int count, int of)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        ArgumentOutOfRangeException.ThrowIfNegative(of);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, of);
        if (of == 0)
            return null;
        const double z = Quantiles.Normal975;
        var share = (double)count / of;
        var middle = share + (z * z / (2.0 * of));
        var half = z * Math.Sqrt((share * (1 - share) / of) + (z * z / (4.0 * of * of)));
        var whole = 1 + (z * z / of);

        // Exact at the ends, where the difference would leave a rounding.
        return new ProportionResult(count, of, share, count == 0 ? 0 : (middle - half) / whole, count == of ? 1 : (middle + half) / whole);
    }
}
