namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>One observed height difference.</summary>
/// <param name="From">Point it starts at.</param>
/// <param name="To">Point it ends at, another one.</param>
/// <param name="RiseUm">Height of <paramref name="To"/> less height of <paramref name="From"/>, µm (plus the unknown of its line).</param>
/// <param name="Weight">Relative weight; 1/σ² with σ in µm where standard uncertainties are known, else dimensionless.</param>
/// <param name="Line">Name of the line it was read in, where the line has a slope of its own; null for none.</param>
public sealed record LevelObservation(string From, string To, double RiseUm, double Weight, string? Line = null)
{
    /// <summary>No weight is outside 10⁻¹² … 10¹² (dimensionless, or 1/µm²).</summary>
    public const double LargestWeight = 1e12;

    /// <summary>No rise or fixed height in µm is larger than this; larger ones are no measurement.</summary>
    public const double LargestRiseUm = 1e12;

    /// <summary>With a standard uncertainty in place of a weight.</summary>
    /// <param name="from">Point it starts at.</param>
    /// <param name="to">Point it ends at.</param>
    /// <param name="riseUm">Observed rise, µm.</param>
    /// <param name="sigmaUm">Its standard uncertainty, µm; 10⁻⁶ to 10⁶.</param>
    /// <param name="line">Line, or null.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The uncertainty is not above zero.</exception>
    public static LevelObservation WithSigma(string from, string to, double riseUm, double sigmaUm, string? line = null) =>
        new(from, to, riseUm, 1 / Guard.FinitePositive(sigmaUm, nameof(sigmaUm)) / sigmaUm, line);
}
