using BuildTrack.Documents.Certificates;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>A release by somebody who measured, or in another's place, is said on the first sheet.</summary>
public sealed class ReleaseStampTests
{
    private static CertificateRecord Record(Func<CertifiedRelease, CertifiedRelease> change) =>
        CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text) is var record ? record with { Releases = [change(record.Releases[0])] } : throw new InvalidOperationException();

    private static string Everything(CertificateRecord record) => PdfContent.Read(SampleCertificates.Renderer.Render(CanonicalJson.Of(record))).Everything;

    private static string Close(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));

    [Fact]
    public void An_emergency_is_printed_with_both_people_and_the_reason_and_checked_with_the_key_facts()
    {
        var record = Record(r => r with { Person = "rtallworth", Measured = true, Reason = "the lorry leaves at noon", ConfirmedBy = "mostley" });
        var printed = Everything(record);
        Assert.Contains(Close("Released in an emergency by Renna Tallworth, confirmed by Maren Ostley: the lorry leaves at noon"), printed, StringComparison.Ordinal);
        Assert.DoesNotContain(Close("Released by people who did not measure"), printed, StringComparison.Ordinal);
        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(CanonicalJson.Of(record)), SampleCertificates.Key.Fingerprint);
        Assert.All(report.Lines, l => Assert.Equal(CheckOutcome.Holds, l.Outcome));
    }

    [Fact]
    public void Where_the_company_allows_it_the_sheet_says_who_measured_too()
    {
        var printed = Everything(Record(r => r with { Measured = true }));
        Assert.Contains(Close("Measured it too; the company's rule of this edition allows it"), printed, StringComparison.Ordinal);
        Assert.DoesNotContain(Close("Released by people who did not measure"), printed, StringComparison.Ordinal);
    }

    [Fact]
    public void A_release_in_the_place_of_another_names_the_delegation()
    {
        var printed = Everything(Record(r => r with { Person = "jpell", For = "mostley", Delegation = 3 }));
        Assert.Contains(Close("Jorin Pell for Maren Ostley under delegation 3"), printed, StringComparison.Ordinal);
    }

    [Fact]
    public void Any_other_release_is_written_and_printed_as_before()
    {
        Assert.DoesNotContain("measured\":true", SampleCertificates.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("confirmedBy", SampleCertificates.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("delegation", SampleCertificates.Text, StringComparison.Ordinal);
        Assert.Contains(Close("Released by people who did not measure"), Everything(Record(r => r)), StringComparison.Ordinal);
    }
}
