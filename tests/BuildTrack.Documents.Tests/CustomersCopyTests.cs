using System.Collections.Immutable;
using System.Text;
using BuildTrack.Documents.Certificates;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using UglyToad.PdfPig;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The customer's copy: what it leaves out is nowhere in it, what it says is the certificate's, and both can be proved.</summary>
public class CustomersCopyTests
{
    private static readonly DisclosureList Everything = new([DisclosureList.AllLines], true, true, true, true);
    private static readonly DisclosureList Names = new([], true, false, false, false);

    /// <summary>Words that a reader of a withheld record could look for.</summary>
    private static readonly string[] People = ["Bexley Orme", "Jorin Pell", "Maren Ostley", "Pavel Thornwell", "Renna Tallworth", "bexley.orme", "jpell", "mostley", "pthornwell", "rtallworth"];

    /// <summary>A rich certificate: two results, a concession, open items, components, a witness, and names wherever a person may type one.</summary>
    private static CertificateRecord Full(DisclosureList list)
    {
        var record = SampleCertificates.Conceded();
        var pads = Samples.Pads();
        var bed = Typed(record.Results.Single());
        return record with
        {
            Concessions = [.. record.Concessions!.Value.Select(c => c with { Result = FailedResult.Of(new StoredEvaluation(1, bed.Line, bed.EvaluationHash, Samples.Begun, bed.Evaluation)) })],
            Results = [bed, CertifiedResult.Of("100-04", pads.Input.Characteristic.Title, pads.Hash, pads)],
            Supersedes = "Amendment: replaces issue 1 of 2 Nov 2026, void: Jorin Pell misread the order.",
            OpenPunch = [.. record.OpenPunch!.Value.Select(i => i with { Text = $"{i.Text}, seen by bexley.orme." })],
            Witnesses =
            [
                new CertifiedWitness(
                    "H1", "Bed geometry, cold", "Hollis Brandt-Leigh", "Corvane Rail Parts", "accepts", "2026-11-24", 10, null, "every reading was shown twice", "ABCD-1234", CanonicalJson.Hash("scan"), "mostley", "24 Nov 2026 11:00"),
            ],
            Papers = [new CertifiedPaper("100-bed", "Heights of the pads", 2, null, 1, "0A1B2C3D4E5F", "paper of Jorin Pell.pdf", CanonicalJson.Hash("paper"), "jpell", "rtallworth", "mostley", "24 Nov 2026 10:00", "a 7, says bexley.orme")],
            Components =
            [
                new CertifiedComponent("chiller/1", "Chiller", "Cooling", "S-K2-778", "fw 4.11", "HEAT-90210", null, "rtallworth", "20 Nov 2026 09:00", [new CertifiedSwap("S-K1-112", "pump loud, says Renna Tallworth", "jpell", "21 Nov 2026 10:00")]),
            ],
            Disclosure = new CertifiedDisclosure(list, 2, "H0", "Hollis Brandt-Leigh, contract annex 4", "asked for by the customer", "pthornwell", "mostley", "3 Oct 2026 09:00:00 +02:00", "00112233445566778899aabbccddeeff"),
        };
    }

    // What people typed of a run, with names in it and one run set aside.
    private static CertifiedResult Typed(CertifiedResult result)
    {
        var (key, source) = result.Evaluation.Input.Sources.First();
        var runs = source.Readings!.Runs;
        var aside = runs[0] with
        {
            Id = 900, No = runs.Length + 1, Discarded = new Discarded("jpell", runs[0].Finished!.Value, "the crane ran, said Renna Tallworth"),
            Conditions = new Conditions(20.1m, [20.5m], [20.1m], "door opened by Jorin Pell"),
        };
        var input = result.Evaluation.Input with
        {
            Requirement = result.Evaluation.Input.Requirement with { ApprovedBy = "pthornwell" },
            Sources = result.Evaluation.Input.Sources.SetItem(key, source with { Readings = source.Readings with { Runs = [.. runs, aside] } }),
        };
        var evaluation = Evaluators.Evaluate(input);
        return CertifiedResult.Of(result.Line, result.Title, evaluation.Hash, evaluation);
    }

    private static string TextOf(DisclosureList list) => CanonicalJson.Of(Full(list));

    private static CertificateRecord Copy(DisclosureList list) => CanonicalJson.Read<CertificateRecord>(CustomersCopy.TextOf(TextOf(list)));

    private static (byte[] Full, byte[] Copy) Files(DisclosureList list)
    {
        var text = TextOf(list);
        return (SampleCertificates.Renderer.Render(text), SampleCertificates.Renderer.Render(CustomersCopy.TextOf(text)));
    }

    private static string Said(CheckReport report) => string.Join('\n', report.Lines.Select(l => $"{l.About} {l.Sentence}"));

    private static string[] Typed(CertificateRecord record) =>
        [.. record.Results.SelectMany(r => r.Evaluation.Input.Sources.Values).SelectMany(s => s.Readings?.Runs ?? []).SelectMany(r => r.Readings).Select(r => r.Value.Typed).Where(t => t.Length > 5).Distinct()];

    [Fact]
    public void Nothing_that_is_withheld_is_left_in_the_record()
    {
        var text = CustomersCopy.TextOf(TextOf(Everything));

        Assert.All(People, p => Assert.DoesNotContain(p, text, StringComparison.OrdinalIgnoreCase));
        foreach (var withheld in new[] { "S-K2-778", "S-K1-112", "fw 4.11", "HEAT-90210", "the crane ran", "a 7, says", "paper of", "foot 4 moved", "pump loud", "00112233445566778899aabbccddeeff" })
        {
            Assert.Contains(withheld, TextOf(Everything), StringComparison.Ordinal);
            Assert.DoesNotContain(withheld, text, StringComparison.Ordinal);
        }

        var copy = CanonicalJson.Read<CertificateRecord>(text);
        Assert.Empty(Typed(copy));
        Assert.All(copy.Results, r => Assert.True(r.Withheld));
        Assert.All(copy.Results.Select(r => r.Evaluation.Result), r => Assert.Equal((0, 0, 0, 0), (r.Deviations.Length, r.Contacts.Length, r.Figures.Length, r.Because.Length)));
    }

    [Fact]
    public void Results_limits_instruments_concessions_open_items_and_the_customers_witness_stay()
    {
        var (full, copy) = (Full(Everything), Copy(Everything));

        foreach (var (was, now) in full.Results.Zip(copy.Results))
        {
            var (a, b) = (was.Evaluation.Result, now.Evaluation.Result);
            Assert.Equal((a.Value, a.Verdict, a.ExpandedUncertainty, a.K, a.ReachAbove, a.AcceptBand, a.Upper, a.Lower), (b.Value, b.Verdict, b.ExpandedUncertainty, b.K, b.ReachAbove, b.AcceptBand, b.Upper, b.Lower));
            Assert.Equal(was.Evaluation.Input.Requirement.Upper, now.Evaluation.Input.Requirement.Upper);
            Assert.Equal(CanonicalJson.Of(Instruments(was)), CanonicalJson.Of(Instruments(now)));
        }

        var (given, stays) = (full.Concessions!.Value.Single(), copy.Concessions!.Value.Single());
        Assert.Equal((given.Number, given.Kind, given.Required, given.Found, given.Text, given.Consent!.Person), (stays.Number, stays.Kind, stays.Required, stays.Found, stays.Text, stays.Consent!.Person));
        Assert.Equal(full.OpenPunch!.Value.Select(i => (i.No, i.Class, i.Due)), copy.OpenPunch!.Value.Select(i => (i.No, i.Class, i.Due)));
        Assert.Equal("the chain maker", copy.OpenPunch.Value[1].Owner);
        Assert.Equal("Hollis Brandt-Leigh", copy.Witnesses!.Value.Single().Witness);
        Assert.Equal((full.Number, full.Issue, CustomersCopy.Format, CanonicalJson.Hash(TextOf(Everything))), (copy.Number, copy.Issue, copy.Format, copy.Disclosure!.FullRecord));
    }

    [Fact]
    public void The_remark_of_the_customers_witness_stays_word_for_word()
    {
        var full = Full(Names);
        const string remark = "Maren Ostley showed every reading";
        var copy = CustomersCopy.Of(full with { Witnesses = [full.Witnesses!.Value.Single() with { Remark = remark }] }, CanonicalJson.Hash("x"));
        Assert.Equal(remark, copy.Witnesses!.Value.Single().Remark);
        Assert.Equal("inspector 1", copy.People[copy.Witnesses.Value.Single().AttestedBy].Name);
    }

    private static ImmutableArray<string> Instruments(CertifiedResult result) =>
        [.. result.Evaluation.Input.Sources.Values.SelectMany(s => s.Readings!.Runs).SelectMany(r => r.Instruments).Select(i => i.Id + i.Serial + i.ValidTo + i.Certificate)];

    [Fact]
    public void A_person_has_one_other_name_wherever_he_stands()
    {
        var copy = Copy(Names);

        Assert.Equal(copy.Releases.Single().Person, copy.Concessions!.Value.Single().Approvals[0].Person);
        Assert.Equal(copy.Releases.Single().Person, copy.Disclosure!.ApprovedBy);
        Assert.Equal(("inspector 1", "inspector"), (copy.People[copy.Releases.Single().Person].Name, copy.People[copy.Releases.Single().Person].Roles));
        var paper = copy.Papers!.Value.Single();
        Assert.Equal((CustomersCopy.NotDisclosed, copy.Releases.Single().Person), (paper.Scan, paper.ConfirmedBy));
        Assert.Equal($"a 7, says {copy.People[copy.OpenPunch!.Value[0].Owner].Name}", paper.Remark);
        Assert.Equal(3, new[] { paper.MeasuredBy, paper.EnteredBy, paper.ConfirmedBy }.Distinct().Count());
        Assert.Equal(copy.Results[0].EvaluationHash, copy.Concessions.Value.Single().Result!.EvaluationHash);
        Assert.NotEqual(Full(Names).Results[0].EvaluationHash, copy.Results[0].EvaluationHash);
        Assert.Equal($"type plate is not riveted, seen by {copy.People[copy.OpenPunch!.Value[0].Owner].Name}.", copy.OpenPunch.Value[0].Text);
        Assert.Equal(copy.People.Count, copy.People.Values.Select(p => p.Name).Distinct().Count());
        Assert.All(copy.People.Values, p => Assert.Matches("^(technician|inspector|approver) [1-9]$", p.Name));
    }

    [Fact]
    public void Who_stands_nowhere_else_but_recorded_the_list_has_another_name_too()
    {
        var full = Full(Names);
        var copy = CustomersCopy.Of(full with { People = full.People.Add("odo.fenn", new CertifiedPerson("Odo Fenn", "administrator")), Disclosure = full.Disclosure! with { RecordedBy = "odo.fenn" } }, "");

        Assert.Equal("administrator 1", copy.People[copy.Disclosure!.RecordedBy].Name);
    }

    [Fact]
    public void A_copy_of_a_copy_is_the_copy_and_one_made_twice_is_the_same()
    {
        var text = CustomersCopy.TextOf(TextOf(Everything));

        Assert.Equal(text, CustomersCopy.TextOf(TextOf(Everything)));
        Assert.Equal(text, CustomersCopy.TextOf(text));
    }

    [Fact]
    public void A_record_without_a_list_has_no_copy_and_is_written_as_ever()
    {
        Assert.Throws<ArgumentException>(() => CustomersCopy.TextOf(SampleCertificates.Text));
        Assert.DoesNotContain("disclosure", SampleCertificates.Text, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("withheld", SampleCertificates.Text, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void Readings_are_withheld_on_every_line_that_rests_on_them()
    {
        var record = Full(new DisclosureList(["100-01"], false, false, false, false));
        var twin = record.Results[0].Evaluation;
        var other = new EvaluationRecord(twin.Input with { Characteristic = twin.Input.Characteristic with { Line = "100-07" } }, twin.Result);
        var text = CanonicalJson.Of(record with { Results = [.. record.Results, CertifiedResult.Of("100-07", "Flatness again", other.Hash, other)] });
        var copy = CanonicalJson.Read<CertificateRecord>(CustomersCopy.TextOf(text));

        Assert.Equal([("100-01", true), ("100-04", false), ("100-07", true)], copy.Results.Select(r => (r.Line, r.Withheld == true)));
        Assert.NotEmpty(Typed(copy));
    }

    [Theory]
    [InlineData(false, true)]
    [InlineData(true, true)]
    [InlineData(true, false)]
    public void The_copy_holds_from_its_file_alone_and_against_its_certificate(bool readings, bool names)
    {
        var (full, copy) = Files(new DisclosureList(readings ? ["100-01"] : [], names, true, true, true));

        var alone = CertificateCheck.Check(copy, SampleCertificates.Key.Fingerprint);
        Assert.True(alone.Holds, Said(alone));
        Assert.True(alone.IsCopy);
        var results = alone.Lines.Where(l => l.About == "results").ToDictionary(l => l.Sentence.Split(' ', '"').First(w => w.StartsWith("100-", StringComparison.Ordinal)), StringComparer.Ordinal);
        Assert.Equal(readings ? CheckOutcome.NotChecked : CheckOutcome.Holds, results["100-01"].Outcome);
        Assert.Equal(CheckOutcome.Holds, results["100-04"].Outcome);
        Assert.Equal(readings, results["100-01"].Sentence.Contains("not checked: 100-01", StringComparison.Ordinal) && results["100-01"].Sentence.EndsWith("readings not disclosed, as agreed", StringComparison.Ordinal));
        Assert.Contains(alone.Lines, l => l is { About: "text", Outcome: CheckOutcome.Holds });

        var against = CertificateCheck.Check(copy, SampleCertificates.Key.Fingerprint, full);
        Assert.True(against.Holds, Said(against));
        Assert.Equal(2, against.Lines.Count(l => l is { About: "full", Outcome: CheckOutcome.Holds }));
        Assert.True(CertificateCheck.Check(full, SampleCertificates.Key.Fingerprint).Holds);
    }

    [Fact]
    public void A_copy_that_says_something_else_is_found_against_its_certificate()
    {
        var (full, _) = Files(Everything);
        var copy = Copy(Everything);
        var better = copy with { Results = [copy.Results[0] with { Evaluation = copy.Results[0].Evaluation with { Result = copy.Results[0].Evaluation.Result with { Value = 80.0 } } }, .. copy.Results.Skip(1)] };
        var report = CertificateCheck.Check(SampleCertificates.Renderer.Render(CanonicalJson.Of(better)), SampleCertificates.Key.Fingerprint, full);

        Assert.Contains(report.Lines, l => l is { About: "full", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("the copy differs from one made again at character", StringComparison.Ordinal));
    }

    [Fact]
    public void A_copy_with_a_changed_byte_and_one_against_another_certificate_do_not_hold()
    {
        var (full, copy) = Files(Everything);
        var changed = (byte[])copy.Clone();
        changed[changed.Length / 3] ^= 1;
        Assert.Contains(CertificateCheck.Check(changed, null).Lines, l => l is { About: "seal", Outcome: CheckOutcome.DoesNotHold });

        var (other, _) = Files(Names);
        Assert.Contains(CertificateCheck.Check(copy, null, other).Lines, l => l is { About: "full", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("the copy was made from a record with SHA-256", StringComparison.Ordinal));
        Assert.Contains(CertificateCheck.Check(copy, null, "no PDF"u8.ToArray()).Lines, l => l is { About: "full", Outcome: CheckOutcome.DoesNotHold });
        Assert.Contains(CertificateCheck.Check(full, null, full).Lines, l => l is { About: "full", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("is no customer's copy", StringComparison.Ordinal));
    }

    [Fact]
    public void A_certificate_that_withholds_readings_and_a_withheld_result_with_readings_do_not_hold()
    {
        var full = Full(Names);
        var hidden = CanonicalJson.Of(full with { Results = [.. full.Results.Select(r => r with { Withheld = true })] });
        Assert.Contains(CertificateCheck.Check(SampleCertificates.Renderer.Render(hidden), null).Lines, l => l is { About: "results", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("only a customer's copy withholds readings", StringComparison.Ordinal));

        var copy = Copy(Names);
        var shown = CanonicalJson.Of(copy with { Results = [.. copy.Results.Select(r => r with { Withheld = true })] });
        Assert.Contains(CertificateCheck.Check(SampleCertificates.Renderer.Render(shown), null).Lines, l => l is { About: "results", Outcome: CheckOutcome.DoesNotHold } && l.Sentence.Contains("found some", StringComparison.Ordinal));
    }

    [Fact]
    public void Nothing_that_is_withheld_is_left_anywhere_in_the_file()
    {
        var (fullPdf, pdf) = Files(Everything);
        // The least thickness is a reading and a result at once, and a result stays; four noughts stand in every time of day.
        var readings = Typed(Full(Everything)).Except(["17.4000", "0.0000"]).Concat(["S-K2-778", "S-K1-112", "fw 4.11", "HEAT-90210", "the crane ran", "a 7, says", "paper of", "foot 4 moved", .. People.Take(5)]).ToArray();
        Assert.All(readings, r => Assert.Contains(Close(r), Inside(fullPdf), StringComparison.Ordinal));

        var inside = Inside(pdf);
        Assert.All(readings, r => Assert.DoesNotContain(Close(r), inside, StringComparison.Ordinal));
        Assert.All(People, p => Assert.DoesNotContain(Close(p), inside, StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public void Every_sheet_is_headed_and_the_first_says_what_is_left_out_by_whom_and_when()
    {
        var list = new DisclosureList(["100-01"], true, false, false, true);
        var content = PdfContent.Read(Files(list).Copy);

        Assert.All(content.Sheets, s => Assert.Contains(s.Texts, t => t.Text == "Customer's copy of certificate No OVC-2026-0031, issue 1"));
        var first = Close(string.Concat(content.Sheets[0].Texts.Select(t => t.Text)));
        foreach (var said in new[]
        {
            "This copy leaves out, as agreed at H0: the readings of line 100-01", "named by role and number", "serial numbers, firmware and certificates of the components",
            "Disclosure list, revision 2: agreed with Hollis Brandt-Leigh, contract annex 4, recorded by approver 1 on 3 Oct 2026 09:00:00 +02:00, approved by inspector 1",
            $"SHA-256 of the certificate's full record: {CanonicalJson.Hash(TextOf(list))}",
        })
        {
            Assert.Contains(Close(said), first, StringComparison.Ordinal);
        }

        Assert.Contains(Close("The customer's copy leaves out, as agreed at H0"), PdfContent.Read(Files(list).Full).Everything, StringComparison.Ordinal);
    }

    private static string Close(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));

    /// <summary>Everything readable in a file: printed, attached, described, outlined, and the raw bytes with every stream unpacked.</summary>
    private static string Inside(byte[] pdf)
    {
        using var document = PdfDocument.Open(pdf);
        var text = new StringBuilder(PdfContent.Read(pdf).Everything).Append(Encoding.UTF8.GetString(PdfContent.Read(pdf).Record!));
        foreach (var token in document.Structure.CrossReferenceTable.ObjectOffsets.Keys.Select(document.Structure.GetObject))
        {
            text.Append('\n').Append(token.Data);
            if (token.Data is UglyToad.PdfPig.Tokens.DictionaryToken or UglyToad.PdfPig.Tokens.StreamToken)
            {
                var dictionary = token.Data as UglyToad.PdfPig.Tokens.DictionaryToken ?? ((UglyToad.PdfPig.Tokens.StreamToken)token.Data).StreamDictionary;
                text.Append('\n').Append(string.Join('\n', dictionary.Data.Values));
            }
        }

        return Close(text.ToString());
    }
}
