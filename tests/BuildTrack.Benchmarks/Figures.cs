using System.Globalization;

namespace BuildTrack.Benchmarks;

/// <summary>Medians, and the lines of the tables.</summary>
internal static class Figures
{
    public static double Median(IEnumerable<double> values) => Quantile(values, 0.5);

    /// <summary>The value below which a share of the others lies; between two values, the upper one.</summary>
    public static double Quantile(IEnumerable<double> values, double share)
    {
        var sorted = values.Order().ToList();
        return sorted[Math.Min(sorted.Count - 1, (int)(share * sorted.Count))];
    }

    public static string Ms(TimeSpan time) => Ms(time.TotalMilliseconds);

    public static string Ms(double milliseconds) => milliseconds.ToString(milliseconds < 10 ? "0.00" : "0", CultureInfo.InvariantCulture) + " ms";

    public static void Line(params (string Text, int Width)[] cells) => Console.WriteLine(string.Concat(cells.Select(c => c.Width < 0 ? c.Text.PadRight(-c.Width) : c.Text.PadLeft(c.Width))).TrimEnd());
}
