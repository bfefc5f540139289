using MathNet.Numerics;
using MathNet.Numerics.Distributions;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Coverage factors of the verdict rules, to the digits in which they are used and hashed.</summary>
public static class Quantiles
{
    /// <summary>95 % one-sided, normal distribution, as the rules state it; dimensionless.</summary>
    public const double Normal95 = 1.6449;

    /// <summary>97.5 % one-sided, normal distribution, as the rules state it; dimensionless.</summary>
    public const double Normal975 = 1.960;

    /// <summary>Factor for 95 % on one side: 1.6449, or Student's t where the standard uncertainty is itself an estimate.</summary>
    /// <param name="degreesOfFreedom">Null: known without doubt. Else 1 or more; a fraction is cut to the next lower whole number (GUM G.4).</param>
    /// <returns>A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentOutOfRangeException">Below one.</exception>
    public static double OneSided95(double? degreesOfFreedom = null) => Factor(0.95, Normal95, degreesOfFreedom);

    /// <summary>Factor for 97.5 % on one side: 1.960, or Student's t.</summary>
    /// <inheritdoc cref="OneSided95"/>
    public static double OneSided975(double? degreesOfFreedom = null) => Factor(0.975, Normal975, degreesOfFreedom);

    /// <summary>O'Brien's and Fleming's bound for two looks, 2.5 % on one side in all: on the sum of both measurements over its standard deviation.</summary>
    /// <remarks>P. C. O'Brien, T. R. Fleming, Biometrics 35 (1979); the four digits as tabulated by C. Jennison and B. W. Turnbull (2000), from memory. A test integrates the two normals.</remarks>
    public const double TwoLooks = 1.977;

    /// <summary>
    /// Factor for the mean of measurements that is looked at after the first and after the second: both looks together are wrong in 2.5 %. Further
    /// measurements enter the mean and leave the factor at that of the second.
    /// </summary>
    /// <param name="measurements">How many entered the mean, one or more.</param>
    /// <param name="degreesOfFreedom">Of σ. Null: known without doubt; else Student's t at the same probability of either look.</param>
    /// <returns>To be multiplied by σ of one measurement: 2.79590 after the first, 1.39795 after the second. A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentOutOfRangeException">No measurement, degrees of freedom below one.</exception>
    public static double OfLook(int measurements, double? degreesOfFreedom = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(measurements, 1);
        var bound = measurements == 1 ? TwoLooks * Math.Sqrt(2) : TwoLooks;
        var factor = Factor(Rounding.ToSixDigits(Normal.CDF(0, 1, bound)), bound, degreesOfFreedom);
        return Rounding.ToSixDigits(measurements == 1 ? factor : factor / Math.Sqrt(2));
    }

    /// <summary>
    /// Factor of an interval that covers a probability on both sides together: of the normal distribution, or Student's t_p(ν) (GUM, table G.2).
    /// </summary>
    /// <param name="probability">Between 0 and 1, dimensionless.</param>
    /// <param name="degreesOfFreedom">Null: infinite. Else 1 or more; a fraction is cut to the next lower whole number.</param>
    /// <returns>A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentException">NaN.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A probability not between 0 and 1, degrees of freedom below one.</exception>
    public static double TwoSided(double probability, double? degreesOfFreedom = null)
    {
        if (Guard.Finite(probability, nameof(probability)) is <= 0 or >= 1)
            Guard.ThrowOutOfRange(probability, nameof(probability), "between 0 and 1");
        var side = (1 + probability) / 2;
        return Rounding.ToSixDigits(WholeDegrees(degreesOfFreedom) is { } whole ? StudentT.InvCDF(0, 1, whole, side) : Normal.InvCDF(0, 1, side));
    }

    /// <summary>Quantile of the χ² distribution.</summary>
    /// <param name="probability">Between 0 and 1, dimensionless.</param>
    /// <param name="degreesOfFreedom">One or more.</param>
    /// <returns>A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentException">NaN.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A probability not between 0 and 1, degrees of freedom below one.</exception>
    public static double ChiSquare(double probability, int degreesOfFreedom)
    {
        if (Guard.Finite(probability, nameof(probability)) is <= 0 or >= 1)
            Guard.ThrowOutOfRange(probability, nameof(probability), "between 0 and 1");
        ArgumentOutOfRangeException.ThrowIfLessThan(degreesOfFreedom, 1);
        return Rounding.ToSixDigits(ChiSquared.InvCDF(degreesOfFreedom, probability));
    }

    /// <summary>Probability that a ratio of two variances of one normal distribution exceeds a value by chance (R. A. Fisher's F).</summary>
    /// <param name="ratio">F, zero or more, dimensionless.</param>
    /// <param name="above">Degrees of freedom of the variance above the line, one or more.</param>
    /// <param name="below">Those of the variance below it.</param>
    /// <returns>A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative ratio, degrees of freedom below one.</exception>
    public static double FisherTail(double ratio, int above, int below)
    {
        Guard.FiniteNotNegative(ratio, nameof(ratio));
        ArgumentOutOfRangeException.ThrowIfLessThan(above, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(below, 1);

        // The tail itself, not one less the rest: a small probability keeps its digits.
        return Rounding.ToSixDigits(SpecialFunctions.BetaRegularized(below / 2.0, above / 2.0, below / (below + (above * ratio))));
    }

    /// <summary>Density of the standard normal distribution at a place.</summary>
    /// <param name="z">Standard deviations from the mean, dimensionless.</param>
    /// <returns>A pure number, six significant digits.</returns>
    internal static double NormalDensity(double z) => Rounding.ToSixDigits(Math.Exp(-z * z / 2) / Math.Sqrt(2 * Math.PI));

    /// <summary>Quantile of the largest of some independent standard normals: Φ⁻¹(p^(1/n)).</summary>
    /// <param name="count">How many, one or more, dimensionless.</param>
    /// <param name="probability">p, between 0.5 and 1, dimensionless.</param>
    /// <param name="degreesOfFreedom">Null: known without doubt. Else Student's t takes the place of Φ, on the safe side as in <see cref="LargestOf975"/>.</param>
    /// <returns>A pure number, six significant digits.</returns>
    internal static double LargestOf(int count, double probability, double? degreesOfFreedom = null)
    {
        var each = Math.Exp(Math.Log(probability) / count);
        return Rounding.ToSixDigits(WholeDegrees(degreesOfFreedom) is { } whole ? StudentT.InvCDF(0, 1, whole, each) : Normal.InvCDF(0, 1, each));
    }

    /// <summary>97.5 % quantile of the largest of <paramref name="count"/> independent standard normals: Φ⁻¹(0.975^(1/n)).</summary>
    /// <remarks>With degrees of freedom Student's t takes the place of Φ. The n values then share one estimated uncertainty, which makes the true
    /// quantile smaller: the figure is on the safe side.</remarks>
    /// <param name="count">One or more.</param>
    /// <param name="degreesOfFreedom">Null: known without doubt.</param>
    /// <returns>A pure number, six significant digits.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A count or degrees of freedom below one.</exception>
    public static double LargestOf975(int count, double? degreesOfFreedom = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        return count == 1 ? OneSided975(degreesOfFreedom) : LargestOf(count, 0.975, degreesOfFreedom);
    }

    /// <summary>Degrees of freedom as used: whole, cut downward.</summary>
    /// <exception cref="ArgumentException">NaN.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Below one.</exception>
    internal static int? WholeDegrees(double? degreesOfFreedom)
    {
        if (degreesOfFreedom is not { } given || double.IsPositiveInfinity(given))
            return null;
        Guard.Finite(given, nameof(degreesOfFreedom));
        if (given < 1)
            Guard.ThrowOutOfRange(given, nameof(degreesOfFreedom), "1 or more");
        return (int)Math.Min(Math.Floor(given), 1e6);
    }

    private static double Factor(double probability, double normal, double? degreesOfFreedom) =>
        WholeDegrees(degreesOfFreedom) is { } whole
            ? Math.Max(normal, Rounding.ToSixDigits(StudentT.InvCDF(0, 1, whole, probability)))
            : normal;
}
