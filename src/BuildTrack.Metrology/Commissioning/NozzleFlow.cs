namespace BuildTrack.Metrology.Commissioning;

/// <summary>Cutting gases.</summary>
public enum CuttingGas
{
    Nitrogen,
    Oxygen,
}

/// <summary>Flow of a gas out of a nozzle.</summary>
/// <param name="Choked">The gas leaves with the speed of sound: what is behind the nozzle makes no difference.</param>
/// <param name="KilogramsPerHour">Mass flow, kg/h.</param>
/// <param name="NormalCubicMetresPerHour">The same at 0 °C and 1.01325 bar, Nm³/h.</param>
/// <param name="LiquidLitresPerHour">The same as liquid at its boiling point, litre per hour (l/h).</param>
public sealed record NozzleFlowResult(bool Choked, double KilogramsPerHour, double NormalCubicMetresPerHour, double LiquidLitresPerHour);

/// <summary>Steady flow of a perfect gas of two atoms (γ = 1.4) through a nozzle, choked or not.</summary>
/// <remarks>
/// Choked where p0/pb ≥ 1.8929: ṁ = Cd A p0 C*/√(R T0). Below: ṁ = Cd A p0 √(7/(R T0) (x^(10/7) − x^(12/7))), x = pb/p0. Method and sources: docs/method/commissioning.md.
/// </remarks>
public static class NozzleFlow
{
    /// <summary>Pressure of the air around, bar absolute.</summary>
    public const double AirBar = 1.01325;

    /// <summary>Widest nozzle that is taken, mm.</summary>
    public const double WidestMm = 50;

    /// <summary>Highest pressure that is taken, bar above that of the air.</summary>
    public const double HighestBar = 400;

    // √1.4 (5/6)³, and 1.2^3.5 as the ratio from which the flow is choked.
    private static readonly double Critical = Math.Sqrt(1.4) * 125 / 216;
    private static readonly double CriticalRatio = 1.2 * 1.2 * 1.2 * Math.Sqrt(1.2);

    /// <summary>The flow through one nozzle.</summary>
    /// <param name="gas">Which gas.</param>
    /// <param name="diameterMm">Diameter of the nozzle, mm, above zero.</param>
    /// <param name="gaugeBar">Pressure before the nozzle above that of the air, bar, zero or more.</param>
    /// <param name="gasTemperature">Temperature of the gas before the nozzle, °C.</param>
    /// <param name="discharge">Discharge coefficient Cd, dimensionless, above 0, at most 1.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static NozzleFlowResult Of(CuttingGas gas, double diameterMm, double gaugeBar, Temperature gasTemperature, double discharge)
    {
        if (Guard.FinitePositive(diameterMm, nameof(diameterMm)) > WidestMm)
            Guard.ThrowOutOfRange(diameterMm, nameof(diameterMm), "above 0, at most 50 mm");
        if (Guard.FiniteNotNegative(gaugeBar, nameof(gaugeBar)) > HighestBar)
            Guard.ThrowOutOfRange(gaugeBar, nameof(gaugeBar), "from 0 to 400 bar");
        if (Guard.FinitePositive(discharge, nameof(discharge)) > 1)
            Guard.ThrowOutOfRange(discharge, nameof(discharge), "above 0, at most 1");
        if (gasTemperature.DegreesCelsius is < -100 or > 200)
            Guard.ThrowOutOfRange(gasTemperature.DegreesCelsius, nameof(gasTemperature), "from -100 to 200 °C");

        // J/(kg K), kg/Nm³, kg/l of liquid: handbook figures.
        var (r, normal, liquid) = gas == CuttingGas.Nitrogen ? (296.803, 1.2504, 0.8083) : (259.837, 1.4290, 1.1417);
        var kelvins = gasTemperature.DegreesCelsius + Temperature.KelvinsAtZeroCelsius;
        var (before, area) = (gaugeBar + AirBar, Math.PI * diameterMm * diameterMm / 4);
        var choked = before / AirBar >= CriticalRatio;
        var x = AirBar / before;
        var function = choked ? Critical : Math.Sqrt(7 * Math.Max(0, Power(x, 10) - Power(x, 12)));

        // mm² · bar = 0.1 N.
        var perHour = 3600 * discharge * area * before * 0.1 * function / Math.Sqrt(r * kelvins);
        return new NozzleFlowResult(choked, perHour, perHour / normal, perHour / liquid);
    }

    // x^(n/7) by arithmetic alone, so that every machine finds the same digits: the seventh root by Newton's steps from above.
    private static double Power(double x, int n)
    {
        var root = 1.0;
        for (var i = 0; i < 60; i++)
        {
            var sixth = root * root * root * root * root * root;
            var next = root - (((sixth * root) - x) / (7 * sixth));
            if (Math.Abs(next - root) <= 1e-16)
                break;
            root = next;
        }

        var power = 1.0;
        for (var i = 0; i < n; i++)
            power *= root;
        return power;
    }
}
