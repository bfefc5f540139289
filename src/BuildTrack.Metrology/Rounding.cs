using System.Globalization;

namespace BuildTrack.Metrology;

/// <summary>What rounding does to a double, and what we do to keep it out of a verdict.</summary>
internal static class Rounding
{
    /// <summary>2⁻⁵², the spacing of doubles just above 1.</summary>
    public const double Unit = 2.220446049250313e-16;

    /// <summary>The value with six significant decimal digits, halves away from zero: the form in which quantiles are used and hashed.</summary>
    /// <remarks>Two machines may differ in the last bits of exp or pow; after this they agree.</remarks>
    public static double ToSixDigits(double value) =>
        double.Parse(value.ToString("E5", CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
}
