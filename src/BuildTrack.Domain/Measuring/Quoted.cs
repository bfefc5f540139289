using System.Globalization;
using System.Text;

namespace BuildTrack.Domain.Measuring;

/// <summary>Foreign text as a fault sentence shows it: short, on one line, and with everything invisible made visible.</summary>
public static class Quoted
{
    private const int Longest = 60;

    public static string Of(string text)
    {
        var shown = new StringBuilder("'");
        for (var i = 0; i < text.Length; i++)
        {
            if (i >= Longest)
            {
                shown.Append('…');
                break;
            }

            if (char.IsSurrogatePair(text, i) && i + 1 < text.Length)
            {
                shown.Append(text[i]).Append(text[++i]);
            }
            else if (Invisible(text[i]))
            {
                shown.Append(CultureInfo.InvariantCulture, $"‹U+{(int)text[i]:X4}›");
            }
            else
            {
                shown.Append(text[i]);
            }
        }

        return shown.Append('\'').ToString();
    }

    /// <summary>"one of a, b, c", cut where the list is long.</summary>
    public static string OneOf(IEnumerable<string> words)
    {
        var all = words.Where(w => w.Length > 0).ToList();
        return all.Count switch
        {
            0 => "none at all: there is none",
            1 => all[0],
            _ => $"one of {string.Join(", ", all.Take(40))}{(all.Count > 40 ? $" and {all.Count - 40} more" : "")}",
        };
    }

    private static bool Invisible(char c) => char.GetUnicodeCategory(c) is
        UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.Surrogate or UnicodeCategory.LineSeparator
        or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned
        || (c != ' ' && char.GetUnicodeCategory(c) == UnicodeCategory.SpaceSeparator);
}
