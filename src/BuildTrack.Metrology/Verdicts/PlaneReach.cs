using System.Globalization;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>How far the truth may lie above and below a measured zone: the two reaches of docs/method/verdict.md.</summary>
/// <param name="AboveUm">1.6449 s + B: the truth lies at most this far above the value (95 %). Acceptance uses it.</param>
/// <param name="BelowUm">Q97.5[R(e)] + B: the truth lies at most this far below the value (97.5 %). Rejection from one result alone uses it.</param>
/// <param name="PairSigmaUm">s: largest standard deviation of the difference of two residuals of pure noise, µm.</param>
/// <param name="NoiseQuantileUm">The 97.5 % quantile of the zone of pure noise under the reference, µm.</param>
/// <param name="CommonUm">B: the part all runs share, µm.</param>
public sealed record ZoneReach(double AboveUm, double BelowUm, double PairSigmaUm, double NoiseQuantileUm, double CommonUm);

/// <summary>Reaches of a plane zone whose stations carry independent noise of one standard uncertainty.</summary>
/// <remarks>Method, source and limits: docs/method/verdict.md. Networks and stepped levels, whose stations are correlated, need their own Σ.</remarks>
public static class PlaneReach
{
    /// <summary>The seed used unless another is given, so that a layout has one figure.</summary>
    public const ulong DefaultSeed = 0xB011D72AC4000001;

    /// <summary>Trials used unless another number is given: they give the quantile to about 1 %.</summary>
    public const int DefaultTrials = 10000;

    /// <summary>The reaches for a layout.</summary>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="sigmaUm">Standard uncertainty of one station's height in the result, µm, zero or more: already divided by the square root
    /// of the number of passes <em>planned</em>.</param>
    /// <param name="commonUm">B, µm, zero or more: zone of the worst shape that all passes share.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials; 10⁴ give the quantile to about 1 %.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known, not estimated. Then t takes the place of
    /// 1.6449, and each trial's noise is divided by an estimate with these degrees of freedom.</param>
    /// <returns>Reaches in µm; the same bits for the same layout, seed and trials.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite, or the layout cannot decide (fewer than four stations, all on one line).</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, fewer than 100 trials, degrees of freedom below one.</exception>
    public static ZoneReach Of(
        ReadOnlySpan<double> xMm,
        ReadOnlySpan<double> yMm,
        double sigmaUm,
        double commonUm,
        PlaneReference reference,
        ulong seed = DefaultSeed,
        int trials = DefaultTrials,
        double? degreesOfFreedom = null)
    {
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        return ZoneNoise.Reach(Layout(xMm, yMm), sigmaUm, commonUm, reference, seed, trials, degreesOfFreedom);
    }

    /// <summary>The zone of pure noise with σ = 1 at a given probability, for a layout: a pure number, six significant digits.</summary>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <param name="probability">Between 0 and 1.</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials.</param>
    /// <exception cref="ArgumentException">As for <see cref="Of"/>.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A probability outside 0…1, fewer than 100 trials.</exception>
    public static double NoiseQuantile(
        ReadOnlySpan<double> xMm,
        ReadOnlySpan<double> yMm,
        PlaneReference reference,
        double probability,
        ulong seed = DefaultSeed,
        int trials = DefaultTrials)
    {
        Guard.Finite(probability, nameof(probability));
        if (probability is <= 0 or >= 1)
            Guard.ThrowOutOfRange(probability, nameof(probability), "between 0 and 1");
        return ZoneNoise.Quantile(Layout(xMm, yMm), reference, probability, seed, trials, null);
    }

    /// <summary>The most that rounding can move the zone: every reading off by half a digit, each the way that makes it largest. µm.</summary>
    /// <remarks>Weights of a minimum zone add to one upward and to one downward: a digit. Those of a least-squares range are differences of two rows of
    /// I − H, H the projection upon the plane, whose sizes add to more.</remarks>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="digitUm">The digit that is read, µm, zero or more.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <exception cref="ArgumentException">As for <see cref="Of"/>.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A digit below zero.</exception>
    public static double LargestRoundingUm(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, double digitUm, PlaneReference reference)
    {
        Guard.FiniteNotNegative(digitUm, nameof(digitUm));
        var frame = Layout(xMm, yMm);
        if (reference == PlaneReference.MinimumZone)
            return digitUm;
        double[] u = frame.U, w = frame.W;
        var worst = 0.0;
        for (var i = 0; i < u.Length; i++)
        {
            for (var j = i + 1; j < u.Length; j++)
            {
                double du = (u[i] - u[j]) / frame.SumUU, dw = (w[i] - w[j]) / frame.SumWW, sizes = 0;
                for (var k = 0; k < u.Length; k++)
                    sizes += Math.Abs((k == i ? 1 : k == j ? -1 : 0) - (du * u[k]) - (dw * w[k]));
                worst = Math.Max(worst, sizes);
            }
        }

        return digitUm / 2 * worst;
    }

    internal static PlanFrame Layout(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm)
    {
        Guard.Finite(xMm, nameof(xMm));
        Guard.Finite(yMm, nameof(yMm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        if (xMm.Length < 4)
        {
            throw new ArgumentException(
                string.Create(CultureInfo.InvariantCulture, $"{xMm.Length} stations cannot decide about a plane; four are the fewest."), nameof(xMm));
        }

        var frame = PlanFrame.Of(xMm, yMm);
        return frame.Shape == PlanShape.Plane
            ? frame
            : throw new ArgumentException("All stations lie on one line in plan; they cannot decide about a plane.", nameof(xMm));
    }
}
