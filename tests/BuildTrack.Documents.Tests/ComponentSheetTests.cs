using BuildTrack.Documents.Certificates;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The as-built list of a certificate: printed with what was swapped, checked against the record, and absent where the record has none.</summary>
public class ComponentSheetTests
{
    private static CertificateRecord Record => SampleCertificates.Of(Samples.MiddleBed()) with
    {
        Components =
        [
            new CertifiedComponent("rail-r1/1", "Rail R1, segment 1 of 2", "Rails and racks", "R4-0417-01", null, "H-041701", "end to A", "bexley.orme", "24 Nov 2026 08:00:00 +01:00"),
            new CertifiedComponent("source/1", "Laser source", "Laser, gas and cooling", "LS12-0417-02", "4.2.1", "H-041702", null, "jpell", "24 Nov 2026 09:00:00 +01:00",
                [new CertifiedSwap("LS12-0417-01", "no emission", "jpell", "24 Nov 2026 09:00:00 +01:00")]),
        ],
    };

    [Fact]
    public void Every_component_is_printed_with_what_it_was_swapped_for()
    {
        var text = CanonicalJson.Of(Record);
        var found = PdfContent.Read(CertificatePdf.Draw(text)).Everything;
        foreach (var said in new[] { "As-builtlist", "RailR1,segment1of2R4-0417-01–H-041701endtoABexleyOrme", "LS12-0417-024.2.1H-041702–JorinPell", "LasersourceLS12-0417-01noemissionJorinPell" })
        {
            Assert.Contains(said, found, StringComparison.Ordinal);
        }

        Assert.True(CertificateCheck.Check(SampleCertificates.Renderer.Render(text), null).Holds);
    }

    [Fact]
    public void A_record_without_components_has_no_such_sheet()
    {
        var text = CanonicalJson.Of(Record with { Components = null });
        Assert.DoesNotContain("components", text, StringComparison.Ordinal);
        Assert.DoesNotContain("As-builtlist", PdfContent.Read(CertificatePdf.Draw(text)).Everything, StringComparison.Ordinal);
    }

    [Fact]
    public void On_another_layout_the_serial_numbers_are_among_the_key_facts()
    {
        var text = CanonicalJson.Of(Record);
        var content = PdfContent.Read(SampleCertificates.Renderer.Render(text)) with { Keywords = CertificatePdf.Keywords("0", CanonicalJson.Hash(text)) };
        var (right, wrong) = (new CheckLines(), new CheckLines());
        TextCheck.Run(content, text, Record, right);
        TextCheck.Run(content, text, Record with { Components = Record.Components!.Value.SetItem(0, Record.Components.Value[0] with { Serial = "R4-0417-09" }) }, wrong);
        Assert.DoesNotContain(right.All(), l => l.Outcome == CheckOutcome.DoesNotHold);
        Assert.Equal("does not hold: serial number of Rail R1, segment 1 of 2: expected 'R4-0417-09', found it on no sheet", Assert.Single(wrong.All(), l => l.Outcome == CheckOutcome.DoesNotHold).Sentence);
    }
}
