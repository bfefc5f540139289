using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Statistics;

/// <summary>One-way analysis of variance. Squares in the square of the unit of the values.</summary>
/// <param name="Groups">How many groups.</param>
/// <param name="Values">How many values in all.</param>
/// <param name="BetweenSquares">Sum of squares between the groups, square of the unit of the values.</param>
/// <param name="WithinSquares">Sum of squares within them, square of the unit of the values.</param>
/// <param name="BetweenDegrees">Groups less one.</param>
/// <param name="WithinDegrees">Values less groups.</param>
/// <param name="F">Mean square between over mean square within, dimensionless; null where the values within the groups do not differ.</param>
/// <param name="Probability">That as large an F comes by chance, dimensionless; null where F is.</param>
/// <param name="DefectSentence">Why there is no F; null where there is one.</param>
public sealed record OneWayResult(
    int Groups, int Values, double BetweenSquares, double WithinSquares, int BetweenDegrees, int WithinDegrees, double? F, double? Probability,
    string? DefectSentence)
{
    /// <summary>Sum of squares between over its degrees of freedom, square of the unit of the values.</summary>
    public double BetweenMeanSquare => BetweenSquares / BetweenDegrees;

    /// <summary>Sum of squares within over its degrees of freedom, square of the unit of the values.</summary>
    public double WithinMeanSquare => WithinSquares / WithinDegrees;

    /// <summary>Standard deviation within the groups, unit of the values.</summary>
    public double WithinSigma => Math.Sqrt(WithinMeanSquare);

    /// <summary>Part of the sum of squares that the groups explain, dimensionless; 0 where no value differs.</summary>
    public double ExplainedPart => BetweenSquares + WithinSquares == 0 ? 0 : BetweenSquares / (BetweenSquares + WithinSquares);
}

/// <summary>Do groups of values differ by more than their own spread? (NIST/SEMATECH e-Handbook 7.4.3.)</summary>
/// <remarks>Method and accuracy: docs/method/statistics.md.</remarks>
public static class OneWayAnalysis
{
    /// <summary>Analyses.</summary>
    /// <param name="groups">Two or more groups, each of one value or more, one of two or more; any one unit.</param>
    /// <exception cref="ArgumentException">Fewer than two groups, an empty group, no group with two values, NaN or infinity.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A value beyond ±10¹².</exception>
    public static OneWayResult Of(IReadOnlyList<IReadOnlyList<double>> groups)
    {
        ArgumentNullException.ThrowIfNull(groups);
        if (groups.Count < 2)
            throw new ArgumentException(FormattableString.Invariant($"There are {groups.Count} groups; a comparison needs two or more."), nameof(groups));
        var (means, counts) = (new double[groups.Count], new int[groups.Count]);
        double within = 0;
        for (var g = 0; g < groups.Count; g++)
        {
            var values = IndividualsChart.Checked(groups[g], FormattableString.Invariant($"groups[{g}]"));
            if (values.Length == 0)
                throw new ArgumentException(FormattableString.Invariant($"groups[{g}] is empty; each needs a value."), nameof(groups));
            (means[g], var squares) = SquareSums.Of(values);
            counts[g] = values.Length;
            within += squares;
        }

        var total = counts.Sum();
        if (total == groups.Count)
            throw new ArgumentException("No group has two values; the spread within the groups needs one that has.", nameof(groups));
        var between = Between(means, counts, total);
        var result = new OneWayResult(groups.Count, total, between, within, groups.Count - 1, total - groups.Count, null, null, null);
        if (within == 0)
            return result with { DefectSentence = "The values within each group are equal: there is no spread to compare the groups with." };
        var f = Guard.Finite(result.BetweenMeanSquare / result.WithinMeanSquare, "F");
        return result with { F = f, Probability = Quantiles.FisherTail(f, result.BetweenDegrees, result.WithinDegrees) };
    }

    private static double Between(double[] means, int[] counts, int total)
    {
        double sum = 0, squares = 0;
        for (var g = 0; g < means.Length; g++)
            sum += counts[g] * (means[g] - means[0]);
        var grand = sum / total;
        for (var g = 0; g < means.Length; g++)
            squares += counts[g] * (means[g] - means[0] - grand) * (means[g] - means[0] - grand);
        return squares;
    }
}
