namespace BuildTrack.Domain.Codes;

/// <summary>A keyboard-type scanner presses keys, not letters: set to another layout than the tablet, it types other characters than it read.</summary>
/// <remarks>Positions of keys: ISO/IEC 9995 keyboards of the countries named, from memory; the check characters decide which reading is right.</remarks>
public static class KeyboardLayouts
{
    // Where a key of the layout of the United States stands on other keyboards: the colon (German, Nordic, Spanish, Italian, Swiss) and the hyphen.
    private const string Colons = "ÖÆØÑÇÉÈ";
    private const string Hyphens = "ß'+)?";

    // As typed on a French keyboard, and the key that was meant.
    private const string French = "AQWZM?,&É\"'(-È_ÇÀ)°5";
    private const string Meant = "QAZW:MM1234567890--%";

    /// <summary>What may have been read, the likeliest first: as it is; the colon and the hyphen put right; Y and Z exchanged besides; as a French keyboard types.</summary>
    public static IEnumerable<string> Of(string typed)
    {
        ArgumentNullException.ThrowIfNull(typed);
        var text = typed.ToUpperInvariant();
        var marks = string.Concat(text.Select(c => Colons.Contains(c) ? ':' : Hyphens.Contains(c) ? '-' : c));
        return new[]
        {
            text, marks, string.Concat(marks.Select(c => c == 'Y' ? 'Z' : c == 'Z' ? 'Y' : c)),
            string.Concat(text.Select(c => French.IndexOf(c, StringComparison.Ordinal) is >= 0 and var i ? Meant[i] : c)),
        }.Distinct();
    }
}
