namespace BuildTrack.Domain.Codes;

/// <summary>The two check characters of ISO 7064, system MOD 1271-36: they tell every changed character, every exchange of two neighbours, and all but one in 1271 of other faults, a lost character among them.</summary>
public static class CheckCharacters
{
    private const string Alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    private const int Modulus = 1271;

    /// <summary>The check characters of a text; what is neither a digit nor a capital letter is left out, as the standard does with separators.</summary>
    public static string Of(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var p = text.Select(c => Alphabet.IndexOf(c, StringComparison.Ordinal)).Where(v => v >= 0).Aggregate(0, (p, value) => (p + value) * Alphabet.Length % Modulus);
        var check = (Modulus + 1 - (p * Alphabet.Length % Modulus)) % Modulus;
        return string.Concat(Alphabet[check / Alphabet.Length], Alphabet[check % Alphabet.Length]);
    }
}
