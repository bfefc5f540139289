using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Thermal;

/// <summary>What a comparison of temperature probes on one block tells.</summary>
/// <param name="OffsetsK">Mean of each probe less the mean of all, K; taken out of what the probe reads later.</param>
/// <param name="ScatterK">Standard deviation of one reading of one probe, offsets and drift of the block taken out, K.</param>
/// <param name="DegreesOfFreedom">Of the scatter, a whole number, dimensionless.</param>
/// <param name="CoverageFactor">Two-sided 95.45 % factor for the effective degrees of freedom, dimensionless; 2 or more.</param>
/// <param name="DifferenceExpandedK">Expanded uncertainty of the difference of two probes with their offsets taken out, K.</param>
public sealed record ProbeComparisonResult(
    ImmutableArray<double> OffsetsK, double ScatterK, int DegreesOfFreedom, double CoverageFactor, double DifferenceExpandedK)
{
    /// <summary>Standard uncertainty of that difference, K.</summary>
    public double DifferenceStandardK => DifferenceExpandedK / CoverageFactor;
}

/// <summary>Temperature probes held on one block: their offsets, and how well a difference of two of them is known.</summary>
public static class ProbeComparison
{
    /// <summary>Share of the values that an expanded uncertainty covers, dimensionless: that of k = 2.</summary>
    private const double Coverage = 0.9545;

    /// <summary>Compares probes: a table of two ways, probe by repeat, without interaction.</summary>
    /// <remarks>Method: docs/method/thermal.md. The mean of each repeat takes the drift of the block out. A reading carries the scatter and the step of
    /// the display, d/√12; a later difference carries both once more for each of the two offsets.</remarks>
    /// <param name="readings">°C, one row for each probe, one column for each repeat; two of both or more.</param>
    /// <param name="stepK">Step of the display, K.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, or the rows differ in length.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than two probes or repeats, a step not above zero, a temperature outside −50 … 250 °C.</exception>
    public static ProbeComparisonResult Of(IReadOnlyList<IReadOnlyList<Temperature>> readings, double stepK)
    {
        ArgumentNullException.ThrowIfNull(readings);
        Guard.FinitePositive(stepK, nameof(stepK));
        var (probes, repeats) = (readings.Count, readings.Count == 0 ? 0 : readings[0].Count);
        if (probes < 2 || repeats < 2)
            Guard.ThrowOutOfRange(Math.Min(probes, repeats), nameof(readings), "at least 2 probes and 2 repeats");
        var first = readings[0][0].DegreesCelsius;
        var means = new double[probes];
        var repeatMeans = new double[repeats];
        for (var i = 0; i < probes; i++)
        {
            if (readings[i].Count != repeats)
                throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"readings[{i}] has {readings[i].Count} readings, the first probe {repeats}"), nameof(readings));
            for (var j = 0; j < repeats; j++)
            {
                // From the first reading on: differences of hundredths keep their digits.
                var above = ThermalShape.OfPart(readings[i][j], string.Create(CultureInfo.InvariantCulture, $"readings[{i}][{j}]")).DegreesCelsius - first;
                means[i] += above / repeats;
                repeatMeans[j] += above / probes;
            }
        }

        var mean = means.Sum() / probes;
        var squares = 0.0;
        for (var i = 0; i < probes; i++)
        {
            for (var j = 0; j < repeats; j++)
            {
                var rest = readings[i][j].DegreesCelsius - first - means[i] - repeatMeans[j] + mean;
                squares += rest * rest;
            }
        }

        var freedom = (probes - 1) * (repeats - 1);
        var variance = squares / freedom;
        var step = stepK * stepK / 12;
        var factor = Factor(variance, step, freedom);
        var expanded = factor * Math.Sqrt(2 * (variance + step) * (1 + (1.0 / repeats)));
        return new ProbeComparisonResult([.. means.Select(m => m - mean)], Math.Sqrt(variance), freedom, factor, Guard.Finite(expanded, "difference"));
    }

    /// <summary>Effective degrees of freedom by GUM G.4: the step has any number of them.</summary>
    private static double Factor(double variance, double step, int freedom)
    {
        var share = variance / (variance + step);
        var effective = share == 0 ? double.PositiveInfinity : freedom / (share * share);
        return effective > 1e6 ? Quantiles.TwoSided(Coverage) : Quantiles.TwoSided(Coverage, effective);
    }
}
