using BuildTrack.Documents.Tests;
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

    private static string Certificate(byte[] pdf)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("verify").FullName, "certificate.pdf");
        File.WriteAllBytes(path, pdf);
        return path;
    }
}
