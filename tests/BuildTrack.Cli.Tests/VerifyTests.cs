using BuildTrack.Documents.Tests;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Disclosure;
using Xunit;

namespace BuildTrack.Cli.Tests;

public class VerifyTests
{
    [Fact]
    public void A_certificate_as_issued_ends_with_0_and_says_that_all_holds()
    {
        var run = CommandLine.Run("verify", Certificate(SampleCertificates.Pdf), "--fingerprint", SampleCertificates.Key.Fingerprint);

        Assert.True(run.Exit == 0, run.Output);
        Assert.EndsWith("OVC-2026-0031, issue 1: all holds", run.Output.TrimEnd(), StringComparison.Ordinal);
        Assert.DoesNotContain("does not hold", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_changed_byte_ends_with_1_and_names_the_seal()
    {
        var pdf = SampleCertificates.Pdf;
        var at = pdf.AsSpan().LastIndexOf("/Author"u8) + 10;
        pdf[at] ^= 1;

        var run = CommandLine.Run("verify", Certificate(pdf));

        Assert.Equal(1, run.Exit);
        Assert.Contains("seal     does not hold: the file was changed after it was sealed", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_wrong_fingerprint_ends_with_1()
    {
        Assert.Equal(1, CommandLine.Run("verify", Certificate(SampleCertificates.Pdf), "--fingerprint", new string('0', 64)).Exit);
    }

    [Fact]
    public void What_is_no_certificate_ends_with_2()
    {
        Assert.Equal(2, CommandLine.Run("verify", Certificate("hello"u8.ToArray())).Exit);
        Assert.Equal(2, CommandLine.Run("verify", "/no/such/file.pdf").Exit);
        Assert.Equal(2, CommandLine.Run("verify").Exit);
    }

    [Fact]
    public void The_report_comes_as_one_object_too()
    {
        var json = CommandLine.Run("verify", Certificate(SampleCertificates.Pdf), "--json").Json;

        Assert.True(json["holds"]!.GetValue<bool>());
        Assert.Equal(SampleCertificates.Key.Fingerprint, json["signerFingerprint"]!.GetValue<string>());
        Assert.Contains(json["lines"]!.AsArray(), l => l!["outcome"]!.GetValue<string>() == "notChecked");
    }

    [Fact]
    public void A_copy_is_checked_alone_and_against_its_certificate()
    {
        var text = CanonicalJson.Of(CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text) with
        {
            Disclosure = new CertifiedDisclosure(new DisclosureList(["100-01"], true, false, false, false), 1, "H0", "Hollis Brandt-Leigh", null, "mostley", null, "3 Oct 2026 09:00", "00"),
        });
        var (full, copy) = (Certificate(SampleCertificates.Renderer.Render(text)), Certificate(SampleCertificates.Renderer.Render(CustomersCopy.TextOf(text))));

        var alone = CommandLine.Run("verify", copy);
        Assert.True(alone.Exit == 0, alone.Output);
        Assert.Contains("results  not checked: 100-01 Flatness of the rail pads: readings not disclosed, as agreed", alone.Output, StringComparison.Ordinal);
        Assert.EndsWith("OVC-2026-0031, issue 1, customer's copy: all that it discloses holds", alone.Output.TrimEnd(), StringComparison.Ordinal);

        var against = CommandLine.Run("verify", copy, "--full", full);
        Assert.True(against.Exit == 0, against.Output);
        Assert.Contains("full     holds: the copy made again from it is the same word for word", against.Output, StringComparison.Ordinal);
        Assert.Equal(1, CommandLine.Run("verify", copy, "--full", Certificate(SampleCertificates.Pdf)).Exit);
        Assert.Equal(2, CommandLine.Run("verify", copy, "--full", "/no/such/file.pdf").Exit);
        Assert.True(CommandLine.Run("verify", copy, "--json").Json["copy"]!.GetValue<bool>());
    }

    private static string Certificate(byte[] pdf)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("verify").FullName, "certificate.pdf");
        File.WriteAllBytes(path, pdf);
        return path;
    }
}
