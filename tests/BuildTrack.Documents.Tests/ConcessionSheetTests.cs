using BuildTrack.Documents.Certificates;
using BuildTrack.Documents.Certificates.Sealing;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>Concessions and open items of the punch list on a certificate: printed, checked, and absent from records that are older than they.</summary>
public class ConcessionSheetTests
{
    [Fact]
    public void Concessions_and_open_items_are_printed_with_who_and_when()
    {
        var content = PdfContent.Read(SampleCertificates.Renderer.Render(CanonicalJson.Of(SampleCertificates.Conceded())));
        string[] expected =
        [
            "Released under concession CON-0007.", "CON-0007, use under concession, from NCR-0052", "Required: at most 0.100 mm, contract annex 2, edition B. Found: 0.121 mm, U 0.014 mm, rejected.",
            "rails are shimmed at R1-08 and R2-22; this machine only.", "Approved by Maren Ostley (inspector), 24 Nov 2026 08:00:00 +01:00; by Pavel Thornwell (administrator), 24 Nov 2026 09:10:00 +01:00",
            "consent of the customer by Hollis Brandt-Leigh, letter BF 2026/118, recorded by Maren Ostley", "Open items of the punch list", "type plate is not riveted", "Bexley Orme", "2026-12-04",
            "cable chain rubs at 5.9 m", "the chain maker", "2026-12-18",
        ];
        Assert.All(expected, e => Assert.Contains(string.Concat(e.Where(c => !char.IsWhiteSpace(c))), content.Everything, StringComparison.Ordinal));
    }

    [Fact]
    public void Runs_from_paper_are_printed_with_code_scan_and_who_found_them_equal_and_their_loss_is_found()
    {
        var scan = CanonicalJson.Hash("scan of the signed protocol");
        var record = CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text) with
        {
            Papers = [new CertifiedPaper("bed-heights", "Heights of the seats", 1, null, 2, "0A1B2C3D4E5F", "signed.pdf", scan, "bexley.orme", "bexley.orme", "mostley", "24 Nov 2026 10:00:00 +01:00", "the 7 is a 1, asked back")],
        };
        Assert.DoesNotContain("papers", SampleCertificates.Text, StringComparison.OrdinalIgnoreCase);
        var pdf = SampleCertificates.Renderer.Render(CanonicalJson.Of(record));
        string[] expected = ["Readings from signed protocols on paper", "bed-heights, Heights of the seats", "0A1B2C3D4E5F", "signed.pdf", scan, "found equal to the scan by Maren Ostley, 24 Nov 2026 10:00:00 +01:00: the 7 is a 1, asked back"];
        var sheets = PdfContent.Read(pdf);
        Assert.All(expected, e => Assert.Contains(string.Concat(e.Where(c => !char.IsWhiteSpace(c))), sheets.Everything, StringComparison.Ordinal));
        Assert.True(CertificateCheck.Check(pdf, SampleCertificates.Key.Fingerprint).Holds);

        var without = CertificateCheck.Check(Sealed(CertificatePdf.Draw(SampleCertificates.Text, CanonicalJson.Of(record))), null);
        Assert.Single(without.Lines, l => l is { About: "text", Outcome: CheckOutcome.DoesNotHold });
        var (content, lines) = (PdfContent.Read(SampleCertificates.Pdf) with { Keywords = CertificatePdf.Keywords("0", CanonicalJson.Hash(SampleCertificates.Text)) }, new CheckLines());
        TextCheck.Run(content, SampleCertificates.Text, record, lines);
        Assert.Contains(lines.All(), l => l.Sentence == "does not hold: paper of run 2 of bed-heights: expected '0A1B2C3D4E5F', found it on no sheet");
    }

    [Fact]
    public void A_certificate_under_concession_holds_in_every_line()
    {
        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(CanonicalJson.Of(SampleCertificates.Conceded())), SampleCertificates.Key.Fingerprint);

        Assert.True(report.Holds, string.Join('\n', report.Lines.Select(l => l.Sentence)));
        Assert.All(report.Lines, l => Assert.Equal(CheckOutcome.Holds, l.Outcome));
        Assert.Contains(report.Lines, l => l.About == "concessions" && l.Sentence.Contains("is covered by CON-0007 (0.121 mm, U 0.014 mm, rejected)", StringComparison.Ordinal));
    }

    [Fact]
    public void Sheets_that_leave_out_a_concession_or_an_open_item_are_found()
    {
        var record = SampleCertificates.Conceded();
        foreach (var printed in new[] { record with { Concessions = [record.Concessions!.Value[0] with { Text = "the rails are shimmed" }] }, record with { OpenPunch = [record.OpenPunch!.Value[0]] } })
        {
            var report = CertificateCheck.Check(Sealed(CertificatePdf.Draw(CanonicalJson.Of(printed), CanonicalJson.Of(record))), null);
            Assert.Single(report.Lines, l => l is { About: "text", Outcome: CheckOutcome.DoesNotHold });
        }
    }

    [Fact]
    public void A_rejected_result_without_a_concession_that_covers_it_is_found()
    {
        var record = SampleCertificates.Conceded();
        var given = record.Concessions!.Value[0];
        var better = given.Result! with { EvaluationHash = new string('0', 64), Value = 115 };
        var (none, short_) = (record with { Concessions = [] }, record with { Concessions = [given with { Result = better, Found = better.Found, Required = better.Required }] });
        Assert.Equal("100-01 Flatness of the rail pads: found 121.0 µm, rejected, expected accepted or a concession that covers it", Fault(none));
        Assert.Equal(Fault(none), Fault(short_));
        Assert.Contains("CON-0007: found '0.050 mm'", Fault(record with { Concessions = [given with { Found = "0.050 mm" }] }), StringComparison.Ordinal);
        Assert.Contains("CON-0007: found '0.050 mm, U 0.014 mm, rejected'", Fault(record with { Concessions = [given with { Result = given.Result! with { Value = 50 }, Found = "0.050 mm, U 0.014 mm, rejected" }] }), StringComparison.Ordinal);
        Assert.Equal("CON-0007: found nobody who approved it", Fault(record with { Concessions = [given with { Approvals = [] }] }));
        Assert.Equal("punch list item 3: found open with class A, expected B or C", Fault(record with { OpenPunch = [record.OpenPunch!.Value[0] with { Class = "A" }] }));
    }

    [Fact]
    public void A_record_without_these_sections_is_read_and_drawn_as_before()
    {
        var record = SampleCertificates.Of(Samples.MiddleBed());
        var text = CanonicalJson.Of(record);
        Assert.DoesNotContain("concessions", text, StringComparison.Ordinal);
        Assert.DoesNotContain("openPunch", text, StringComparison.Ordinal);
        Assert.Null(CanonicalJson.Read<CertificateRecord>(text).Concessions);
        Assert.DoesNotContain("Concessions", PdfContent.Read(CertificatePdf.Draw(text)).Everything, StringComparison.Ordinal);
        Assert.True(CertificateCheck.Check(SampleCertificates.Renderer.Render(text), null).Holds);

        var none = CanonicalJson.Of(record with { Concessions = [], OpenPunch = [] });
        Assert.Contains("ConcessionsNone.OpenitemsofthepunchlistNone.", PdfContent.Read(CertificatePdf.Draw(none)).Everything, StringComparison.Ordinal);
        Assert.True(CertificateCheck.Check(SampleCertificates.Renderer.Render(none), null).Holds);
    }

    [Fact]
    public void On_another_layout_the_new_sections_are_among_the_key_facts()
    {
        var record = SampleCertificates.Conceded();
        var text = CanonicalJson.Of(record);
        var content = PdfContent.Read(SampleCertificates.Renderer.Render(text)) with { Keywords = CertificatePdf.Keywords("0", CanonicalJson.Hash(text)) };
        var (right, wrong) = (new CheckLines(), new CheckLines());

        TextCheck.Run(content, text, record, right);
        TextCheck.Run(content, text, record with { Concessions = [record.Concessions!.Value[0] with { Number = "CON-0099" }], OpenPunch = [record.OpenPunch!.Value[0] with { Text = "wheel missing", Due = "2027-01-01" }] }, wrong);

        Assert.DoesNotContain(right.All(), l => l.Outcome == CheckOutcome.DoesNotHold);
        Assert.Equal(
            ["concession CON-0099: expected 'CON-0099'", "due date of item 3: expected '2027-01-01'", "punch list item 3: expected 'wheel missing'"],
            wrong.All().Where(l => l.Outcome == CheckOutcome.DoesNotHold).Select(l => l.Sentence["does not hold: ".Length..l.Sentence.IndexOf(", found", StringComparison.Ordinal)]).Order(StringComparer.Ordinal));
    }

    private static string Fault(CertificateRecord record)
    {
        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(CanonicalJson.Of(record)), null);
        return Assert.Single(report.Lines, l => l.Outcome == CheckOutcome.DoesNotHold).Sentence["does not hold: ".Length..];
    }

    private static byte[] Sealed(byte[] document) => Seal.Put(document, SampleCertificates.Key, "forged", "", Samples.Begun);
}
