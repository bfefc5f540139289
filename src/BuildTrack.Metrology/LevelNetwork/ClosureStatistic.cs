namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>What the closures of loops say about the levelling, before any adjustment.</summary>
public static class ClosureStatistic
{
    /// <summary>Standard deviation of levelling over the unit of length: √((1/n) Σ w²/S).</summary>
    /// <param name="closures">w, closures of the loops, in µm (or another unit of length, which is then the unit of the result).</param>
    /// <param name="lengths">S, lengths of the loops, in m (or another unit of length).</param>
    /// <returns>In the unit of the closures, µm per √m as a rule.</returns>
    /// <exception cref="ArgumentException">Different lengths, no loops, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A length that is not above zero.</exception>
    public static double SigmaPerRootLength(ReadOnlySpan<double> closures, ReadOnlySpan<double> lengths)
    {
        Guard.Finite(closures, nameof(closures));
        Guard.SameLength(lengths.Length, nameof(lengths), closures.Length, nameof(closures));
        if (closures.IsEmpty)
            throw new ArgumentException("There are no loops.", nameof(closures));
        double sum = 0;
        for (var i = 0; i < closures.Length; i++)
        {
            var root = closures[i] / Math.Sqrt(Guard.FinitePositive(lengths[i], nameof(lengths)));
            sum += root * root;
        }

        return Guard.Finite(Math.Sqrt(sum / closures.Length), nameof(closures));
    }
}
