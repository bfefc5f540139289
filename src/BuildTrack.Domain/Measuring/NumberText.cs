using System.Globalization;

namespace BuildTrack.Domain.Measuring;

/// <summary>Understands a number as people and gauges write it: point or comma as decimal sign, a true minus, thin spaces between thousands.</summary>
/// <remarks>Nothing is guessed: where a text could mean two numbers it is refused, because a height wrong by a factor of a thousand looks like a height.</remarks>
public static class NumberText
{
    private const char TrueMinus = '\u2212';
    private const int MostDigits = 25;
    private const decimal Largest = 1_000_000_000_000m;

    /// <summary>Understands a typed value.</summary>
    /// <param name="unit">The unit it is meant in; one of <see cref="Units.Known"/>.</param>
    /// <param name="nanometres">For length units: rounded half to even, at most ±1,000 m.</param>
    /// <param name="number">For other units: the number in its own unit, finite, never −0.</param>
    /// <param name="fault">What was expected instead, fit to follow "expected"; null where the text was understood.</param>
    public static bool TryUnderstand(string typed, string unit, out long? nanometres, out double? number, out string? fault)
    {
        var understood = Understand(typed, unit, exponents: false);
        (nanometres, number, fault) = (understood.Nanometres, understood.Number, understood.Fault);
        return fault is null;
    }

    /// <summary>Understands a number that is meant in one unit and may carry it: "20,35" or "20.35 °C".</summary>
    /// <param name="fault">What was expected instead, fit to follow "expected"; null where it was understood.</param>
    public static bool TryIn(string? typed, string unit, out decimal value, out string? fault)
    {
        var text = (typed ?? "").Trim();
        var understood = Understand(text.EndsWith(unit, StringComparison.Ordinal) ? text[..^unit.Length] : text, unit, exponents: false);
        (value, fault) = (understood.Nanometres is { } nm ? nm / Units.NanometresPer(unit)!.Value : (decimal)(understood.Number ?? 0), understood.Fault);
        return fault is null;
    }

    /// <summary>Understands a number with its unit, like "0.006 mm" or "2,5 µm/m".</summary>
    public static bool TryAmount(string? typed, out Amount amount)
    {
        amount = new Amount(0, "");
        var text = Units.OneMicro((typed ?? "").Trim());
        var at = text.LastIndexOf(' ');
        var (number, unit) = at < 0 ? (text, "") : (text[..at].TrimEnd(), text[(at + 1)..]);
        return TryUnderstand(number, unit, out _, out _, out _) && Amount.TryParse($"{Plain(number)} {unit}", out amount);
    }

    // What was understood, as the one spelling that every reader of numbers knows.
    private static string Plain(string number) => Bare(number).Replace(',', '.').Replace(TrueMinus, '-');

    /// <summary>Understands a number that is meant in one unit, and says where its decimal sign stands.</summary>
    /// <param name="exponents">Programs write 3.1e-2; a person who does so has more likely slipped.</param>
    public static UnderstoodNumber Understand(string typed, string unit, bool exponents)
    {
        unit = Units.OneMicro(unit);
        if (!Units.Known.Contains(unit))
        {
            return UnderstoodNumber.Not($"a known unit ({Quoted.OneOf(Units.Known)}) instead of {Quoted.Of(unit)}");
        }

        var text = typed.Trim();
        if (text.Length is 0 or > 80)
        {
            return UnderstoodNumber.Not(text.Length == 0 ? "a number" : "a number, which is shorter");
        }

        var negative = text[0] is '-' or TrueMinus;
        text = (negative || text[0] == '+' ? text[1..] : text).TrimStart();
        if (text.StartsWith("nan", StringComparison.OrdinalIgnoreCase) || text.StartsWith("inf", StringComparison.OrdinalIgnoreCase) || text.StartsWith('∞'))
        {
            return UnderstoodNumber.Not("a finite number");
        }

        var exponent = 0;
        if (text.IndexOfAny(['e', 'E']) is > 0 and var at)
        {
            if (!exponents)
            {
                return UnderstoodNumber.Not("a number written out, without exponent");
            }

            if (!int.TryParse(text[(at + 1)..].Replace(TrueMinus, '-'), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out exponent)
                || Math.Abs(exponent) > 20)
            {
                return UnderstoodNumber.Not("a number that an instrument can show, with an exponent from -20 to 20");
            }

            text = text[..at];
        }

        return Mantissa(text, out var mark, out var digits) is { } fault
            ? UnderstoodNumber.Not(fault) with { Mark = mark }
            : Scaled((negative ? "-" : "") + digits, exponent, unit, mark);
    }

    /// <summary>Checks the part before the exponent; gives its digits with a point.</summary>
    private static string? Mantissa(string text, out char? mark, out string digits)
    {
        (mark, digits) = (null, "");
        if (text.FirstOrDefault(c => !char.IsAsciiDigit(c) && c is not ('.' or ',') && !IsSpace(c)) is var odd and not '\0')
        {
            return $"a number and nothing else; {Quoted.Of(odd.ToString())} does not belong to it";
        }

        var (points, commas) = (text.Count(c => c == '.'), text.Count(c => c == ','));
        if (points > 0 && commas > 0)
        {
            return "one decimal sign and no grouping: with point and comma together it is not clear which is which";
        }

        if (points + commas > 1)
        {
            return $"one decimal sign; {(points > 0 ? "points" : "commas")} are not read as grouping";
        }

        mark = points > 0 ? '.' : commas > 0 ? ',' : null;
        var parts = text.Split('.', ',');
        var fraction = parts.Length > 1 ? parts[1] : null;
        if (fraction?.Length == 0 || (parts[0].Length == 0 && fraction is null))
        {
            return "digits on both sides of the decimal sign";
        }

        if (!Grouped(parts[0], fromRight: true) || (fraction is not null && !Grouped(fraction, fromRight: false)))
        {
            return "a number without spaces, or with spaces between groups of three digits";
        }

        var (whole, rest) = (Bare(parts[0]), Bare(fraction ?? ""));
        if (whole.Length + rest.Length > MostDigits)
        {
            return FormattableString.Invariant($"a number of at most {MostDigits} digits");
        }

        if (whole.Length > 1 && whole[0] == '0' && mark is null)
        {
            return "a number without a leading 0; was a decimal sign left out?";
        }

        digits = rest.Length == 0 ? whole : $"{whole}.{rest}";
        return null;
    }

    /// <summary>Moves the decimal point instead of multiplying, so that nothing is rounded before nanometres are.</summary>
    private static UnderstoodNumber Scaled(string digits, int exponent, string unit, char? mark)
    {
        const NumberStyles Styles = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent;
        var perUnit = Units.NanometresPer(unit);
        var shift = exponent;
        for (var n = perUnit ?? 1; n >= 10; n /= 10)
        {
            shift++;
        }

        var moved = FormattableString.Invariant($"{digits}E{shift}");
        var decimals = digits.Contains('.', StringComparison.Ordinal) ? digits.Length - digits.IndexOf('.', StringComparison.Ordinal) - 1 : 0;
        if (decimals - shift > 28)
        {
            return UnderstoodNumber.Not("a number with fewer digits after the decimal sign") with { Mark = mark };
        }

        if (!decimal.TryParse(moved, Styles, CultureInfo.InvariantCulture, out var value) || Math.Abs(value) > Largest)
        {
            return UnderstoodNumber.Not(perUnit is null ? "a number of at most 10¹²" : "a length of at most 1,000 m") with { Mark = mark };
        }

        if (perUnit is not null)
        {
            return new UnderstoodNumber((long)Math.Round(value, MidpointRounding.ToEven), null, mark, null);
        }

        var number = double.Parse(moved, Styles, CultureInfo.InvariantCulture);
        return new UnderstoodNumber(null, number == 0 ? 0 : number, mark, null);
    }

    /// <summary>True for digits alone, or digits in threes with one space between; a shorter group stands first in a whole number and last in a fraction.</summary>
    private static bool Grouped(string digits, bool fromRight)
    {
        var groups = digits.Select(c => IsSpace(c) ? ' ' : c).ToArray().AsSpan().ToString().Split(' ');
        if (groups.Length == 1)
        {
            return true;
        }

        var odd = fromRight ? 0 : groups.Length - 1;
        return groups.Select((g, i) => i == odd ? g.Length is >= 1 and <= 3 : g.Length == 3).All(good => good);
    }

    private static string Bare(string digits) => string.Concat(digits.Where(c => !IsSpace(c)));

    // Space, no-break space, narrow no-break space, thin space, figure space.
    private static bool IsSpace(char c) => c is ' ' or '\u00A0' or '\u202F' or '\u2009' or '\u2007';
}

/// <summary>What a text was understood to mean.</summary>
/// <param name="Mark">Its decimal sign, where it has one.</param>
/// <param name="Fault">What was expected instead.</param>
public sealed record UnderstoodNumber(long? Nanometres, double? Number, char? Mark, string? Fault)
{
    internal static UnderstoodNumber Not(string expected) => new(null, null, null, expected);
}
