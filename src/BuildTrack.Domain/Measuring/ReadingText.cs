using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Measuring;

/// <summary>What a typed value is understood to be: one place for the server and for a tablet without network.</summary>
public static class ReadingText
{
    private const int LongestText = 2000;

    /// <summary>Understands a number, a choice or a text.</summary>
    /// <param name="unit">What a number is meant in.</param>
    /// <param name="exponents">From a file, where programs write 3.1e-2.</param>
    /// <returns>The value, or what was found and expected instead.</returns>
    public static (ReadingValue? Value, string? Fault) Understand(ValueKind kind, string unit, ImmutableArray<string> choices, string typed, bool exponents = false)
    {
        ArgumentNullException.ThrowIfNull(typed);
        return kind switch
        {
            ValueKind.Number => Number(typed, unit, NumberText.Understand(typed, unit, exponents)),
            ValueKind.Choice => choices.Contains(typed)
                ? (new ReadingValue(kind, typed, null, null, null, null), null)
                : (null, $"one of {string.Join(", ", choices)}"),
            ValueKind.Text => typed.Length is > 0 and <= LongestText
                ? (new ReadingValue(kind, typed, null, null, null, null), null)
                : (null, FormattableString.Invariant($"1 to {LongestText} characters")),
            _ => (null, "a number, a choice or a text; a file is kept by a program"),
        };
    }

    private static (ReadingValue? Value, string? Fault) Number(string typed, string unit, UnderstoodNumber understood) =>
        understood.Fault is { } fault ? (null, fault) : (new ReadingValue(ValueKind.Number, typed, unit, understood.Nanometres, understood.Number, null), null);
}
