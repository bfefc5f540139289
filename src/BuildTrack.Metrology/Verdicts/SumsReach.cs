using System.Collections.Immutable;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Weighted sums of the readings of one line. What the group says is the largest of them less the smallest, or the one of largest size.</summary>
/// <param name="Rows">Weights, one array for each sum, one weight for each reading; unit of the result over unit of a reading.</param>
/// <param name="Range">True: largest less smallest sum. False: largest size of a sum.</param>
public sealed record SumGroup(ImmutableArray<ImmutableArray<double>> Rows, bool Range);

/// <summary>Readings that carry independent noise, and the groups of sums that are formed from them: one line of stations.</summary>
/// <param name="Readings">How many readings the line has, a whole number, dimensionless.</param>
/// <param name="Groups">One group or more: the whole line, or every window of it.</param>
public sealed record SumLine(int Readings, ImmutableArray<SumGroup> Groups);

/// <summary>The largest group of all lines.</summary>
/// <param name="Value">Its value, unit of the result.</param>
/// <param name="Line">Index of the line, dimensionless.</param>
/// <param name="Group">Index of the group in its line, dimensionless.</param>
/// <param name="High">Index of the row that is largest (or of largest size), dimensionless.</param>
/// <param name="Low">Index of the row that is smallest; null where the group takes the size of one row. Dimensionless.</param>
/// <param name="Weights">The weights on the readings of that line whose sum is the value; unit of the result over unit of a reading.</param>
public sealed record LargestSum(double Value, int Line, int Group, int High, int? Low, ImmutableArray<double> Weights);

/// <summary>Reaches of results that are the largest of many weighted sums of readings: straightness from a stepped level, cross-level, twist, gauge variation.</summary>
/// <remarks>
/// <para>The general case of docs/method/verdict.md: R = max of c·m over a known set of weights c. Acceptance needs 1.6449 s + B with
/// s = σ · largest |c|, rejection by one run alone Q97.5[R(e)] + B, rejection by the weights of one run on the readings of another 1.960 σ |c| + B.</para>
/// <para>A minimum zone lies below the range of the residuals of least squares for the same noise, and every one of its weights is a mean of
/// differences of such residuals: the rows of least squares serve it too, and only widen the reach below.</para>
/// </remarks>
public static class SumsReach
{
    private const int FewestTrials = 100;

    /// <summary>The largest group.</summary>
    /// <param name="lines">Lines with their groups.</param>
    /// <param name="readings">The readings of each line, in the order of its weights; unit of a reading.</param>
    /// <exception cref="ArgumentException">No line, no row, other lengths than the lines have, or a number that is NaN or infinite.</exception>
    public static LargestSum Largest(IReadOnlyList<SumLine> lines, IReadOnlyList<IReadOnlyList<double>> readings)
    {
        Check(lines);
        ArgumentNullException.ThrowIfNull(readings);
        Guard.SameLength(readings.Count, nameof(readings), lines.Count, nameof(lines));
        LargestSum? largest = null;
        for (var l = 0; l < lines.Count; l++)
        {
            double[] values = [.. readings[l]];
            Guard.Finite(values, nameof(readings));
            Guard.SameLength(values.Length, nameof(readings), lines[l].Readings, nameof(lines));
            for (var g = 0; g < lines[l].Groups.Length; g++)
            {
                var group = lines[l].Groups[g];
                var (value, high, low) = Of(group, values);
                if (largest is null || value > largest.Value)
                    largest = new LargestSum(Guard.Finite(value, "weights times readings"), l, g, high, low, Weights(group, values, high, low));
            }
        }

        return largest!;
    }

    /// <summary>The reaches, unit of the result.</summary>
    /// <param name="lines">Lines with their groups.</param>
    /// <param name="sigma">Standard uncertainty of one reading in the mean, already divided by the square root of the number of passes planned; unit of a reading.</param>
    /// <param name="common">B, zero or more, unit of the result.</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials; 10⁴ give the quantile to about 1 %.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigma"/>; null where it is known, not estimated. Then t takes the place of the normal factor,
    /// and every trial is divided by √(χ²/ν): one estimate serves all readings.</param>
    /// <exception cref="ArgumentException">No line, no row, rows of another length than the line has readings, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, fewer than 100 trials, degrees of freedom below 1.</exception>
    public static ZoneReach Of(
        IReadOnlyList<SumLine> lines, double sigma, double common, ulong seed = PlaneReach.DefaultSeed, int trials = PlaneReach.DefaultTrials, double? degreesOfFreedom = null)
    {
        Check(lines);
        Guard.FiniteNotNegative(sigma, nameof(sigma));
        Guard.FiniteNotNegative(common, nameof(common));
        if (trials < FewestTrials)
            Guard.ThrowOutOfRange(trials, nameof(trials), "100 or more");
        var size = sigma * lines.Max(LargestLength);
        var noise = sigma == 0 ? 0 : sigma * Quantile(lines, seed, trials, Quantiles.WholeDegrees(degreesOfFreedom));
        return new ZoneReach((Quantiles.OneSided95(degreesOfFreedom) * size) + common, noise + common, size, noise, common);
    }

    /// <summary>What the weights of one run give on the readings of another.</summary>
    /// <param name="weights">Weights, unit of the result over unit of a reading.</param>
    /// <param name="readings">Readings of the other run at the same places, unit of a reading.</param>
    /// <exception cref="ArgumentException">Different lengths, or a number that is NaN or infinite.</exception>
    public static double Sum(ReadOnlySpan<double> weights, ReadOnlySpan<double> readings)
    {
        Guard.Finite(weights, nameof(weights));
        Guard.Finite(readings, nameof(readings));
        Guard.SameLength(readings.Length, nameof(readings), weights.Length, nameof(weights));
        return Guard.Finite(Dot(weights, readings), "weights times readings");
    }

    /// <summary>1.960 σ |c| + B, unit of the result.</summary>
    /// <param name="weights">Weights of the run that chose the places.</param>
    /// <param name="sigma">Standard uncertainty of one reading of <em>one</em> other run, unit of a reading.</param>
    /// <param name="common">B, unit of the result.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <param name="degreesOfFreedom">Of <paramref name="sigma"/>; null where it is known.</param>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, degrees of freedom below 1.</exception>
    public static double RejectBand(ReadOnlySpan<double> weights, double sigma, double common, double? degreesOfFreedom = null)
    {
        Guard.Finite(weights, nameof(weights));
        Guard.FiniteNotNegative(sigma, nameof(sigma));
        Guard.FiniteNotNegative(common, nameof(common));
        return (Quantiles.OneSided975(degreesOfFreedom) * sigma * Math.Sqrt(Dot(weights, weights))) + common;
    }

    /// <summary>The most that rounding can move the largest group: every reading off by half a digit, each the way that its weight asks for. Unit of the result.</summary>
    /// <param name="lines">Lines with their groups.</param>
    /// <param name="digit">The digit that is read, zero or more, unit of a reading.</param>
    /// <exception cref="ArgumentException">No line, no row, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A digit below zero.</exception>
    public static double LargestRounding(IReadOnlyList<SumLine> lines, double digit)
    {
        Check(lines);
        return Guard.FiniteNotNegative(digit, nameof(digit)) / 2 * lines.Max(l => Largest(l, squares: false));
    }

    private static double Quantile(IReadOnlyList<SumLine> lines, ulong seed, int trials, int? degrees)
    {
        var source = new Chance.SeededSource(seed);
        var values = new double[trials];
        var noise = lines.Select(l => new double[l.Readings]).ToArray();
        for (var trial = 0; trial < trials; trial++)
        {
            var largest = 0.0;
            for (var l = 0; l < lines.Count; l++)
            {
                for (var i = 0; i < noise[l].Length; i++)
                    noise[l][i] = source.NextNormal();
                foreach (var group in lines[l].Groups)
                    largest = Math.Max(largest, Of(group, noise[l]).Value);
            }

            values[trial] = degrees is { } whole ? largest / Math.Sqrt(source.NextChiSquare(whole) / whole) : largest;
        }

        Array.Sort(values);
        return Rounding.ToSixDigits(values[Math.Min((int)Math.Ceiling(0.975 * trials), trials) - 1]);
    }

    internal static (double Value, int High, int? Low) Of(SumGroup group, ReadOnlySpan<double> readings)
    {
        int high = 0, low = 0;
        double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        for (var r = 0; r < group.Rows.Length; r++)
        {
            var sum = Dot(group.Rows[r].AsSpan(), readings);
            if (!group.Range)
                sum = Math.Abs(sum);
            if (sum > top)
                (top, high) = (sum, r);
            if (sum < bottom)
                (bottom, low) = (sum, r);
        }

        return group.Range ? (top - bottom, high, low) : (top, high, null);
    }

    private static ImmutableArray<double> Weights(SumGroup group, ReadOnlySpan<double> readings, int high, int? low)
    {
        if (low is { } least)
            return [.. group.Rows[high].Zip(group.Rows[least], (h, l) => h - l)];
        var sign = Dot(group.Rows[high].AsSpan(), readings) < 0 ? -1 : 1;
        return [.. group.Rows[high].Select(w => sign * w)];
    }

    /// <summary>Largest |c| over all weights a line can give.</summary>
    internal static double LargestLength(SumLine line) => Math.Sqrt(Largest(line, squares: true));

    /// <summary>Largest sum of squares or of sizes of single weights, over all weights a line can give: differences of two rows, or rows themselves.</summary>
    private static double Largest(SumLine line, bool squares)
    {
        var largest = 0.0;
        foreach (var group in line.Groups)
        {
            for (var i = 0; i < group.Rows.Length; i++)
            {
                for (var j = group.Range ? i + 1 : -1; j < (group.Range ? group.Rows.Length : 0); j++)
                {
                    double sum = 0;
                    for (var k = 0; k < line.Readings; k++)
                    {
                        var weight = group.Rows[i][k] - (j < 0 ? 0 : group.Rows[j][k]);
                        sum += squares ? weight * weight : Math.Abs(weight);
                    }

                    largest = Math.Max(largest, sum);
                }
            }
        }

        return largest;
    }

    internal static double Dot(ReadOnlySpan<double> weights, ReadOnlySpan<double> readings)
    {
        double sum = 0;
        for (var i = 0; i < weights.Length; i++)
            sum += weights[i] * readings[i];
        return sum;
    }

    internal static void Check(IReadOnlyList<SumLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        if (lines.Count == 0 || lines.Any(l => l.Groups.IsEmpty || l.Groups.Any(g => g.Rows.IsEmpty)))
            throw new ArgumentException("There is no sum to be formed.", nameof(lines));
        foreach (var row in lines.SelectMany(l => l.Groups.SelectMany(g => g.Rows.Select(r => (l.Readings, Row: r)))))
        {
            Guard.SameLength(row.Row.Length, nameof(lines), row.Readings, "readings");
            Guard.Finite(row.Row.AsSpan(), nameof(lines));
        }
    }
}
