using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using BuildTrack.Domain.Certificates;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;

namespace BuildTrack.Documents.Checking;

/// <summary>A text as it was set: one piece, with its place on the sheet in tenths of a point.</summary>
internal sealed record PrintedText(string Text, int X, int Y)
{
    public override string ToString() => FormattableString.Invariant($"'{Text}' at {X / 10.0:0.0}, {Y / 10.0:0.0}");
}

/// <summary>A sheet as read back.</summary>
/// <param name="Drawn">SHA-256 of everything the page draws, letters as glyphs and lines alike.</param>
internal sealed record PrintedSheet(ImmutableArray<PrintedText> Texts, string Drawn, int Annotations);

/// <summary>What a reader takes out of a certificate file: the sheets and the attached record.</summary>
internal sealed partial record PdfContent(ImmutableArray<PrintedSheet> Sheets, ImmutableArray<string> Attachments, byte[]? Record, string Keywords)
{
    /// <summary>Reads a file; the exception of a file that cannot be read is the caller's.</summary>
    public static PdfContent Read(byte[] pdf)
    {
        using var document = PdfDocument.Open(pdf);
        var sheets = document.GetPages().Select(Sheet).ToImmutableArray();
        var files = document.Advanced.TryGetEmbeddedFiles(out var embedded) ? embedded : [];
        return new PdfContent(
            sheets, [.. files.Select(f => f.Name)], files.FirstOrDefault(f => f.Name == CertificateRecord.EmbeddedName)?.Memory.ToArray(), document.Information.Keywords ?? "");
    }

    /// <summary>Layout version and record hash out of the keywords; null where they are not there.</summary>
    public (string Version, string Hash)? Layout => LayoutWords().Match(Keywords) is { Success: true } match ? (match.Groups[1].Value, match.Groups[2].Value) : null;

    /// <summary>All printed text without white space: for finding what must stand somewhere.</summary>
    public string Everything => string.Concat(Sheets.SelectMany(s => s.Texts).SelectMany(t => t.Text.Where(c => !char.IsWhiteSpace(c))));

    /// <summary>The hash printed as the record's.</summary>
    public string? PrintedRecordHash => RecordHash().Match(Everything) is { Success: true } match ? match.Groups[1].Value : null;

    /// <summary>The fingerprint printed as the seal's.</summary>
    public string? PrintedFingerprint => SealFingerprint().Match(Everything) is { Success: true } match ? match.Groups[1].Value : null;

    private static PrintedSheet Sheet(Page page)
    {
        var texts = page.Letters.GroupBy(l => l.TextSequence).OrderBy(g => g.Key).Select(g => new PrintedText(
            string.Concat(g.Select(l => l.Value)), (int)Math.Round(g.First().StartBaseLine.X * 10), (int)Math.Round(g.First().StartBaseLine.Y * 10)));
        using var drawn = new MemoryStream();
        foreach (var operation in page.Operations)
        {
            operation.Write(drawn);
            drawn.WriteByte((byte)'\n');
        }

        // Two files are drawn with fonts of other names: only the letters they set count, not what the font is called.
        var text = FontName().Replace(Encoding.Latin1.GetString(drawn.ToArray()), "/F");
        return new PrintedSheet([.. texts], Convert.ToHexStringLower(SHA256.HashData(Encoding.Latin1.GetBytes(text))), page.GetAnnotations().Count());
    }

    [GeneratedRegex(@"certificate layout (\S+); record ([0-9a-f]{64})$")]
    private static partial Regex LayoutWords();

    [GeneratedRegex("SHA-256oftherecord:([0-9a-f]{64})")]
    private static partial Regex RecordHash();

    [GeneratedRegex("Fingerprintoftheplant'sseal,SHA-256:([0-9a-f]{64})")]
    private static partial Regex SealFingerprint();

    [GeneratedRegex(@"/F\d+")]
    private static partial Regex FontName();
}
