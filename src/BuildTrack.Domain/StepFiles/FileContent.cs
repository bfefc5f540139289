using System.Globalization;
using System.Text.Unicode;

namespace BuildTrack.Domain.StepFiles;

/// <summary>What a file is, by its first bytes: a name or a header says what somebody wishes it to be.</summary>
/// <remarks>
/// Signatures: JPEG begins with its start-of-image marker and the first byte of the next one (ISO/IEC 10918-1), PNG with eight fixed bytes (ISO/IEC 15948, 5.2),
/// WebP is a RIFF file of the form WEBP (RFC 9649), PDF begins with %PDF- (ISO 32000-1, 7.5.2). Text is valid UTF-8 without NUL.
/// </remarks>
public static class FileContent
{
    public const string Jpeg = "image/jpeg";
    public const string Png = "image/png";
    public const string WebP = "image/webp";
    public const string Pdf = "application/pdf";
    public const string Text = "text/plain; charset=utf-8";

    /// <summary>Longest photo, byte.</summary>
    public const int LongestPhoto = 10 * 1024 * 1024;

    /// <summary>Longest file of any other kind, byte.</summary>
    public const int LongestOther = 25 * 1024 * 1024;

    /// <summary>The kinds that are taken, for people.</summary>
    public const string Kinds = "a photo (JPEG, PNG or WebP), a PDF, or text in UTF-8 such as CSV or a log";

    /// <summary>The media type of a content; null for a kind that is not taken, and for nothing at all.</summary>
    public static string? MediaTypeOf(ReadOnlySpan<byte> bytes) =>
        bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? Jpeg
        : bytes.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A]) ? Png
        : bytes.Length >= 12 && bytes.StartsWith("RIFF"u8) && bytes[8..].StartsWith("WEBP"u8) ? WebP
        : bytes.StartsWith("%PDF-"u8) ? Pdf
        : bytes.Length > 0 && !bytes.Contains((byte)0) && Utf8.IsValid(bytes) ? Text
        : null;

    public static bool IsPhoto(string mediaType) => mediaType is Jpeg or Png or WebP;

    /// <summary>The longest a file of this kind may be, byte.</summary>
    public static int Longest(string mediaType) => IsPhoto(mediaType) ? LongestPhoto : LongestOther;

    /// <summary>"3.2 MB", "48 KB": a length in byte for people.</summary>
    public static string SizeInWords(long size) =>
        size >= 1024 * 1024 ? (size / 1048576.0).ToString("0.0", CultureInfo.InvariantCulture) + " MB"
        : size >= 1024 ? FormattableString.Invariant($"{size / 1024} KB")
        : FormattableString.Invariant($"{size} bytes");
}
