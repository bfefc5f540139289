using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Commissioning;

/// <summary>Dew point of the air, and how far a coolant stands above it.</summary>
/// <param name="DewPoint">Dew point over water, °C.</param>
/// <param name="StandardUncertaintyK">Of the dew point, from those of temperature and humidity, K.</param>
/// <param name="MarginK">Coolant less dew point, K; null where no coolant was given.</param>
/// <param name="Decision">Margin against the least margin; null where no coolant was given.</param>
public sealed record DewPointResult(Temperature DewPoint, double StandardUncertaintyK, double? MarginK, Conformity.Decision? Decision);

/// <summary>Dew point by the Magnus formula with the coefficients 17.62 and 243.12 °C, over water.</summary>
/// <remarks>Method and sources: docs/method/commissioning.md.</remarks>
public static class DewPoint
{
    /// <summary>Coldest air that is taken, °C: below it water would be ice.</summary>
    public const double ColdestCelsius = -45;

    /// <summary>Warmest air that is taken, °C: to there the coefficients hold.</summary>
    public const double WarmestCelsius = 60;

    private const double A = 17.62, B = 243.12;

    /// <summary>The dew point, and the margin of a coolant above it.</summary>
    /// <param name="air">Temperature of the air, °C.</param>
    /// <param name="humidityPercent">Relative humidity, %, 1 to 100.</param>
    /// <param name="coolant">Temperature of the coolant, °C; null for the dew point alone.</param>
    /// <param name="leastMarginK">How far it must stand above the dew point, K, zero or more.</param>
    /// <param name="airUncertaintyK">Standard uncertainty of the air's temperature, K, zero or more.</param>
    /// <param name="humidityUncertaintyPercent">Standard uncertainty of the humidity, %, zero or more.</param>
    /// <param name="coolantUncertaintyK">Standard uncertainty of the coolant's temperature, K, zero or more.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static DewPointResult Of(
        Temperature air, double humidityPercent, Temperature? coolant = null, double leastMarginK = 2, double airUncertaintyK = 0, double humidityUncertaintyPercent = 0,
        double coolantUncertaintyK = 0)
    {
        var celsius = air.DegreesCelsius;
        if (celsius is < ColdestCelsius or > WarmestCelsius)
            Guard.ThrowOutOfRange(celsius, nameof(air), "from -45 to 60 °C");
        if (Guard.Finite(humidityPercent, nameof(humidityPercent)) is < 1 or > 100)
            Guard.ThrowOutOfRange(humidityPercent, nameof(humidityPercent), "from 1 to 100 %");
        Guard.FiniteNotNegative(leastMarginK, nameof(leastMarginK));
        Guard.FiniteNotNegative(airUncertaintyK, nameof(airUncertaintyK));
        Guard.FiniteNotNegative(humidityUncertaintyPercent, nameof(humidityUncertaintyPercent));
        Guard.FiniteNotNegative(coolantUncertaintyK, nameof(coolantUncertaintyK));

        var g = Math.Log(humidityPercent / 100) + (A * celsius / (B + celsius));
        var dew = humidityPercent == 100 ? celsius : B * g / (A - g);
        var slope = A * B / ((A - g) * (A - g));
        var (byAir, byHumidity) = (slope * A * B / ((B + celsius) * (B + celsius)), slope / humidityPercent);
        var (fromAir, fromHumidity) = (byAir * airUncertaintyK, byHumidity * humidityUncertaintyPercent);
        var uncertainty = Math.Sqrt((fromAir * fromAir) + (fromHumidity * fromHumidity));
        var result = new DewPointResult(Temperature.FromDegreesCelsius(dew), uncertainty, null, null);
        if (coolant is not { } set)
            return result;
        var (margin, band) = (set.DegreesCelsius - dew, 2 * Math.Sqrt((uncertainty * uncertainty) + (coolantUncertaintyK * coolantUncertaintyK)));
        return result with { MarginK = margin, Decision = Conformity.Decide(margin, new Conformity.Limits(null, leastMarginK), band, band) };
    }
}
