namespace BuildTrack.Metrology.Commissioning;

/// <summary>What a closed line lost in a leak test, with the part that only its temperature took away left out.</summary>
/// <remarks>
/// The gas law at constant volume: the same gas at another temperature has p2 = p1 T2/T1, both absolute. What is measured below that has leaked. Nitrogen at 30 bar departs from the law by
/// about 0.03 % for each kelvin (second virial coefficient, from memory). Method and sources: docs/method/commissioning.md.
/// </remarks>
public static class PressureDrop
{
    /// <summary>Standard atmosphere, bar: a gauge shows the pressure above that of the air.</summary>
    public const double AirBar = 1.01325;

    /// <summary>Highest pressure that is taken, bar above the air.</summary>
    public const double HighestBar = 400;

    /// <summary>The drop as a part of the pressure at the start, %; negative where the pressure rose by more than the temperature explains.</summary>
    /// <param name="beforeBar">Gauge at the start, bar above the air, above 0.</param>
    /// <param name="afterBar">Gauge at the end, bar above the air, zero or more.</param>
    /// <param name="before">Temperature of the line at the start, °C.</param>
    /// <param name="after">Temperature of the line at the end, °C.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static double Percent(double beforeBar, double afterBar, Temperature before, Temperature after) =>
        100 * (1 - Kept(beforeBar, afterBar, before, after));

    /// <summary>Standard uncertainty of <see cref="Percent"/>, %, of gauge and thermometer read twice (GUM 5.1.2).</summary>
    /// <param name="beforeBar">Gauge at the start, bar above the air, above 0.</param>
    /// <param name="afterBar">Gauge at the end, bar above the air, zero or more.</param>
    /// <param name="before">Temperature of the line at the start, °C.</param>
    /// <param name="after">Temperature of the line at the end, °C.</param>
    /// <param name="gaugeBar">Standard uncertainty of one reading of the gauge, bar, zero or more.</param>
    /// <param name="thermometerK">Standard uncertainty of one reading of the thermometer, K, zero or more.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static double StandardUncertaintyPercent(double beforeBar, double afterBar, Temperature before, Temperature after, double gaugeBar, double thermometerK)
    {
        Guard.FiniteNotNegative(gaugeBar, nameof(gaugeBar));
        Guard.FiniteNotNegative(thermometerK, nameof(thermometerK));
        var kept = Kept(beforeBar, afterBar, before, after);
        return 100 * kept * Math.Sqrt(
            Square(gaugeBar / (beforeBar + AirBar)) + Square(gaugeBar / (afterBar + AirBar)) + Square(thermometerK / Kelvin(before)) + Square(thermometerK / Kelvin(after)));
    }

    private static double Kept(double beforeBar, double afterBar, Temperature before, Temperature after)
    {
        if (Guard.FinitePositive(beforeBar, nameof(beforeBar)) > HighestBar)
            Guard.ThrowOutOfRange(beforeBar, nameof(beforeBar), "above 0, at most 400 bar");
        if (Guard.FiniteNotNegative(afterBar, nameof(afterBar)) > HighestBar)
            Guard.ThrowOutOfRange(afterBar, nameof(afterBar), "from 0 to 400 bar");
        return (afterBar + AirBar) / (beforeBar + AirBar) * (Kelvin(before) / Kelvin(after));
    }

    private static double Kelvin(Temperature temperature) => temperature.DegreesCelsius + Temperature.KelvinsAtZeroCelsius;

    private static double Square(double value) => value * value;
}
