using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating;

/// <summary>How a calculated number is shown: one place for pages, certificates, messages and the check of a certificate's text.</summary>
public static class Shown
{
    /// <summary>A number in its calculated unit: 0.1 µm for lengths, from a millimetre on in mm, four significant digits elsewhere; "31.0 µm", "17.400 mm".</summary>
    public static string Text(double value, string unit) => unit == "µm" && Math.Abs(value) >= 1000 ? Text(value, "mm") : WithUnit(Number(value, unit), unit);

    /// <summary>The number alone, with a true minus.</summary>
    public static string Number(double value, string unit) => Minus(unit switch
    {
        "µm" => Fixed(value, 1),
        "mm" or "mm/m" => Fixed(value / 1000, 3),
        "m" => Fixed(value / 1_000_000, 6),
        // What a fit leaves of a slope that is none is rounding, not a figure.
        _ when Math.Abs(value) < 1e-9 => "0",
        _ => (value / Units.Factor(unit)).ToString("G4", CultureInfo.InvariantCulture),
    });

    /// <summary>A calculated number, shown in the unit that the limit is stated in: mm and mm/m to 0.001, µm to 0.1.</summary>
    public static string InUnitOf(double calculated, Requirement requirement)
    {
        var unit = UnitOf(requirement);
        return WithUnit(Number(calculated, unit), unit);
    }

    // A count has no unit to show.
    private static string WithUnit(string number, string unit) => unit == "1" ? number : $"{number} {unit}";

    /// <summary>The same without the unit.</summary>
    public static string NumberInUnitOf(double calculated, Requirement requirement) => Number(calculated, UnitOf(requirement));

    /// <summary>The unit that a requirement's numbers are shown in.</summary>
    public static string UnitOf(Requirement requirement) => (requirement.Upper ?? requirement.Lower)?.Unit ?? "µm";

    /// <summary>A signed deviation: "+52.0", "−61.3", "0.0".</summary>
    public static string Signed(double value, int decimals)
    {
        var text = Fixed(value, decimals);
        return text.StartsWith('-') ? Minus(text) : text.All(c => c is '0' or '.') ? text : "+" + text;
    }

    /// <summary>The word for a verdict on pages and certificates.</summary>
    public static string Word(Metrology.Verdicts.Verdict verdict) => verdict switch
    {
        Metrology.Verdicts.Verdict.Accepted => "accepted",
        Metrology.Verdicts.Verdict.NotProven => "not proven",
        Metrology.Verdicts.Verdict.Rejected => "rejected",
        _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "There are three verdicts."),
    };

    /// <summary>The word for a state without verdict.</summary>
    public static string Word(ResultState state) => state switch
    {
        ResultState.NotMeasured => "not measured",
        ResultState.Incomplete => "incomplete",
        ResultState.Calculated => "calculated",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "There are three states."),
    };

    /// <summary>The decision rule in words.</summary>
    public static string Word(Metrology.Verdicts.DecisionRule rule) => rule switch
    {
        Metrology.Verdicts.DecisionRule.Simple => "simple acceptance (U at most a quarter of the limit)",
        Metrology.Verdicts.DecisionRule.Guarded => "guarded acceptance, limit less U",
        Metrology.Verdicts.DecisionRule.OneSided95 => "guarded acceptance, 95 % one-sided, limit less 1.6449 u",
        _ => throw new ArgumentOutOfRangeException(nameof(rule), rule, "There are three rules."),
    };

    private static string Fixed(double value, int decimals)
    {
        var text = Math.Round(value, decimals, MidpointRounding.AwayFromZero).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return text.StartsWith('-') && text.All(c => c is '-' or '0' or '.') ? text[1..] : text;
    }

    private static string Minus(string text) => text.Replace('-', '−');
}
