using System.Diagnostics.CodeAnalysis;
using System.Globalization;

namespace BuildTrack.Metrology;

/// <summary>The one place where a caller's numbers are refused, with the name, the index and the value in the sentence.</summary>
/// <remarks>NaN is the most dangerous value in an acceptance tool: <c>NaN &gt; limit</c> is false. It stops here.</remarks>
public static class Guard
{
    /// <summary>Passes a finite number on; refuses NaN and infinity.</summary>
    /// <param name="value">Any unit.</param>
    /// <param name="name">The name the caller knows it by.</param>
    /// <exception cref="ArgumentException">The value is NaN or infinite; the sentence names it.</exception>
    public static double Finite(double value, string name)
    {
        if (!double.IsFinite(value))
            ThrowNotFinite(value, name);
        return value;
    }

    /// <summary>Refuses a series that holds NaN or infinity and names the first such place.</summary>
    /// <param name="values">Any unit.</param>
    /// <param name="name">The name of the series.</param>
    /// <exception cref="ArgumentException">"heightsUm[7] is NaN; every height must be finite."</exception>
    public static void Finite(ReadOnlySpan<double> values, string name)
    {
        for (var i = 0; i < values.Length; i++)
        {
            if (!double.IsFinite(values[i]))
                ThrowNotFinite(values[i], i, name);
        }
    }

    /// <summary>Passes a finite number that is zero or more; refuses NaN, infinity and negative numbers.</summary>
    /// <exception cref="ArgumentException">The value is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The value is negative.</exception>
    public static double FiniteNotNegative(double value, string name)
    {
        Finite(value, name);
        if (value < 0)
            ThrowOutOfRange(value, name, "zero or more");
        return value;
    }

    /// <summary>Passes a finite number above zero; refuses NaN, infinity, zero and negative numbers.</summary>
    /// <exception cref="ArgumentException">The value is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The value is zero or negative.</exception>
    public static double FinitePositive(double value, string name)
    {
        Finite(value, name);
        if (value <= 0)
            ThrowOutOfRange(value, name, "above zero");
        return value;
    }

    /// <summary>Refuses two series of different length.</summary>
    /// <exception cref="ArgumentException">"yMm has 3 values, xMm has 4; they must be as many."</exception>
    public static void SameLength(int length, string name, int otherLength, string otherName)
    {
        if (length != otherLength)
        {
            throw new ArgumentException(
                string.Create(CultureInfo.InvariantCulture, $"{name} has {length} values, {otherName} has {otherLength}; they must be as many."),
                name);
        }
    }

    [DoesNotReturn]
    internal static void ThrowOutOfRange(double value, string name, string expected) =>
        throw new ArgumentOutOfRangeException(
            name, value, string.Create(CultureInfo.InvariantCulture, $"{name} is {value:R}; it must be {expected}."));

    [DoesNotReturn]
    private static void ThrowNotFinite(double value, string name) =>
        throw new ArgumentException($"{name} is {Word(value)}; it must be finite.", name);

    [DoesNotReturn]
    private static void ThrowNotFinite(double value, int index, string name)
    {
        var place = string.Create(CultureInfo.InvariantCulture, $"{name}[{index}]");
        throw new ArgumentException($"{place} is {Word(value)}; every {One(name)} must be finite.", name);
    }

    private static string Word(double value) => double.IsNaN(value) ? "NaN" : value > 0 ? "infinite" : "minus infinite";

    /// <summary>"heightsUm" → "height", "xMm" → "x", "weights" → "weight": the word for one value of a series.</summary>
    private static string One(string name)
    {
        foreach (var unit in (ReadOnlySpan<string>)["UmPerM", "Um", "Mm"])
        {
            if (name.Length > unit.Length && name.EndsWith(unit, StringComparison.Ordinal))
            {
                name = name[..^unit.Length];
                break;
            }
        }

        return name.Length > 2 && name[^1] == 's' ? name[..^1] : name;
    }
}
