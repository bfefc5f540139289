using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using static System.FormattableString;

namespace BuildTrack.Documents.Checking;

/// <summary>Checks a certificate from its file alone: seal, signer, record, hashes, results calculated again, printed text.</summary>
/// <remarks>
/// Needs no database and no network, so a customer can run it years later. It takes any bytes: a damaged or hostile file gives a report, never an exception.
/// A self-made file with another key is intact in itself; only the fingerprint, learned by another way, tells whose it is.
/// </remarks>
public static class CertificateCheck
{
    /// <summary>Larger files are not read.</summary>
    public const int LargestFile = 64 * 1024 * 1024;

    /// <summary>Checks a file.</summary>
    /// <param name="fingerprint">The fingerprint the plant gave by another way; null where none is known. Case, blanks and colons do not count.</param>
    /// <param name="full">The certificate that a customer's copy was made from; null where only the file itself is looked at.</param>
    public static CheckReport Check(byte[] pdf, string? fingerprint, byte[]? full = null)
    {
        if (pdf.Length is 0 or > LargestFile)
        {
            return Unreadable(Invariant($"the file has {pdf.Length} bytes, expected 1 to {LargestFile}"));
        }

        var lines = new CheckLines();
        var signer = Guarded(lines, "seal", () => SealCheck.Run(pdf, lines));
        PdfContent content;
        try
        {
            content = PdfContent.Read(pdf);
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            // Any reader may fail in any way on any bytes; to the person who asks it is all one: not a readable PDF.
            return Unreadable($"the file cannot be read as a PDF: {e.Message}");
        }

        if (content.Record is null)
        {
            lines.Fails("record", $"no attachment {CertificateRecord.EmbeddedName}; found {(content.Attachments.Length == 0 ? "none" : string.Join(", ", content.Attachments))}");
            return new CheckReport(false, null, null, signer, lines.All());
        }

        if (content.Attachments.Length != 1)
        {
            lines.Fails("record", Invariant($"the file has {content.Attachments.Length} attachments, expected one"));
        }

        var record = Guarded(lines, "record", () => Record(content, lines));
        Guarded(lines, "signer", () => Signer(content, record, signer, fingerprint, lines));
        if (record is not null)
        {
            var text = Encoding.UTF8.GetString(content.Record);
            Guarded(lines, "hashes", () => RecordCheck.Hashes(record, lines));
            Guarded(lines, "results", () => RecordCheck.Results(record, lines));
            Guarded(lines, "concessions", () => RecordCheck.Concessions(record, lines));
            Guarded(lines, "text", () => TextCheck.Run(content, text, record, lines));
            if (full is not null)
            {
                Guarded(lines, "full", () => CopyCheck.Run(text, record, signer, full, lines));
            }
        }

        return new CheckReport(true, record?.Number, record?.Issue, signer, lines.All()) { IsCopy = record?.IsCopy == true };
    }

    private static CertificateRecord? Record(PdfContent content, CheckLines lines)
    {
        string text;
        try
        {
            text = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(content.Record!);
        }
        catch (ArgumentException e)
        {
            lines.Fails("record", $"{CertificateRecord.EmbeddedName} is not UTF-8 text: {e.Message}");
            return null;
        }

        var hash = CanonicalJson.Hash(content.Record);
        foreach (var (where, found) in new[] { ("printed in annex B", content.PrintedRecordHash), ("in the file's keywords", content.Layout?.Hash) })
        {
            if (found == hash)
            {
                lines.Holds("record", $"the record's hash is the one {where}");
            }
            else
            {
                lines.Fails("record", $"the record's hash {where}: found {found ?? "none"}, expected {hash}");
            }
        }

        return RecordCheck.Read(text, lines);
    }

    private static void Signer(PdfContent content, CertificateRecord? record, string? signer, string? told, CheckLines lines)
    {
        foreach (var (where, stated) in new[] { ("printed in annex B", content.PrintedFingerprint), ("in the record", record?.KeyFingerprint) })
        {
            if (signer is null || stated != signer)
            {
                lines.Fails("signer", $"the fingerprint {where}: found {stated ?? "none"}, expected {signer ?? "that of a seal, and there is none"}");
            }
            else
            {
                lines.Holds("signer", $"the fingerprint {where} is that of the sealing certificate");
            }
        }

        if (string.IsNullOrWhiteSpace(told))
        {
            lines.NotChecked("signer", "who sealed it: compare the fingerprint with one from the plant, by --fingerprint or by eye");
            return;
        }

        var clean = string.Concat(told.Where(c => !char.IsWhiteSpace(c) && c != ':')).ToLowerInvariant();
        if (clean == signer)
        {
            lines.Holds("signer", "the sealing certificate has the fingerprint that was told");
        }
        else
        {
            lines.Fails("signer", $"the sealing certificate: found fingerprint {signer ?? "none"}, expected {clean} as told");
        }
    }

    private static CheckReport Unreadable(string why)
    {
        var lines = new CheckLines();
        lines.Fails("file", why);
        return new CheckReport(false, null, null, null, lines.All());
    }

    private static void Guarded(CheckLines lines, string about, Action part) => Guarded<object?>(lines, about, () =>
    {
        part();
        return null;
    });

    /// <summary>A part that stumbles over hostile bytes has not held; the report says so and goes on.</summary>
    private static T? Guarded<T>(CheckLines lines, string about, Func<T> part)
    {
        try
        {
            return part();
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            lines.Fails(about, $"could not be read: {e.Message}");
            return default;
        }
    }
}
