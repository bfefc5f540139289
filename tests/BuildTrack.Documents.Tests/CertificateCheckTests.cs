using BuildTrack.Documents.Certificates;
using BuildTrack.Documents.Certificates.Sealing;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Metrology.Verdicts;
using Xunit;

namespace BuildTrack.Documents.Tests;

public class CertificateCheckTests
{
    [Fact]
    public void A_certificate_as_issued_holds_in_every_line()
    {
        var report = CertificateCheck.Check(SampleCertificates.Pdf, SampleCertificates.Key.Fingerprint);

        Assert.True(report.Holds, Text(report));
        Assert.All(report.Lines, l => Assert.Equal(CheckOutcome.Holds, l.Outcome));
        Assert.Equal(["hashes", "record", "results", "seal", "signer", "text"], report.Lines.Select(l => l.About).Distinct().Order(StringComparer.Ordinal));
        Assert.Equal("OVC-2026-0031", report.Number);
    }

    [Fact]
    public void Without_a_told_fingerprint_the_signer_is_not_checked_and_nothing_fails()
    {
        var report = CertificateCheck.Check(SampleCertificates.Pdf, null);

        Assert.True(report.Holds, Text(report));
        Assert.Contains(report.Lines, l => l is { About: "signer", Outcome: CheckOutcome.NotChecked });
    }

    [Fact]
    public void A_told_fingerprint_may_be_written_with_colons_and_capitals()
    {
        var told = string.Join(':', SampleCertificates.Key.Fingerprint.ToUpperInvariant().Chunk(2).Select(c => new string(c)));

        Assert.True(CertificateCheck.Check(SampleCertificates.Pdf, told).Holds);
    }

    [Fact]
    public void A_wrong_fingerprint_is_found()
    {
        var report = CertificateCheck.Check(SampleCertificates.Pdf, new string('0', 64));

        Assert.Contains(report.Lines, l => l is { About: "signer", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains(SampleCertificates.Key.Fingerprint, StringComparison.Ordinal));
    }

    [Fact]
    public void One_changed_bit_anywhere_is_found()
    {
        const int seed = 20261125;
        var random = new Random(seed);
        var pdf = SampleCertificates.Pdf;
        for (var i = 0; i < 200; i++)
        {
            var (at, bit) = (random.Next(pdf.Length), random.Next(8));
            Assert.False(SealHolds(Flipped(pdf, at, bit)), $"seed {seed}, flip {i}: byte {at}, bit {bit} was not found");
        }
    }

    [Fact]
    public void One_changed_bit_in_the_seal_itself_is_found()
    {
        const int seed = 7;
        var random = new Random(seed);
        var pdf = SampleCertificates.Pdf;
        var from = pdf.AsSpan().IndexOf("/Contents<3082"u8);
        var to = from + pdf.AsSpan(from).IndexOf((byte)'>');
        for (var i = 0; i < 400; i++)
        {
            var (at, bit) = (random.Next(from, to + 1), random.Next(8));
            var lines = new CheckLines();
            var changed = Flipped(pdf, at, bit);
            var report = CertificateCheckWithoutSheets(changed, lines);
            Assert.False(report, $"seed {seed}, flip {i}: byte {at}, bit {bit} was not found");
        }
    }

    [Fact]
    public void Any_bytes_give_a_report_and_never_an_exception()
    {
        const int seed = 99;
        var random = new Random(seed);
        var pdf = SampleCertificates.Pdf;
        Assert.False(CertificateCheck.Check([], null).Readable);
        Assert.False(CertificateCheck.Check("no PDF at all"u8.ToArray(), null).Readable);
        for (var i = 0; i < 12; i++)
        {
            var changed = pdf[..random.Next(pdf.Length)];
            Assert.False(CertificateCheck.Check(changed, null).Holds, $"seed {seed}, cut {i} at {changed.Length}");
            for (var n = 0; n < 30; n++)
            {
                if (changed.Length > 0)
                {
                    changed[random.Next(changed.Length)] = (byte)random.Next(256);
                }
            }

            Assert.False(CertificateCheck.Check(changed, null).Holds, $"seed {seed}, noise {i}");
        }
    }

    [Fact]
    public void Sheets_that_say_something_else_than_the_attached_record_are_found()
    {
        var record = CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text);
        var other = CanonicalJson.Of(record with { Machine = record.Machine with { Customer = "Pellworth Elevators" } });

        var report = CertificateCheck.Check(Sealed(CertificatePdf.Draw(other, SampleCertificates.Text)), SampleCertificates.Key.Fingerprint);

        var line = Assert.Single(report.Lines, l => l is { About: "text", Outcome: CheckOutcome.DoesNotHold });
        Assert.Contains("sheet 1", line.Sentence, StringComparison.Ordinal);
        Assert.Contains("Pellworth Elevators", line.Sentence, StringComparison.Ordinal);
        Assert.Contains(report.Lines, l => l is { About: "seal", Outcome: CheckOutcome.Holds });
    }

    [Fact]
    public void A_verdict_written_into_the_record_is_found_although_all_hashes_agree()
    {
        var bad = Samples.BigBed(true);
        var forged = bad with { Result = bad.Result with { Verdict = Verdict.Accepted } };
        var text = CanonicalJson.Of(SampleCertificates.Of(forged));

        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(text), SampleCertificates.Key.Fingerprint);

        Assert.Contains(report.Lines, l => l is { About: "hashes", Outcome: CheckOutcome.Holds });
        Assert.Contains(report.Lines, l => l is { About: "text", Outcome: CheckOutcome.Holds });
        var line = Assert.Single(report.Lines, l => l.Outcome == CheckOutcome.DoesNotHold);
        Assert.Equal("results", line.About);
        Assert.Contains("found 121.0 µm, accepted, expected 121.0 µm, rejected", line.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_budget_that_the_readings_do_not_give_is_found()
    {
        var record = CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text);
        var result = record.Results.First(r => r.Budget is { Lines.IsEmpty: false });
        var smaller = result.Budget! with { Lines = [result.Budget.Lines[0] with { Contribution = result.Budget.Lines[0].Contribution / 2 }, .. result.Budget.Lines.Skip(1)] };
        var text = CanonicalJson.Of(record with { Results = record.Results.Replace(result, result with { Budget = smaller }) });

        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(text), SampleCertificates.Key.Fingerprint);

        var line = Assert.Single(report.Lines, l => l.Outcome == CheckOutcome.DoesNotHold);
        Assert.Contains("the uncertainty budget says", line.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_changed_reading_is_found_by_its_calculation()
    {
        const string before = "\"nanometres\":15900", after = "\"nanometres\":15700";
        Assert.Contains(before, SampleCertificates.Text, StringComparison.Ordinal);
        var forged = SampleCertificates.Text.Replace(before, after, StringComparison.Ordinal);

        var report = CertificateCheck.Check(Sealed(CertificatePdf.Draw(forged)), null);

        Assert.Contains(report.Lines, l => l is { About: "hashes", Outcome: CheckOutcome.DoesNotHold });
        Assert.Contains(report.Lines, l => l is { About: "results", Outcome: CheckOutcome.DoesNotHold });
    }

    [Fact]
    public void A_record_that_is_not_canonical_is_found()
    {
        var loose = SampleCertificates.Text.Replace("{\"format\"", "{ \"format\"", StringComparison.Ordinal).Insert(1, " ");

        var report = CertificateCheck.Check(Sealed(CertificatePdf.Draw(SampleCertificates.Text, loose)), null);

        Assert.Contains(report.Lines, l => l is { About: "record", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("not canonical at character 2", StringComparison.Ordinal));
    }

    [Fact]
    public void A_seal_by_another_key_is_found_by_the_printed_fingerprint()
    {
        using var other = PlantKey.LoadOrCreate(Directory.CreateTempSubdirectory("other-key").FullName, "Somebody Else", TimeProvider.System);
        var pdf = Seal.Put(CertificatePdf.Draw(SampleCertificates.Text), other, "", "", Samples.Begun);

        var report = CertificateCheck.Check(pdf, null);

        Assert.Contains(report.Lines, l => l is { About: "seal", Outcome: CheckOutcome.Holds });
        Assert.Equal(2, report.Lines.Count(l => l is { About: "signer", Outcome: CheckOutcome.DoesNotHold }));
    }

    [Fact]
    public void A_document_without_a_seal_does_not_hold()
    {
        var report = CertificateCheck.Check(CertificatePdf.Draw(SampleCertificates.Text), null);

        Assert.Contains(report.Lines, l => l is { About: "seal", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("0 seals", StringComparison.Ordinal));
    }

    [Fact]
    public void A_second_document_appended_to_the_file_is_found()
    {
        var report = CertificateCheck.Check([.. SampleCertificates.Pdf, .. "\n%%EOF\n"u8], null);

        Assert.Contains(report.Lines, l => l is { About: "seal", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("expected the whole file", StringComparison.Ordinal));
    }

    [Fact]
    public void Rejected_and_not_proven_results_are_certified_as_they_are()
    {
        foreach (var evaluation in new[] { Samples.BigBed(true), Samples.BigBed(false) })
        {
            var pdf = SampleCertificates.Renderer.Render(CanonicalJson.Of(SampleCertificates.Of(evaluation)));
            var report = CertificateCheck.Check(pdf, SampleCertificates.Key.Fingerprint);
            Assert.True(report.Holds, Text(report));
        }
    }

    [Fact]
    public void Sheets_of_another_layout_are_held_to_the_key_facts_and_the_report_says_so()
    {
        var record = CanonicalJson.Read<CertificateRecord>(SampleCertificates.Text);
        var content = PdfContent.Read(SampleCertificates.Pdf) with { Keywords = CertificatePdf.Keywords("0", CanonicalJson.Hash(SampleCertificates.Text)) };
        var (right, wrong) = (new CheckLines(), new CheckLines());

        TextCheck.Run(content, SampleCertificates.Text, record, right);
        TextCheck.Run(content, SampleCertificates.Text, record with { Machine = record.Machine with { Serial = "OV1530-9999" } }, wrong);

        Assert.Equal([CheckOutcome.NotChecked, CheckOutcome.Holds], right.All().Select(l => l.Outcome));
        Assert.Contains("only the key facts", right.All()[0].Sentence, StringComparison.Ordinal);
        Assert.Contains(wrong.All(), l => l.Sentence == "does not hold: serial number: expected 'OV1530-9999', found it on no sheet");
    }

    private static bool SealHolds(byte[] pdf) => CertificateCheckWithoutSheets(pdf, new CheckLines());

    /// <summary>The seal and its printed fingerprint only: 200 flips need no 200 drawings.</summary>
    private static bool CertificateCheckWithoutSheets(byte[] pdf, CheckLines lines)
    {
        try
        {
            var signer = SealCheck.Run(pdf, lines);
            return signer == SampleCertificates.Key.Fingerprint && lines.All().All(l => l.Outcome == CheckOutcome.Holds);
        }
        catch (Exception e) when (e is not Xunit.Sdk.XunitException)
        {
            return false;
        }
    }

    private static byte[] Sealed(byte[] document) => Seal.Put(document, SampleCertificates.Key, "forged", "", Samples.Begun);

    private static byte[] Flipped(byte[] pdf, int at, int bit)
    {
        var changed = (byte[])pdf.Clone();
        changed[at] ^= (byte)(1 << bit);
        return changed;
    }

    private static string Text(CheckReport report) => string.Join('\n', report.Lines.Select(l => $"{l.About} {l.Sentence}"));
}
