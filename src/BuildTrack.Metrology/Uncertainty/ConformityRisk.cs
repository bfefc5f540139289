using BuildTrack.Metrology.Verdicts;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Integration;

namespace BuildTrack.Metrology.Uncertainty;

/// <summary>What a production and an inspection together do, each a part of all items.</summary>
/// <param name="ConsumerRisk">Global consumer's risk: not conforming and accepted all the same, dimensionless.</param>
/// <param name="ProducerRisk">Global producer's risk: conforming and rejected all the same, dimensionless.</param>
/// <param name="Conforming">Items whose true value is within the tolerance, dimensionless.</param>
/// <param name="Accepted">Items whose measured value is within the acceptance limits, dimensionless.</param>
public sealed record GlobalRisk(double ConsumerRisk, double ProducerRisk, double Conforming, double Accepted);

/// <summary>Risks of wrong decisions (JCGM 106:2012, clauses 8 and 9): of one item measured, and of all items of a production.</summary>
/// <remarks>Method, accuracy and limits: docs/method/uncertainty.md. All distributions are normal.</remarks>
public static class ConformityRisk
{
    /// <summary>How well global risks are calculated: within this of the true integral, dimensionless.</summary>
    public const double Accuracy = 1e-6;

    /// <summary>Largest ratio of σ and u, either way, that is taken, dimensionless.</summary>
    public const double LargestRatio = 1e6;

    // Beyond nine standard deviations the normal distribution holds 1e-19.
    private const double Reach = 9;

    private static readonly GaussLegendreRule Rule = new(-1, 1, 20);

    private static readonly double[] Steps = [-Reach, -6, -4, -2, 0, 2, 4, 6, Reach];

    /// <summary>Specific consumer's risk of an accepted item: probability that its true value is outside the limits.</summary>
    /// <param name="value">The measured value.</param>
    /// <param name="tolerance">One or two limits, unit of the value.</param>
    /// <param name="standardUncertainty">u, above zero, unit of the value.</param>
    /// <returns>1 − p_c, dimensionless, ten decimals.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, an upper limit below the lower.</exception>
    /// <exception cref="ArgumentOutOfRangeException">u not above zero.</exception>
    public static double Specific(double value, Conformity.Limits tolerance, double standardUncertainty)
    {
        Guard.Finite(value, nameof(value));
        Guard.FinitePositive(standardUncertainty, "standard uncertainty");
        Conformity.CheckLimits(tolerance);
        return Math.Round(1 - Conformity.Probability(value, tolerance, standardUncertainty), 10);
    }

    /// <summary>Acceptance limits with a guard band: upper limit less w, lower limit plus w; a negative w widens.</summary>
    /// <param name="tolerance">One or two limits.</param>
    /// <param name="guardBand">w, unit of the limits.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, or nothing is left between the acceptance limits.</exception>
    public static Conformity.Limits AcceptanceLimits(Conformity.Limits tolerance, double guardBand)
    {
        Conformity.CheckLimits(tolerance);
        Guard.Finite(guardBand, "guard band");
        var acceptance = new Conformity.Limits(tolerance.Upper - guardBand, tolerance.Lower + guardBand);
        Conformity.CheckLimits(acceptance);
        return acceptance;
    }

    /// <summary>Global risks of a normal production that is inspected with a normal error of measurement.</summary>
    /// <param name="processMean">Mean of the true values, unit of the values.</param>
    /// <param name="processSigma">Their standard deviation, above zero, unit of the values.</param>
    /// <param name="standardUncertainty">u of the measurement, above zero, unit of the values.</param>
    /// <param name="tolerance">Limits of the true value, unit of the values.</param>
    /// <param name="acceptance">Limits of the measured value, on the same sides as the tolerance, unit of the values.</param>
    /// <exception cref="ArgumentException">
    /// A number is NaN or infinite, no limit, limits in the wrong order, acceptance limits on other sides than the tolerance.
    /// </exception>
    /// <exception cref="ArgumentOutOfRangeException">σ or u not above zero, or beyond <see cref="LargestRatio"/> of each other.</exception>
    public static GlobalRisk Global(
        double processMean, double processSigma, double standardUncertainty, Conformity.Limits tolerance, Conformity.Limits acceptance)
    {
        Guard.Finite(processMean, "process mean");
        Guard.FinitePositive(processSigma, "process standard deviation");
        Guard.FinitePositive(standardUncertainty, "standard uncertainty");
        Conformity.CheckLimits(tolerance);
        Conformity.CheckLimits(acceptance);
        if (tolerance.Upper is null != acceptance.Upper is null || tolerance.Lower is null != acceptance.Lower is null)
            throw new ArgumentException(
                "The acceptance limits are on other sides than the limits of the tolerance; each limit of the one needs one of the other.", nameof(acceptance));
        var ratio = standardUncertainty / processSigma;
        if (ratio is not (>= 1 / LargestRatio and <= LargestRatio))
            Guard.ThrowOutOfRange(ratio, "standard uncertainty over process standard deviation", "between 10⁻⁶ and 10⁶");

        // In standard deviations of the process, from its mean.
        double low = Place(tolerance.Lower, -Reach), high = Place(tolerance.Upper, Reach);
        double acceptLow = Place(acceptance.Lower, double.NegativeInfinity), acceptHigh = Place(acceptance.Upper, double.PositiveInfinity);
        var edges = Edges(low, high, acceptLow, acceptHigh, ratio);
        double consumer = 0, producer = 0, accepted = 0;
        for (var i = 1; i < edges.Count; i++)
        {
            double middle = (edges[i] + edges[i - 1]) / 2, half = (edges[i] - edges[i - 1]) / 2, good = 0, bad = 0;
            for (var n = 0; n < Rule.Order; n++)
            {
                var z = middle + (half * Rule.GetAbscissa(n));
                var weight = half * Rule.GetWeight(n) * Quantiles.NormalDensity(z);
                var accept = Below((acceptHigh - z) / ratio) - Below((acceptLow - z) / ratio);
                good += weight * accept;
                bad += weight * (1 - accept);
            }

            accepted += good;
            if (middle > low && middle < high)
                producer += bad;
            else
                consumer += good;
        }

        var conforming = Conformity.Probability(processMean, tolerance, processSigma);
        return new GlobalRisk(Part(consumer), Part(producer), conforming, Part(accepted));

        double Place(double? limit, double without) => limit is { } given
            ? Guard.Finite((given - processMean) / processSigma, "limit in standard deviations of the process") : without;
    }

    /// <summary>Ends of the pieces that are integrated: each is short against the production and, where acceptance changes, against the uncertainty.</summary>
    private static List<double> Edges(double low, double high, double acceptLow, double acceptHigh, double ratio)
    {
        var edges = new SortedSet<double>(Steps) { Math.Clamp(low, -Reach, Reach), Math.Clamp(high, -Reach, Reach) };
        foreach (var limit in new[] { acceptLow, acceptHigh }.Where(double.IsFinite))
        {
            foreach (var step in Steps)
            {
                if (Math.Abs(limit + (step * ratio)) < Reach)
                    edges.Add(limit + (step * ratio));
            }
        }

        return [.. edges];
    }

    private static double Below(double z) => double.IsInfinity(z) ? (z > 0 ? 1 : 0) : Normal.CDF(0, 1, Math.Clamp(z, -40, 40));

    private static double Part(double value) => Rounding.ToSixDigits(Math.Round(Math.Clamp(value, 0, 1), 10));
}
