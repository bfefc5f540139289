using System.Collections.Concurrent;
using System.Text;
using PdfSharp.Drawing;
using PdfSharp.Fonts;
using PdfSharp.Pdf;
using PdfSharp.Snippets.Font;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>The letters of a certificate: one embedded face, measured before it is set.</summary>
/// <remarks>The face comes with the PDF library, so a certificate looks the same on every machine; see docs/decisions/0002-pdf-library.md.</remarks>
internal static class Lettering
{
    private const string Face = "Segoe WP";

    private static readonly ConcurrentDictionary<(double Size, bool Bold, bool Inclined), XFont> Fonts = new();

    // The measuring context is not made for several threads; measuring is short.
    private static readonly Lock Measuring = new();

    private static readonly XGraphics Context = MakeContext();

    public static XFont Font(double size, bool bold = false, bool inclined = false) => Fonts.GetOrAdd((size, bold, inclined), key => new XFont(
        Face, key.Size, (key.Bold ? XFontStyleEx.Bold : XFontStyleEx.Regular) | (key.Inclined ? XFontStyleEx.Italic : XFontStyleEx.Regular),
        new XPdfFontOptions(PdfFontEncoding.Unicode, PdfFontEmbedding.TryComputeSubset)));

    /// <summary>Width of a text in points.</summary>
    public static double Width(string text, XFont font)
    {
        lock (Measuring)
        {
            return Context.MeasureString(text, font).Width;
        }
    }

    /// <summary>Distance from one line to the next.</summary>
    public static double Line(XFont font) => font.Size * 1.32;

    /// <summary>The text in lines no wider than a width. A word that is wider than a line is cut between characters: nothing is left out.</summary>
    public static List<string> Wrap(string text, XFont font, double width)
    {
        var lines = new List<string>();
        foreach (var paragraph in text.Split('\n'))
        {
            var line = new StringBuilder();
            foreach (var word in paragraph.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            {
                var candidate = line.Length == 0 ? word : $"{line} {word}";
                if (Width(candidate, font) <= width)
                {
                    line.Clear().Append(candidate);
                    continue;
                }

                if (line.Length > 0)
                {
                    lines.Add(line.ToString());
                    line.Clear();
                }

                line.Append(CutToWidth(word, font, width, lines));
            }

            lines.Add(line.ToString());
        }

        return lines;
    }

    private static string CutToWidth(string word, XFont font, double width, List<string> lines)
    {
        while (Width(word, font) > width && word.Length > 1)
        {
            var n = word.Length - 1;
            while (n > 1 && Width(word[..n], font) > width)
            {
                n--;
            }

            // Never between the halves of a surrogate pair.
            n = n > 1 && char.IsHighSurrogate(word[n - 1]) ? n - 1 : n;
            lines.Add(word[..n]);
            word = word[n..];
        }

        return word;
    }

    private static XGraphics MakeContext()
    {
        GlobalFontSettings.FontResolver ??= new FailsafeFontResolver();
        return XGraphics.CreateMeasureContext(new XSize(1000, 1000), XGraphicsUnit.Point, XPageDirection.Downwards);
    }
}
