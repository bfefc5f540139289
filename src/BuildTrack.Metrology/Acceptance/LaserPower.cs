using System.Globalization;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Acceptance;

/// <summary>A power log in figures.</summary>
/// <param name="Readings">How many readings count, after warm-up.</param>
/// <param name="MeanW">Mean power, W.</param>
/// <param name="LargestDepartureW">Largest distance of a reading from the mean, W: the number behind "± x %".</param>
/// <param name="LargestDeparturePercent">The same in per cent of the mean.</param>
/// <param name="StandardDeviationW">s with divisor n − 1, W.</param>
public sealed record PowerDrift(int Readings, double MeanW, double LargestDepartureW, double LargestDeparturePercent, double StandardDeviationW);

/// <summary>Laser power at the workpiece against the rated power, and its drift over a log.</summary>
/// <remarks>Rule and sources: docs/method/acceptance.md.</remarks>
public static class LaserPower
{
    /// <summary>Largest power that is taken, W (1 GW).</summary>
    public const double LargestPowerW = 1e9;

    /// <summary>Accepted where measured ≥ rated · (1 − limit) + U; rejected where measured &lt; rated · (1 − limit) − U; not proven between.</summary>
    /// <param name="measuredW">Measured power, W, zero or more.</param>
    /// <param name="ratedW">Rated power at the same place, W, above zero.</param>
    /// <param name="limitPart">Allowed shortfall as a part of the rated power, dimensionless, 0 to below 1 (0.05 is 5 %).</param>
    /// <param name="expandedUncertaintyW">U of the meter, W, zero or more.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static Conformity.Decision Decide(double measuredW, double ratedW, double limitPart, double expandedUncertaintyW)
    {
        Power(measuredW, nameof(measuredW));
        Power(Guard.FinitePositive(ratedW, nameof(ratedW)), nameof(ratedW));
        Power(expandedUncertaintyW, nameof(expandedUncertaintyW));
        if (Guard.FiniteNotNegative(limitPart, nameof(limitPart)) >= 1)
            Guard.ThrowOutOfRange(limitPart, nameof(limitPart), "from 0 to below 1");
        return Conformity.Decide(measuredW, new Conformity.Limits(null, ratedW * (1 - limitPart)), expandedUncertaintyW, expandedUncertaintyW);
    }

    /// <summary>Drift of a log after warm-up.</summary>
    /// <param name="minutes">Times since switching on, unit min; any order.</param>
    /// <param name="powersW">Power at each time, W, zero or more.</param>
    /// <param name="warmUpMinutes">Readings before this time do not count; unit min, zero or more.</param>
    /// <returns>The figures, or null where fewer than two readings are left or their mean is zero.</returns>
    /// <exception cref="ArgumentException">Series of different length, a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative or too large power, a negative warm-up.</exception>
    public static PowerDrift? Drift(ReadOnlySpan<double> minutes, ReadOnlySpan<double> powersW, double warmUpMinutes)
    {
        Guard.Finite(minutes, nameof(minutes));
        Guard.SameLength(powersW.Length, nameof(powersW), minutes.Length, nameof(minutes));
        Guard.FiniteNotNegative(warmUpMinutes, nameof(warmUpMinutes));
        var kept = new List<double>();
        for (var i = 0; i < powersW.Length; i++)
        {
            Power(powersW[i], string.Create(CultureInfo.InvariantCulture, $"powersW[{i}]"));
            if (minutes[i] >= warmUpMinutes)
                kept.Add(powersW[i]);
        }

        if (kept.Count < 2)
            return null;

        // Distances from the first reading: kilowatts that differ by milliwatts keep their digits.
        var first = kept[0];
        var shift = kept.Average(p => p - first);
        var mean = first + shift;
        if (mean <= 0)
            return null;
        double largest = kept.Max(p => Math.Abs(p - first - shift)), squares = kept.Sum(p => (p - first - shift) * (p - first - shift));
        return new PowerDrift(kept.Count, mean, largest, 100 * (largest / mean), Math.Sqrt(squares / (kept.Count - 1)));
    }

    private static void Power(double value, string name)
    {
        if (Guard.FiniteNotNegative(value, name) > LargestPowerW)
            Guard.ThrowOutOfRange(value, name, "at most 1 GW");
    }
}
