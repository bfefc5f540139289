namespace BuildTrack.Metrology.Statistics;

/// <summary>Mean and sum of squares about it.</summary>
internal static class SquareSums
{
    /// <summary>Two passes about the first value, the second corrected: digits that all values share cost none.</summary>
    public static (double Mean, double Squares) Of(ReadOnlySpan<double> values)
    {
        double shift = values[0], sum = 0;
        foreach (var value in values)
            sum += value - shift;
        double mean = sum / values.Length, squares = 0, rest = 0;
        foreach (var value in values)
        {
            var away = value - shift - mean;
            squares += away * away;
            rest += away;
        }

        return (shift + mean, Math.Max(0, squares - (rest * rest / values.Length)));
    }
}
