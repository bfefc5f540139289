using System.Globalization;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Options that are numbers above zero.</summary>
internal static class PositiveOption
{
    /// <summary>The number; the fallback where the option is not given; null and a fault where it is no such number.</summary>
    public static double? Read(
        IReadOnlyDictionary<string, string> options, string name, string unit, double largest, double? fallback, List<EvaluationFault> faults)
    {
        if (!options.TryGetValue(name, out var text))
        {
            return fallback;
        }

        if (Number(text) is { } value && value > 0 && value <= largest)
        {
            return value;
        }

        faults.Add(new EvaluationFault($"--{name}", null, null, text.Length == 0 ? "nothing" : $"'{text}'", Invariant($"one number above 0 and up to {largest:R} in {unit}")));
        return null;
    }

    /// <summary>A finite number with a point or a comma for decimals, never both; null where it is none.</summary>
    public static double? Number(string text)
    {
        text = text.Trim().Replace('−', '-');
        if (text.Contains(',', StringComparison.Ordinal))
        {
            text = text.Contains('.', StringComparison.Ordinal) ? "" : text.Replace(',', '.');
        }

        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value) ? value : null;
    }
}
