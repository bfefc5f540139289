using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using static System.FormattableString;

namespace BuildTrack.Documents.Checking;

/// <summary>A customer's copy held against the certificate it was made from: the copy is made again and compared word for word.</summary>
internal static class CopyCheck
{
    public static void Run(string copyText, CertificateRecord copy, string? signer, byte[] fullPdf, CheckLines lines)
    {
        if (!copy.IsCopy)
        {
            lines.Fails("full", $"the file is no customer's copy but {copy.Number} itself, found a certificate to hold it against");
            return;
        }

        var report = CertificateCheck.Check(fullPdf, signer);
        if (report.Lines.FirstOrDefault(l => l.Outcome == CheckOutcome.DoesNotHold) is { } fault)
        {
            lines.Fails("full", $"the certificate given, under the seal of the copy: {fault.About} {fault.Sentence}");
            return;
        }

        var fullText = Encoding.UTF8.GetString(PdfContent.Read(fullPdf).Record!);
        var (named, found) = (copy.Disclosure?.FullRecord, CanonicalJson.Hash(fullText));
        if (named != found)
        {
            lines.Fails("full", $"the copy was made from a record with SHA-256 {named ?? "none"}, that of the certificate given, {report.Number} issue {report.Issue}, has {found}");
            return;
        }

        lines.Holds("full", $"the certificate given, {report.Number} issue {report.Issue}, holds itself, has the same seal, and its record is the one that the copy names");
        var again = CustomersCopy.TextOf(fullText);
        if (again == copyText)
        {
            lines.Holds("full", Invariant($"the copy made again from it is the same word for word, {again.Length} characters"));
            return;
        }

        var at = again.Zip(copyText).TakeWhile(p => p.First == p.Second).Count();
        lines.Fails("full", Invariant($"the copy differs from one made again at character {at + 1}: found '{RecordCheck.Near(copyText, at)}', expected '{RecordCheck.Near(again, at)}'"));
    }
}
