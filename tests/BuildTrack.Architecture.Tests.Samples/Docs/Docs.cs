namespace Samples.Docs;

public static class Numbers
{
    public const double Undocumented = 1;

    /// <summary>A figure from the book.</summary>
    public const double WithoutUnit = 2;

    /// <summary>Ratio of two widths, dimensionless.</summary>
    public const double Ratio = 3;

    /// <summary>Widens a band.</summary>
    /// <param name="band">The band.</param>
    /// <returns>The wider band, µm.</returns>
    public static double Widen(double band) => band;

    /// <summary>Widens a band; both in the unit of the limit.</summary>
    public static double WidenWell(double band) => band;

    public static double? Nothing(ReadOnlySpan<double> heightsUm) => null;

    public static int Counts(int n) => n;
}

/// <summary>A fit.</summary>
/// <param name="WidthUm">The width.</param>
/// <param name="Quality">How good it is.</param>
public sealed record Fit(double WidthUm, double Quality, double Forgotten);

/// <summary>Limits of a requirement, both in the unit of the value.</summary>
public sealed record LimitsWell(double? Upper);
