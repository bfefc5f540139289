using System.Globalization;

namespace BuildTrack.Metrology;

/// <summary>A difference of two temperatures, in kelvin: what multiplies an expansion coefficient.</summary>
/// <remarks>Not to be mistaken for <see cref="Temperature"/>. The default is no difference.</remarks>
public readonly record struct TemperatureDifference : IComparable<TemperatureDifference>
{
    private TemperatureDifference(double kelvins) => Kelvins = kelvins;

    /// <summary>The difference in kelvin (equally in degrees Celsius); finite.</summary>
    public double Kelvins { get; }

    /// <summary>From kelvin.</summary>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    public static TemperatureDifference FromKelvins(double kelvins) => new(Guard.Finite(kelvins, nameof(kelvins)));

    public static TemperatureDifference operator +(TemperatureDifference left, TemperatureDifference right) =>
        FromKelvins(left.Kelvins + right.Kelvins);

    public static TemperatureDifference operator -(TemperatureDifference left, TemperatureDifference right) =>
        FromKelvins(left.Kelvins - right.Kelvins);

    public static TemperatureDifference operator -(TemperatureDifference difference) => new(-difference.Kelvins);

    public static bool operator <(TemperatureDifference left, TemperatureDifference right) => left.Kelvins < right.Kelvins;

    public static bool operator >(TemperatureDifference left, TemperatureDifference right) => left.Kelvins > right.Kelvins;

    public static bool operator <=(TemperatureDifference left, TemperatureDifference right) => left.Kelvins <= right.Kelvins;

    public static bool operator >=(TemperatureDifference left, TemperatureDifference right) => left.Kelvins >= right.Kelvins;

    public static TemperatureDifference Add(TemperatureDifference left, TemperatureDifference right) => left + right;

    public static TemperatureDifference Subtract(TemperatureDifference left, TemperatureDifference right) => left - right;

    public static TemperatureDifference Negate(TemperatureDifference difference) => -difference;

    public int CompareTo(TemperatureDifference other) => Kelvins.CompareTo(other.Kelvins);

    /// <summary>"0.4 K", invariant culture.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Kelvins:R} K");
}
