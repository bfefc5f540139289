using System.Globalization;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Domain.Measuring;

/// <summary>A number with its unit, as a limit or a register states it: "0.100 mm".</summary>
/// <param name="Value">The number exactly as stated.</param>
/// <param name="Unit">One of <see cref="Units.Known"/>.</param>
public sealed record Amount(decimal Value, string Unit)
{
    /// <summary>The length in micrometres.</summary>
    /// <exception cref="InvalidOperationException">The unit is not a length.</exception>
    public double Micrometres => (double)(Value * Units.NanometresPer(Unit)
        ?? throw new InvalidOperationException($"{this} is not a length.")) / 1000.0;

    /// <summary>The number in the unit in which results of its quantity are calculated: µm for lengths, µm/m for slopes, W for powers, else its own unit.</summary>
    public double Calculated => Units.NanometresPer(Unit) is null ? (double)Value * Units.Factor(Unit) : Micrometres;

    /// <summary>Reads "0.100 mm"; the number has a decimal point.</summary>
    public static bool TryParse(string text, out Amount amount)
    {
        amount = new Amount(0, "");
        var parts = text.Split(' ', 2, StringSplitOptions.TrimEntries);
        if (parts.Length != 2 || !Units.Known.Contains(parts[1])
            || !decimal.TryParse(parts[0], NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value))
        {
            return false;
        }

        amount = new Amount(value, parts[1]);
        return true;
    }

    public override string ToString() => $"{Value.ToString(CultureInfo.InvariantCulture)} {Unit}";
}

/// <summary>The units met on the floor (trade usage), and what a length unit is in nanometres.</summary>
public static class Units
{
    public static IReadOnlySet<string> Known { get; } = new SortedSet<string>(StringComparer.Ordinal)
    {
        "mm", "µm", "m", "µm/m", "mm/m", "arcsec", "div", "°C", "K", "W", "kW", "bar", "min", "h", "s", "%", "Ω", "MΩ", "V", "mm/min", "m/min", "Nm³", "Nm³/h", "l/min", "mm²", "mW", "m/s", "dB", "°", "1",
    };

    /// <summary>Nanometres in one such unit; null where the unit is not a length.</summary>
    public static decimal? NanometresPer(string unit) => unit switch
    {
        "mm" => 1_000_000m,
        "µm" => 1_000m,
        "m" => 1_000_000_000m,
        _ => null,
    };

    /// <summary>The unit in which results of a quantity with this unit are calculated.</summary>
    public static string Calculated(string unit) => unit switch
    {
        "mm/m" or "arcsec" or "div" => "µm/m",
        "kW" => "W",
        _ => NanometresPer(unit) is null ? unit : "µm",
    };

    /// <summary>Whether a number in one known unit can be told in the other. A division is worth what the register says of one level, and stands for nothing else.</summary>
    public static bool Convertible(string from, string to) =>
        from == to || (from != "div" && to != "div" && Known.Contains(from) && Calculated(from) == Calculated(to));

    /// <summary>Both letters for micro look the same to whoever typed one of them; the units use the micro sign.</summary>
    public static string OneMicro(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Replace('\u03BC', '\u00B5');
    }

    /// <summary>Calculated units in one such unit, for what is no length. A division ("div") is worth what the register says of its level.</summary>
    public static double Factor(string unit) => unit switch
    {
        "mm/m" or "kW" => 1000,
        "arcsec" => LevelReadings.UmPerMPerArcsec,
        _ => 1,
    };
}
