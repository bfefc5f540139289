using System.Text;
using BuildTrack.Documents.Certificates.Sealing;
using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using PdfSharp.UniversalAccessibility;
using static System.FormattableString;

namespace BuildTrack.Documents.Certificates;

/// <summary>Draws a certificate as A4 sheets, embeds the record's text unchanged, and seals the file with the plant's key.</summary>
/// <remarks>
/// Everything on the sheets comes from the record, and every calculated number through one formatter, so the same record gives the same text on every
/// machine; bytes differ (the library draws new ids for each file), so the record is what is hashed.
/// </remarks>
public sealed class CertificatePdf(PlantKey key) : ICertificateRenderer
{
    /// <summary>Version of the layout; it stands in the file's keywords. Raise it when a sheet's text or drawing changes.</summary>
    public const string RendererVersion = "6";

    // The library keeps fonts in static tables; one document at a time costs little and cannot surprise.
    private static readonly Lock OneAtATime = new();

    public string KeyFingerprint => key.Fingerprint;

    public byte[] Render(string recordText)
    {
        var record = CanonicalJson.Read<CertificateRecord>(recordText);
        if (record.KeyFingerprint != key.Fingerprint)
        {
            throw new ArgumentException($"The record of {record.Number} names the seal {record.KeyFingerprint}; this plant's key is {key.Fingerprint}.");
        }

        var document = Draw(recordText);
        lock (OneAtATime)
        {
            return Seal.Put(document, key, Invariant($"{(record.IsCopy ? "Customer's copy: " : "")}{record.ScopeTitle}, {record.Number}, issue {record.Issue}"), record.Plant.Name, record.IssuedAt);
        }
    }

    /// <summary>The document of a record without the seal: what a check compares with.</summary>
    public static byte[] Draw(string recordText) => Draw(recordText, recordText);

    /// <summary>The sheets of one text with another one attached: for trying whether a check finds that.</summary>
    internal static byte[] Draw(string recordText, string attached)
    {
        var record = CanonicalJson.Read<CertificateRecord>(recordText);
        var hash = CanonicalJson.Hash(recordText);
        lock (OneAtATime)
        {
            var flow = Plan(record, hash);
            using var document = new PdfDocument();
            Describe(document, record, hash);
            var structure = UAManager.ForDocument(document);
            structure.SetDocumentLanguage("en");
            Paint(document, structure, flow, Block(record, hash));
            using var text = new MemoryStream(Encoding.UTF8.GetBytes(attached));
            document.AddEmbeddedFile(CertificateRecord.EmbeddedName, text);
            using var output = new MemoryStream();
            document.Save(output);
            return output.ToArray();
        }
    }

    /// <summary>The words in the file's keywords that tell which layout drew which record.</summary>
    internal static string Keywords(string version, string hash) => $"BuildTrack certificate layout {version}; record {hash}";

    private static SheetFlow Plan(CertificateRecord record, string hash)
    {
        var (flow, words) = (new SheetFlow(), new Words(record));
        FirstSheet.Set(flow, words);
        ListSheets.Set(flow, words);
        foreach (var result in record.Results.Where(r => !ListSheets.IsList(r)))
        {
            ResultSheets.Set(flow, words, result);
        }

        ComponentSheets.Set(flow, words);
        EvidenceSheets.Set(flow, words);
        AnnexSheets.Set(flow, words, hash);
        return flow;
    }

    private static void Describe(PdfDocument document, CertificateRecord record, string hash)
    {
        document.Info.Title = Invariant($"{(record.IsCopy ? "Customer's copy of acceptance certificate" : "Acceptance certificate")} {record.Number}, issue {record.Issue}: {record.ScopeTitle}, machine {record.Machine.Serial}");
        document.Info.Author = record.Plant.Name;
        document.Info.Subject = record.ScopeTitle;
        document.Info.Keywords = Keywords(RendererVersion, hash);
        document.Info.Creator = "BuildTrack";
        document.Info.CreationDate = record.IssuedAt.Utc.UtcDateTime;
        document.PageLayout = PdfPageLayout.SinglePage;
        document.PageMode = PdfPageMode.UseOutlines;
    }

    private static TitleBlock Block(CertificateRecord record, string hash)
    {
        var words = new Words(record);
        var measured = words.Measurements().SelectMany(s => s.Runs).Where(r => r.Counts).Select(r => r.Person).Distinct();
        return new TitleBlock(
            words.CopyOf is { } copy ? $"{copy}: {record.ScopeTitle}" : $"Acceptance certificate, {record.ScopeTitle}", $"{record.Number} / {record.Machine.Serial}", Invariant($"{record.Issue}"), record.IssuedLocal, record.Plant.Name, record.IsCopy ? "Customer's copy" : "Certificate",
            words.Names(measured), words.Names(record.Releases.Select(r => r.Person).Distinct()), record.Releases.Length == 0 ? "Not released" : "Issued",
            $"Check this file: buildtrack verify FILE.pdf, see annex B.   Record {hash[..16]} …   Amendments are separate issues.", words.CopyOf);
    }

    private static void Paint(PdfDocument document, UAManager structure, SheetFlow flow, TitleBlock block)
    {
        PdfOutline? chapter = null;
        for (var i = 0; i < flow.Pages.Count; i++)
        {
            var sheet = flow.Pages[i];
            var page = document.AddPage();
            page.Width = XUnit.FromMillimeter(210);
            page.Height = XUnit.FromMillimeter(297);
            using var graphics = XGraphics.FromPdfPage(page);
            var painter = new PagePainter(graphics, structure.StructureBuilder);
            foreach (var piece in sheet.Pieces)
            {
                piece(painter);
            }

            // The title block last: whoever listens to a page hears the work first.
            SheetFrame.Draw(painter, block, i + 1, flow.Pages.Count);

            foreach (var (title, level) in sheet.Bookmarks)
            {
                if (level == 1 || chapter is null)
                {
                    chapter = document.Outlines.Add(title, page, opened: true);
                }
                else
                {
                    chapter.Outlines.Add(title, page, opened: true);
                }
            }
        }
    }
}
