using System.Text;

namespace BuildTrack.Domain.StepFiles;

/// <summary>The name a file was sent with, made harmless: it is shown to people and used for saving, never as a path.</summary>
public static class FileName
{
    /// <summary>Longest name that is kept, characters.</summary>
    public const int Longest = 120;

    private const string Replaced = "\"<>|:*?;%";

    /// <summary>The last part of a path of either kind, without control, formatting and special characters, shortened in front of its ending; "file" where nothing is left.</summary>
    public static string Clean(string? sent)
    {
        var last = (sent ?? "").Split('/', '\\')[^1];
        var kept = new StringBuilder(last.Length);
        foreach (var rune in last.EnumerateRunes())
        {
            if (Rune.GetUnicodeCategory(rune) is not (System.Globalization.UnicodeCategory.Control or System.Globalization.UnicodeCategory.Format
                or System.Globalization.UnicodeCategory.LineSeparator or System.Globalization.UnicodeCategory.ParagraphSeparator or System.Globalization.UnicodeCategory.PrivateUse
                or System.Globalization.UnicodeCategory.Surrogate or System.Globalization.UnicodeCategory.OtherNotAssigned) && rune != Rune.ReplacementChar)
            {
                kept.Append(rune.IsAscii && Replaced.Contains((char)rune.Value, StringComparison.Ordinal) ? "_" : rune.ToString());
            }
        }

        var name = kept.ToString().Trim();
        while (name.StartsWith('.'))
            name = name[1..].TrimStart();
        if (name.Length > Longest)
        {
            var dot = name.LastIndexOf('.');
            var ending = dot > 0 && name.Length - dot <= 10 ? name[dot..] : "";
            name = Whole(name[..(Longest - ending.Length)]) + ending;
        }

        return name.Length == 0 ? "file" : name;
    }

    // A character of two units is not cut in half.
    private static string Whole(string text) => char.IsHighSurrogate(text[^1]) ? text[..^1] : text;
}
