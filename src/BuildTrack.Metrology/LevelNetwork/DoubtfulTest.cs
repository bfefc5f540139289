using System.Collections.Immutable;
using System.Runtime.InteropServices;
using MathNet.Numerics.Distributions;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Which observations do not agree with the others.</summary>
/// <remarks>With known σ: w = v/(σ √r) against 3.2905 (W. Baarda, 1968, α = 0.001). With relative weights only: τ = v √p/(σ₀ √r) against A. J.
/// Pope's τ (1976) at the same α, since σ₀ is estimated from the same residuals.</remarks>
public static class DoubtfulTest
{
    /// <summary>Two-sided chance α of calling a good observation doubtful; dimensionless.</summary>
    public const double Alpha = 0.001;

    /// <summary>Critical value of |w| at α = 0.001, dimensionless.</summary>
    public const double CriticalW = 3.2905;

    /// <summary>δ₀: how many standard deviations an error must move w to be found in 80 % of cases at α = 0.001, dimensionless.</summary>
    /// <remarks>Sum of the normal quantiles 3.2905 and 0.8416; Baarda's 4.13.</remarks>
    public const double Detected = 4.1321;

    /// <summary>An observation with less redundancy than this is checked by no other.</summary>
    private const double NoRedundancy = 1e-9;

    /// <summary>Critical value of |τ|: √ν t/√(ν − 1 + t²), t Student's two-sided quantile with ν − 1 degrees of freedom.</summary>
    /// <param name="degreesOfFreedom">ν, two or more: with one, |τ| is always 1.</param>
    /// <param name="alpha">Two-sided level, dimensionless.</param>
    /// <returns>Dimensionless, six significant digits.</returns>
    /// <exception cref="ArgumentException">The level is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than two degrees of freedom, or a level not between 0 and 1.</exception>
    public static double CriticalTau(int degreesOfFreedom, double alpha = Alpha)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(degreesOfFreedom, 2);
        Guard.FinitePositive(alpha, nameof(alpha));
        if (alpha >= 1)
            Guard.ThrowOutOfRange(alpha, nameof(alpha), "below 1");
        var t = StudentT.InvCDF(0, 1, degreesOfFreedom - 1, 1 - (alpha / 2));
        return Rounding.ToSixDigits(Math.Sqrt(degreesOfFreedom) * t / Math.Sqrt(degreesOfFreedom - 1 + (t * t)));
    }

    /// <summary>Bounds of σ₀ where the standard uncertainties are right: √(χ²/ν) at 2.5 % and 97.5 %.</summary>
    /// <param name="sigma0">σ₀ of the network, dimensionless.</param>
    /// <param name="degreesOfFreedom">ν, one or more.</param>
    /// <exception cref="ArgumentException">σ₀ is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">σ₀ is negative, or there are no degrees of freedom.</exception>
    public static GlobalTest Global(double sigma0, int degreesOfFreedom)
    {
        Guard.FiniteNotNegative(sigma0, nameof(sigma0));
        ArgumentOutOfRangeException.ThrowIfLessThan(degreesOfFreedom, 1);
        return new GlobalTest(sigma0, Bound(0.025), Bound(0.975));

        double Bound(double probability) => Rounding.ToSixDigits(Math.Sqrt(ChiSquared.InvCDF(degreesOfFreedom, probability) / degreesOfFreedom));
    }

    /// <summary>Error of each observation that its own test finds with 80 % certainty: δ₀ σ/√r.</summary>
    internal static ImmutableArray<double?> SmallestDetectable(IReadOnlyList<LevelObservation> observations, NetworkAdjustment adjustment, double? sigma)
    {
        var smallest = new double?[observations.Count];
        for (var i = 0; i < smallest.Length; i++)
        {
            if (adjustment.Redundancy[i] > NoRedundancy)
                smallest[i] = Detected * sigma / Math.Sqrt(observations[i].Weight * adjustment.Redundancy[i]);
        }

        return ImmutableCollectionsMarshal.AsImmutableArray(smallest);
    }

    internal static ImmutableArray<DoubtfulObservation> Of(
        IReadOnlyList<LevelObservation> observations, NetworkAdjustment adjustment, double? sigma0, bool sigmasKnown)
    {
        if (adjustment.DegreesOfFreedom < (sigmasKnown ? 1 : 2) || sigma0 is not { } estimated)
            return [];
        var critical = sigmasKnown ? CriticalW : CriticalTau(adjustment.DegreesOfFreedom);
        var sigma = sigmasKnown ? 1 : estimated;

        // Residuals no larger than the rounding of the heights are no evidence of anything.
        var floor = 64 * Rounding.Unit * Math.Max(adjustment.HeightsUm.Max(Math.Abs), observations.Max(o => Math.Abs(o.RiseUm)));
        var doubtful = ImmutableArray.CreateBuilder<DoubtfulObservation>();
        for (var i = 0; i < observations.Count; i++)
        {
            double residual = adjustment.ResidualsUm[i], redundancy = adjustment.Redundancy[i];
            if (redundancy <= NoRedundancy || Math.Abs(residual) <= floor || sigma == 0)
                continue;
            var test = residual * Math.Sqrt(observations[i].Weight / redundancy) / sigma;
            if (Math.Abs(test) > critical)
                doubtful.Add(new DoubtfulObservation(i, test, critical));
        }

        return doubtful.ToImmutable();
    }
}
