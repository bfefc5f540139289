using System.Globalization;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Reaches of a straightness about a line, the same two as <see cref="PlaneReach"/>, for stations with independent noise.</summary>
/// <remarks>Method, source and limits: docs/method/verdict.md. A stepped level's stations are correlated: its noise is not this one.</remarks>
public static class LineReach
{
    /// <summary>The reaches for stations along a line.</summary>
    /// <param name="positionsMm">Stations, mm; three or more, not all at one place.</param>
    /// <param name="sigmaUm">As for <see cref="PlaneReach.Of"/>, µm.</param>
    /// <param name="commonUm">B, µm, zero or more.</param>
    /// <param name="reference">Line of least squares, or mid line of the minimum zone (heights along z).</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials; 10⁴ give the quantile to about 1 %.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, or the stations cannot decide.</exception>
    /// <exception cref="ArgumentOutOfRangeException">As for <see cref="PlaneReach.Of"/>.</exception>
    public static ZoneReach Of(
        ReadOnlySpan<double> positionsMm,
        double sigmaUm,
        double commonUm,
        PlaneReference reference,
        ulong seed = PlaneReach.DefaultSeed,
        int trials = PlaneReach.DefaultTrials,
        double? degreesOfFreedom = null) =>
        ZoneNoise.Reach(Layout(positionsMm), sigmaUm, commonUm, reference, seed, trials, degreesOfFreedom);

    /// <summary>The zone of pure noise with σ = 1 at a given probability: dimensionless, six significant digits.</summary>
    /// <inheritdoc cref="PlaneReach.NoiseQuantile"/>
    public static double NoiseQuantile(
        ReadOnlySpan<double> positionsMm,
        PlaneReference reference,
        double probability,
        ulong seed = PlaneReach.DefaultSeed,
        int trials = PlaneReach.DefaultTrials)
    {
        Guard.Finite(probability, nameof(probability));
        if (probability is <= 0 or >= 1)
            Guard.ThrowOutOfRange(probability, nameof(probability), "between 0 and 1");
        return ZoneNoise.Quantile(Layout(positionsMm), reference, probability, seed, trials, null);
    }

    internal static PlanFrame Layout(ReadOnlySpan<double> positionsMm)
    {
        Guard.Finite(positionsMm, nameof(positionsMm));
        if (positionsMm.Length < 3)
        {
            throw new ArgumentException(
                string.Create(CultureInfo.InvariantCulture, $"{positionsMm.Length} stations cannot decide about a line; three are the fewest."),
                nameof(positionsMm));
        }

        var frame = PlanFrame.Of(positionsMm, new double[positionsMm.Length]);
        return frame.Shape == PlanShape.OneLine
            ? frame
            : throw new ArgumentException("All stations lie at one place; they cannot decide about a line.", nameof(positionsMm));
    }
}
