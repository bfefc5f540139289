using System.Collections.Immutable;

namespace BuildTrack.Metrology.Statistics;

/// <summary>A chart of single values with its limits and signals. Values in the unit they were given in.</summary>
/// <param name="Count">How many values.</param>
/// <param name="LimitsFrom">From how many of the first values the limits come; 0 where they were given.</param>
/// <param name="Centre">Mean of those, unit of the values.</param>
/// <param name="Sigma">Mean moving range over 1.128, unit of the values; 0 only with a defect.</param>
/// <param name="UpperLimit">Centre plus three sigma, unit of the values.</param>
/// <param name="LowerLimit">Centre less three sigma, unit of the values.</param>
/// <param name="MeanMovingRange">Mean of the moving ranges the limits come from, unit of the values; null where the limits were given.</param>
/// <param name="MovingRangeLimit">3.267 times that mean, or 3.686 sigma where the limits were given, unit of the values.</param>
/// <param name="MovingRanges">Size of each step from one value to the next, unit of the values; one fewer than values.</param>
/// <param name="Signals">What the rules notice.</param>
/// <param name="MovingRangeSignals">Numbers, from 1, of the values that a step beyond its limit leads to.</param>
/// <param name="Remarks">What lessens the worth of the limits.</param>
/// <param name="DefectSentence">Why there is no chart; null where there is one.</param>
public sealed record IndividualsChartResult(
    int Count, int LimitsFrom, double Centre, double Sigma, double UpperLimit, double LowerLimit, double? MeanMovingRange, double MovingRangeLimit,
    ImmutableArray<double> MovingRanges, ImmutableArray<ChartSignal> Signals, ImmutableArray<int> MovingRangeSignals, ImmutableArray<string> Remarks,
    string? DefectSentence);

/// <summary>Individuals and moving-range chart (NIST/SEMATECH e-Handbook 6.3.2.2) with named run rules.</summary>
/// <remarks>Method, sources and limits: docs/method/statistics.md.</remarks>
public static class IndividualsChart
{
    /// <summary>Mean range of two standard normal values as the tables round it, dimensionless (2/√π = 1.12838).</summary>
    public const double D2 = 1.128;

    /// <summary>Upper limit of a range of two over its mean as the tables round it, dimensionless.</summary>
    public const double D4 = 3.267;

    /// <summary>Most values that are taken, a count, dimensionless.</summary>
    public const int MostValues = 1_000_000;

    /// <summary>Largest number that is taken, unit of the values.</summary>
    public const double LargestNumber = 1e12;

    private const int FewestForFirmLimits = 20;

    /// <summary>The rules of Champ and Woodall: beyond three, two of three, four of five, eight on one side.</summary>
    public static ImmutableArray<RunRule> UsualRules { get; } =
        [RunRule.BeyondThreeSigma, RunRule.TwoOfThreeBeyondTwoSigma, RunRule.FourOfFiveBeyondOneSigma, RunRule.EightOnOneSide];

    /// <summary>All rules.</summary>
    public static ImmutableArray<RunRule> AllRules => RunRules.All;

    /// <summary>Chart with limits from the values, or from the first of them.</summary>
    /// <param name="values">In order of time, any one unit.</param>
    /// <param name="rules">Null: <see cref="UsualRules"/>.</param>
    /// <param name="limitsFrom">How many of the first values give the limits, 2 or more; null: all.</param>
    /// <exception cref="ArgumentException">A value is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">
    /// A value beyond ±10¹², too many values, <paramref name="limitsFrom"/> not between 2 and their number.
    /// </exception>
    public static IndividualsChartResult Of(IReadOnlyList<double> values, IReadOnlyCollection<RunRule>? rules = null, int? limitsFrom = null)
    {
        var all = Checked(values);
        if (limitsFrom is { } asked && (asked < 2 || asked > all.Length))
            Guard.ThrowOutOfRange(asked, nameof(limitsFrom), FormattableString.Invariant($"from 2 to the number of values, {all.Length}"));
        if (all.Length < 2)
            return Nothing(all, "Fewer than two values have no moving range.");
        var from = limitsFrom ?? all.Length;
        var centre = MeanOf(all.AsSpan(0, from));
        var ranges = Ranges(all);
        var mean = MeanOf(ranges.AsSpan(0, from - 1));
        if (mean == 0)
            return Nothing(all, "The values that give the limits are all equal: there is no spread to tell a signal from.");
        ImmutableArray<string> remarks = from < FewestForFirmLimits
            ? [FormattableString.Invariant($"Limits from {from} values are provisional; {FewestForFirmLimits} or more make them firm.")]
            : [];
        return Chart(all, ranges, centre, mean / D2, D4 * mean, rules, remarks) with { LimitsFrom = from, MeanMovingRange = mean };
    }

    /// <summary>Chart with a centre and a standard deviation that are known.</summary>
    /// <param name="values">In order of time, unit of the values.</param>
    /// <param name="centre">Centre line, unit of the values.</param>
    /// <param name="sigma">Standard deviation of a single value, above zero, unit of the values.</param>
    /// <param name="rules">Null: <see cref="UsualRules"/>.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Sigma not above zero, a number beyond ±10¹², too many values.</exception>
    public static IndividualsChartResult OfKnown(IReadOnlyList<double> values, double centre, double sigma, IReadOnlyCollection<RunRule>? rules = null)
    {
        var all = Checked(values);
        Checked([centre], nameof(centre));
        if (Guard.FinitePositive(sigma, nameof(sigma)) is < 1 / LargestNumber or > LargestNumber)
            Guard.ThrowOutOfRange(sigma, nameof(sigma), "between 10⁻¹² and 10¹²");
        if (all.Length == 0)
            return Nothing(all, "There are no values.");
        return Chart(all, Ranges(all), centre, sigma, D4 * D2 * sigma, rules, []);
    }

    private static IndividualsChartResult Chart(
        double[] values, double[] ranges, double centre, double sigma, double rangeLimit, IReadOnlyCollection<RunRule>? rules, ImmutableArray<string> remarks)
    {
        var z = new double[values.Length];
        for (var i = 0; i < z.Length; i++)
            z[i] = Guard.Finite((values[i] - centre) / sigma, "value over standard deviation");
        return new IndividualsChartResult(
            values.Length, 0, centre, sigma, centre + (3 * sigma), centre - (3 * sigma), null, rangeLimit, [.. ranges],
            RunRules.Signals(z, rules ?? UsualRules),
            [.. Enumerable.Range(0, ranges.Length).Where(i => ranges[i] > rangeLimit * (1 + 1e-9)).Select(i => i + 2)], remarks, null);
    }

    private static IndividualsChartResult Nothing(double[] values, string sentence)
    {
        var centre = values.Length > 0 ? MeanOf(values) : 0;
        return new IndividualsChartResult(values.Length, 0, centre, 0, centre, centre, null, 0, [], [], [], [], sentence);
    }

    private static double[] Ranges(double[] values) => [.. values.Skip(1).Select((v, i) => Math.Abs(v - values[i]))];

    private static double MeanOf(ReadOnlySpan<double> values)
    {
        // About the first value, so that a large common part costs no digits.
        double sum = 0;
        foreach (var value in values)
            sum += value - values[0];
        return values[0] + (sum / values.Length);
    }

    internal static double[] Checked(IReadOnlyList<double> values, string name = "values")
    {
        ArgumentNullException.ThrowIfNull(values);
        if (values.Count > MostValues)
            Guard.ThrowOutOfRange(values.Count, "number of " + name, "at most 1 000 000");
        double[] all = [.. values];
        Guard.Finite(all, name);
        for (var i = 0; i < all.Length; i++)
        {
            if (Math.Abs(all[i]) > LargestNumber)
                Guard.ThrowOutOfRange(all[i], FormattableString.Invariant($"{name}[{i}]"), "within ±10¹²");
        }

        return all;
    }
}
