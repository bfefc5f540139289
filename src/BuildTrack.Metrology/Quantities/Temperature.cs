using System.Globalization;

namespace BuildTrack.Metrology;

/// <summary>A point on the temperature scale, in degrees Celsius: what a thermometer shows.</summary>
/// <remarks>Not to be mistaken for <see cref="TemperatureDifference"/>: only a difference multiplies an expansion coefficient.
/// The default is 0 °C.</remarks>
public readonly record struct Temperature : IComparable<Temperature>
{
    /// <summary>0 °C = 273.15 K, exact by definition of the Celsius scale.</summary>
    public const double KelvinsAtZeroCelsius = 273.15;

    private Temperature(double degreesCelsius) => DegreesCelsius = degreesCelsius;

    /// <summary>The reference temperature of dimensional measurement, 20 °C (ISO 1).</summary>
    public static Temperature Reference => new(20.0);

    /// <summary>The temperature in degrees Celsius; finite, never below −273.15.</summary>
    public double DegreesCelsius { get; }

    /// <summary>From degrees Celsius.</summary>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Below −273.15 °C.</exception>
    public static Temperature FromDegreesCelsius(double degreesCelsius)
    {
        Guard.Finite(degreesCelsius, nameof(degreesCelsius));
        if (degreesCelsius < -KelvinsAtZeroCelsius)
            Guard.ThrowOutOfRange(degreesCelsius, nameof(degreesCelsius), "-273.15 or more");
        return new Temperature(degreesCelsius);
    }

    public static TemperatureDifference operator -(Temperature left, Temperature right) =>
        TemperatureDifference.FromKelvins(left.DegreesCelsius - right.DegreesCelsius);

    public static Temperature operator +(Temperature temperature, TemperatureDifference difference) =>
        FromDegreesCelsius(temperature.DegreesCelsius + difference.Kelvins);

    public static Temperature operator -(Temperature temperature, TemperatureDifference difference) =>
        FromDegreesCelsius(temperature.DegreesCelsius - difference.Kelvins);

    public static bool operator <(Temperature left, Temperature right) => left.DegreesCelsius < right.DegreesCelsius;

    public static bool operator >(Temperature left, Temperature right) => left.DegreesCelsius > right.DegreesCelsius;

    public static bool operator <=(Temperature left, Temperature right) => left.DegreesCelsius <= right.DegreesCelsius;

    public static bool operator >=(Temperature left, Temperature right) => left.DegreesCelsius >= right.DegreesCelsius;

    public static TemperatureDifference Subtract(Temperature left, Temperature right) => left - right;

    public static Temperature Add(Temperature temperature, TemperatureDifference difference) => temperature + difference;

    public int CompareTo(Temperature other) => DegreesCelsius.CompareTo(other.DegreesCelsius);

    /// <summary>"20.5 °C", invariant culture.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{DegreesCelsius:R} °C");
}
