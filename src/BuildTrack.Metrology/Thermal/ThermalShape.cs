namespace BuildTrack.Metrology.Thermal;

/// <summary>How far a part is longer than at 20 °C, and what is uncertain of that.</summary>
/// <param name="ChangeUm">Length at the temperature less length at 20 °C, µm.</param>
/// <param name="TemperatureTermUm">Standard uncertainty from the temperature, µm.</param>
/// <param name="ExpansionTermUm">Standard uncertainty from the coefficient of expansion, µm.</param>
public sealed record LengthChange(double ChangeUm, double TemperatureTermUm, double ExpansionTermUm)
{
    /// <summary>Root of the sum of both squares, µm.</summary>
    public double StandardUncertaintyUm => Math.Sqrt((TemperatureTermUm * TemperatureTermUm) + (ExpansionTermUm * ExpansionTermUm));
}

/// <summary>How far a bed bows that is warmer above than below.</summary>
/// <param name="BowUm">Height of the middle over the line through both ends, µm; positive: the middle stands high, where the top is the warmer one.</param>
/// <param name="BowUmPerK">The same for one kelvin between top and bottom, µm per K.</param>
/// <param name="StandardUncertaintyUm">From the uncertainty of the difference of temperature, µm.</param>
public sealed record GradientBow(double BowUm, double BowUmPerK, double StandardUncertaintyUm)
{
    /// <summary>The difference of temperature at which the bow reaches a share of a limit, K.</summary>
    /// <param name="shareUm">What the bow may take, µm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not above zero.</exception>
    public TemperatureDifference Allowed(double shareUm) => TemperatureDifference.FromKelvins(Guard.FinitePositive(shareUm, nameof(shareUm)) / BowUmPerK);
}

/// <summary>Length and bow of steel parts by temperature.</summary>
/// <remarks>Formulas, sources and limits: docs/method/thermal.md.</remarks>
public static class ThermalShape
{
    /// <summary>Coefficient of expansion of steel where none is given, 10⁻⁶ per K (the same in µm per m and K).</summary>
    public const double SteelPerMillionPerK = 11.5;

    /// <summary>Coldest temperature of a part that is taken, °C.</summary>
    public const double ColdestCelsius = -50;

    /// <summary>Warmest temperature of a part that is taken, °C; a thermometer that shows kelvin is noticed.</summary>
    public const double WarmestCelsius = 250;

    /// <summary>Largest coefficient of expansion that is taken, 10⁻⁶ per K.</summary>
    public const double LargestPerMillionPerK = 100;

    /// <summary>Largest length that is taken, mm.</summary>
    public const double LargestMm = 1e6;

    /// <summary>Change of a length against 20 °C: L α (t − 20 °C).</summary>
    /// <param name="lengthMm">Length at 20 °C, mm.</param>
    /// <param name="temperature">Temperature of the part.</param>
    /// <param name="expansionPerMillionPerK">Coefficient of expansion, 10⁻⁶ per K.</param>
    /// <param name="temperatureUncertaintyK">Standard uncertainty of the temperature, K.</param>
    /// <param name="expansionUncertaintyPerMillionPerK">Standard uncertainty of the coefficient, 10⁻⁶ per K.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A length or coefficient not above zero or too large, a temperature outside −50 … 250 °C, a negative uncertainty.</exception>
    public static LengthChange Length(
        double lengthMm, Temperature temperature, double expansionPerMillionPerK, double temperatureUncertaintyK = 0, double expansionUncertaintyPerMillionPerK = 0)
    {
        var metres = Positive(lengthMm, LargestMm, nameof(lengthMm)) / 1000;
        Positive(expansionPerMillionPerK, LargestPerMillionPerK, nameof(expansionPerMillionPerK));
        Guard.FiniteNotNegative(temperatureUncertaintyK, nameof(temperatureUncertaintyK));
        Guard.FiniteNotNegative(expansionUncertaintyPerMillionPerK, nameof(expansionUncertaintyPerMillionPerK));
        var above = (OfPart(temperature, nameof(temperature)) - Temperature.Reference).Kelvins;
        return new LengthChange(
            Guard.Finite(metres * expansionPerMillionPerK * above, "change"),
            Guard.Finite(metres * expansionPerMillionPerK * temperatureUncertaintyK, "change"),
            Guard.Finite(metres * Math.Abs(above) * expansionUncertaintyPerMillionPerK, "change"));
    }

    /// <summary>Bow of a free beam from a gradient over its height: α ΔT L² / (8 h).</summary>
    /// <param name="lengthMm">Length, mm.</param>
    /// <param name="heightMm">Height over which the temperature was read, mm.</param>
    /// <param name="topLessBottom">Temperature of the top less that of the bottom.</param>
    /// <param name="expansionPerMillionPerK">Coefficient of expansion, 10⁻⁶ per K.</param>
    /// <param name="differenceUncertaintyK">Standard uncertainty of the difference, K.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A length, height or coefficient not above zero or too large, a negative uncertainty, a difference beyond 300 K.</exception>
    public static GradientBow Bow(
        double lengthMm, double heightMm, TemperatureDifference topLessBottom, double expansionPerMillionPerK, double differenceUncertaintyK = 0)
    {
        Positive(lengthMm, LargestMm, nameof(lengthMm));
        Positive(heightMm, LargestMm, nameof(heightMm));
        Positive(expansionPerMillionPerK, LargestPerMillionPerK, nameof(expansionPerMillionPerK));
        Guard.FiniteNotNegative(differenceUncertaintyK, nameof(differenceUncertaintyK));
        if (Math.Abs(topLessBottom.Kelvins) > WarmestCelsius - ColdestCelsius)
            Guard.ThrowOutOfRange(topLessBottom.Kelvins, nameof(topLessBottom), "within ±300 K");

        // 10⁻⁶ per K times mm² over mm is 10⁻⁶ mm: a thousandth of a micrometre.
        var perK = Guard.Finite(expansionPerMillionPerK * lengthMm * lengthMm / (8 * heightMm) / 1000, "bow");
        return new GradientBow(Guard.Finite(perK * topLessBottom.Kelvins, "bow"), perK, Guard.Finite(perK * differenceUncertaintyK, "bow"));
    }

    internal static Temperature OfPart(Temperature temperature, string name)
    {
        if (temperature.DegreesCelsius is < ColdestCelsius or > WarmestCelsius)
            Guard.ThrowOutOfRange(temperature.DegreesCelsius, name, "between -50 and 250 °C");
        return temperature;
    }

    private static double Positive(double value, double largest, string name)
    {
        if (Guard.FinitePositive(value, name) > largest || value < 1 / largest)
            Guard.ThrowOutOfRange(value, name, FormattableString.Invariant($"between {1 / largest:R} and {largest:R}"));
        return value;
    }
}
