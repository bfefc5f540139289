using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Metrology.Verdicts;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace BuildTrack.Documents.Certificates;

/// <summary>The first sheet: what is certified, every result with its limit, the decision rule, the releases.</summary>
internal static class FirstSheet
{
    public static void Set(SheetFlow flow, Words words)
    {
        var record = words.Record;
        flow.NewPage("Certificate");
        flow.Bookmark($"Certificate {record.Number}, issue {record.Issue}", 1);
        Head(flow, record);
        if (record.Supersedes is { } replaced)
        {
            flow.Text($"Amendment. This issue replaces: {replaced}.", 10, bold: true);
        }

        flow.Text(words.Statement(), 10.4, after: 9);
        if (record.IsCopy)
        {
            Disclosed(flow, words, "Left out of this copy");
        }

        Results(flow, record);
        Rules(flow, words);
        flow.Heading("Measured", 3);
        foreach (var line in words.Measured())
        {
            flow.Text(line, after: 1);
        }

        flow.Space(7);
        OpenSheets.Set(flow, words);
        if (record is { IsCopy: false, Disclosure: not null })
        {
            Disclosed(flow, words, "Customer's copy");
        }

        Releases(flow, words);
    }

    private static void Disclosed(SheetFlow flow, Words words, string heading)
    {
        flow.Heading(heading, 3);
        foreach (var sentence in words.Disclosed())
        {
            flow.Text(sentence, after: 1);
        }

        flow.Space(7);
    }

    private static void Head(SheetFlow flow, CertificateRecord record)
    {
        var verdicts = record.Results.Select(r => r.Evaluation.Result.Verdict).ToArray();
        Verdict? all = verdicts.Length == 0 || verdicts.Contains(null) ? null
            : verdicts.Contains(Verdict.Rejected) ? Verdict.Rejected
            : verdicts.Contains(Verdict.NotProven) ? Verdict.NotProven : Verdict.Accepted;
        var word = all is { } verdict ? Shown.Word(verdict) : "incomplete";
        var y = flow.Y;
        flow.Place(p => p.Block(PdfBlockLevelElementTag.Paragraph, () =>
        {
            var note = Lettering.Font(7);
            p.Page.DrawString("calculated", note, Pens.Brush(Ink.Note), SheetFlow.Right - 138, y + 5);
            Framed.Word(p.Page, new XRect(SheetFlow.Right - 138, y + 9, 138, 35), all, word, 17);
        }));
        flow.Text($"Certificate {record.Number}, issue {record.Issue}", 9.6, width: 330, after: 1);
        var font = Lettering.Font(22, bold: true);
        var top = flow.Y;
        flow.Place(p => p.Block(PdfBlockLevelElementTag.Heading1, () => p.Page.DrawString(record.IsCopy ? "Customer's copy" : "Acceptance certificate", font, Pens.Brush(Ink.Full), SheetFlow.Left, top + 21)));
        flow.Space(32);
    }

    private static void Results(SheetFlow flow, CertificateRecord record)
    {
        flow.TableCaption("What was required and what was found");
        var table = new SheetTable(
        [
            new TableColumn("Line", Fixed: true), new TableColumn("Check"), new TableColumn("Limit", Number: true), new TableColumn("Result", Number: true),
            new TableColumn("Reach above", Number: true), new TableColumn("Band", Number: true), new TableColumn("Accepted if", Number: true), new TableColumn("Unit", Fixed: true),
            new TableColumn("Limit from"), new TableColumn("calculated", Frame: true),
        ]);
        foreach (var result in record.Results)
        {
            var (answer, requirement) = (result.Evaluation.Result, result.Evaluation.Input.Requirement);
            table.Row(
                result.Line, result.Title, Words.Limit(requirement), new Cell(Words.InUnit(answer.Value, requirement), Bold: true),
                Words.InUnit(answer.ReachAbove, requirement), Words.InUnit(answer.AcceptBand, requirement), Words.AcceptedIf(result), Words.UnitAfter(requirement).TrimStart(),
                Words.Origin(requirement), new Cell(Words.Result(answer), Verdict: answer.Verdict));
        }

        table.SetInto(flow);
    }

    private static void Rules(SheetFlow flow, Words words)
    {
        flow.Heading("Decision rule", 3);
        foreach (var rule in words.Rules())
        {
            flow.Text(rule, after: 0);
        }

        flow.Text(
            "Band: the larger of what the rule asks and of the reach, that is how far the truth may lie from what was found. Accepted: the result keeps inside the limit by the band. "
            + "Rejected: one measurement alone, or its deciding places measured again, prove the truth beyond the limit. Between the two: not proven.");
        var limits = words.Record.Limits;
        flow.Heading("Limits", 3);
        flow.Text($"Edition {limits.Edition}, approved by {words.Name(limits.ApprovedBy)} on {limits.ApprovedLocal}.", after: 0);
        foreach (var term in words.Record.Results.Where(r => r.Evaluation.Input.Requirement.ApprovedBy is not null))
        {
            var requirement = term.Evaluation.Input.Requirement;
            flow.Text($"{term.Line}: {Words.Origin(requirement)}, approved by {words.Name(requirement.ApprovedBy!)}.", after: 0);
        }

        flow.Text($"SHA-256 {limits.Hash}", SheetFlow.Small, ink: Ink.Note, after: 8);
    }

    /// <summary>A stamp for each release: only where a named person released stands one.</summary>
    private static void Releases(SheetFlow flow, Words words)
    {
        flow.Heading(words.Record.Releases.Any(r => r.Measured == true) ? "Released" : "Released by people who did not measure", 3, keepWithNext: 80);
        if (words.Record.Releases.Length == 0)
        {
            flow.Text("Nobody has released yet.");
            return;
        }

        flow.Space(3);
        const double width = (SheetFlow.Width - 14) / 2;
        foreach (var pair in words.Record.Releases.Chunk(2))
        {
            var stamps = pair.Select(r => Lines(words, r, width - 24)).ToArray();
            var height = stamps.Max(s => s.Sum(l => Lettering.Line(l.Font))) + 15;
            flow.Need(height + 8);
            var y = flow.Y;
            for (var i = 0; i < stamps.Length; i++)
            {
                var (lines, box) = (stamps[i], new XRect(SheetFlow.Left + (i * (width + 14)), y, width, height));
                flow.Place(p =>
                {
                    p.Artifact(() => Framed.Stamp(p.Page, box));
                    p.Block(PdfBlockLevelElementTag.Paragraph, () =>
                    {
                        var at = box.Y + 7;
                        foreach (var (text, font) in lines)
                        {
                            p.Page.DrawString(text, font, Pens.Brush(Ink.Full), box.X + 12, at + font.Size);
                            at += Lettering.Line(font);
                        }
                    });
                });
            }

            flow.Space(height + 8);
        }
    }

    private static (string Text, XFont Font)[] Lines(Words words, CertifiedRelease release, double width)
    {
        var roles = words.Record.People.TryGetValue(release.Person, out var person) ? person.Roles : "";
        (string Text, XFont Font)[] parts =
        [
            ($"RELEASED  {release.Hold}", Lettering.Font(11, bold: true)), (release.HoldName, Lettering.Font(8)),
            (words.Name(release.Person), Lettering.Font(10, bold: true)), (words.For(release), Lettering.Font(8)), (roles, Lettering.Font(7.6)), ($"{release.Local}, {release.Sheet}", Lettering.Font(8)),
            (words.Own(release), Lettering.Font(8)),
        ];
        return [.. parts.Where(p => p.Text.Length > 0).SelectMany(p => Lettering.Wrap(p.Text, p.Font, width).Select(l => (l, p.Font)))];
    }
}
