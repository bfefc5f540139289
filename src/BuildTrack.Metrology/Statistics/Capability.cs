using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Statistics;

/// <summary>How a process lies between its limits. All indices dimensionless.</summary>
/// <param name="Mean">Mean of the process, unit of the values.</param>
/// <param name="Sigma">Its standard deviation, unit of the values; 0 only with a defect.</param>
/// <param name="Cp">Width of the tolerance over six sigma, dimensionless; null with one limit.</param>
/// <param name="Cpk">The smaller of Cpu and Cpl, dimensionless.</param>
/// <param name="Cpu">Upper limit less mean over three sigma, dimensionless; null without upper limit.</param>
/// <param name="Cpl">Mean less lower limit over three sigma, dimensionless; null without lower limit.</param>
/// <param name="Cpm">Width of the tolerance over six times the spread about the target, dimensionless; null with one limit.</param>
/// <param name="K">Distance of the mean from the middle of the tolerance over half its width, dimensionless; null with one limit.</param>
/// <param name="Target">Target of Cpm, unit of the values; the middle of the tolerance where none was given; null with one limit.</param>
/// <param name="Count">How many values; null where mean and sigma were given.</param>
/// <param name="CpLow">Lower end of the 95 % interval of Cp, dimensionless; null where Cp or the number of values is not known.</param>
/// <param name="CpHigh">Its upper end, dimensionless.</param>
/// <param name="CpkLow">Lower end of the approximate 95 % interval of Cpk, dimensionless; null where the number of values is not known.</param>
/// <param name="CpkHigh">Its upper end, dimensionless.</param>
/// <param name="DefectSentence">Why there are no indices; null where there are.</param>
public sealed record CapabilityResult(
    double Mean, double Sigma, double? Cp, double? Cpk, double? Cpu, double? Cpl, double? Cpm, double? K, double? Target, int? Count, double? CpLow,
    double? CpHigh,
    double? CpkLow, double? CpkHigh, string? DefectSentence);

/// <summary>Capability of a process that is normal and in control (NIST/SEMATECH e-Handbook 6.1.6).</summary>
/// <remarks>Method, sources and limits: docs/method/statistics.md. Indices of few values are uncertain: the intervals say how much.</remarks>
public static class Capability
{
    /// <summary>Indices of values, by their mean and the standard deviation of all (divisor n − 1).</summary>
    /// <param name="values">Two or more, unit of the limits.</param>
    /// <param name="limits">One or two limits.</param>
    /// <param name="target">Target of Cpm, unit of the limits; null: middle of the tolerance.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, limits that leave no width.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A value beyond ±10¹², too many values.</exception>
    public static CapabilityResult OfValues(IReadOnlyList<double> values, Conformity.Limits limits, double? target = null)
    {
        var all = IndividualsChart.Checked(values);
        Check(limits, target);
        if (all.Length < 2)
            return Nothing(all.Length == 0 ? 0 : all[0], all.Length, "Fewer than two values have no standard deviation.");
        var moments = SquareSums.Of(all);
        var sigma = Math.Sqrt(moments.Squares / (all.Length - 1));
        if (sigma <= 1e-13 * Math.Abs(moments.Mean))
            return Nothing(moments.Mean, all.Length, "The values are all equal: their spread is not known, only that the resolution hides it.");
        var result = Of(moments.Mean, sigma, limits, target);
        var degrees = all.Length - 1;
        double low = Math.Sqrt(Quantiles.ChiSquare(0.025, degrees) / degrees), high = Math.Sqrt(Quantiles.ChiSquare(0.975, degrees) / degrees);
        var cpk = result.Cpk!.Value;
        var half = Quantiles.Normal975 * Math.Sqrt((1 / (9.0 * all.Length)) + (cpk * cpk / (2.0 * degrees)));
        return result with { Count = all.Length, CpLow = result.Cp * low, CpHigh = result.Cp * high, CpkLow = cpk - half, CpkHigh = cpk + half };
    }

    /// <summary>Indices of a known mean and standard deviation.</summary>
    /// <param name="mean">Unit of the limits.</param>
    /// <param name="sigma">Above zero, unit of the limits.</param>
    /// <param name="limits">One or two limits.</param>
    /// <param name="target">Target of Cpm, unit of the limits; null: middle of the tolerance.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, limits that leave no width.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Sigma not above zero.</exception>
    public static CapabilityResult Of(double mean, double sigma, Conformity.Limits limits, double? target = null)
    {
        Guard.Finite(mean, nameof(mean));
        Guard.FinitePositive(sigma, nameof(sigma));
        Check(limits, target);
        var (upper, lower) = ((limits.Upper - mean) / (3 * sigma), (mean - limits.Lower) / (3 * sigma));
        var nearer = upper is { } u && lower is { } l ? Math.Min(u, l) : (upper ?? lower)!.Value;
        var result = new CapabilityResult(mean, sigma, null, Index(nearer), Index(upper), Index(lower), null, null, null, null, null, null, null, null, null);
        if (limits is not { Upper: { } top, Lower: { } bottom })
            return result;
        var middle = bottom + ((top - bottom) / 2);
        var aim = target ?? middle;
        return result with
        {
            Cp = Index((top - bottom) / (6 * sigma)), K = Index(Math.Abs(middle - mean) / ((top - bottom) / 2)), Target = aim,
            Cpm = Index((top - bottom) / (6 * Math.Sqrt((sigma * sigma) + ((mean - aim) * (mean - aim))))),
        };
    }

    private static double? Index(double? value) => value is { } given ? Guard.Finite(given, "index of capability") : null;

    private static void Check(Conformity.Limits limits, double? target)
    {
        Conformity.CheckLimits(limits);
        if (limits.Upper <= limits.Lower)
            Guard.ThrowOutOfRange(limits.Upper!.Value, "upper limit", FormattableString.Invariant($"above the lower limit {limits.Lower:R}"));
        if (target is { } given)
        {
            Guard.Finite(given, nameof(target));
            if (limits.Upper is null || limits.Lower is null)
                throw new ArgumentException("A target was given with one limit; Cpm needs two.", nameof(target));
        }
    }

    private static CapabilityResult Nothing(double mean, int count, string sentence) =>
        new(mean, 0, null, null, null, null, null, null, null, count, null, null, null, null, sentence);
}
