using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using static System.FormattableString;

namespace BuildTrack.Documents.Checking;

/// <summary>What is printed, held against what the record says: the record is drawn anew and compared sheet by sheet.</summary>
internal static class TextCheck
{
    public static void Run(PdfContent found, string recordText, CertificateRecord record, CheckLines lines)
    {
        if (found.Layout is not { } layout)
        {
            lines.Fails("text", "the file's keywords name no certificate layout; expected 'BuildTrack certificate layout …'");
            KeyFacts(found, record, lines);
            return;
        }

        if (layout.Version != CertificatePdf.RendererVersion)
        {
            lines.NotChecked("text", $"the sheets were drawn with layout {layout.Version}, this program draws layout {CertificatePdf.RendererVersion}; only the key facts were compared");
            KeyFacts(found, record, lines);
            return;
        }

        PdfContent expected;
        try
        {
            expected = PdfContent.Read(CertificatePdf.Draw(recordText));
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            // A record that nobody could have issued may also be one that cannot be drawn.
            lines.Fails("text", $"the record cannot be drawn as a certificate: {e.Message}");
            return;
        }

        if (Compare(found, expected) is { } difference)
        {
            lines.Fails("text", difference);
        }
        else
        {
            lines.Holds("text", Invariant($"all {found.Sheets.Length} sheets say and draw what the record says, {found.Sheets.Sum(s => s.Texts.Length)} pieces of text in their places"));
        }
    }

    private static string? Compare(PdfContent found, PdfContent expected)
    {
        if (found.Sheets.Length != expected.Sheets.Length)
        {
            return Invariant($"the file has {found.Sheets.Length} sheets, expected {expected.Sheets.Length}");
        }

        for (var i = 0; i < found.Sheets.Length; i++)
        {
            var (f, e) = (found.Sheets[i], expected.Sheets[i]);
            for (var n = 0; n < Math.Max(f.Texts.Length, e.Texts.Length); n++)
            {
                var (one, other) = (f.Texts.ElementAtOrDefault(n), e.Texts.ElementAtOrDefault(n));
                if (one != other)
                {
                    return $"sheet {i + 1}: found {one?.ToString() ?? "nothing"}, expected {other?.ToString() ?? "nothing"}";
                }
            }

            if (f.Drawn != e.Drawn)
            {
                return Invariant($"sheet {i + 1}: the words are right but something else is drawn, found marks with SHA-256 {f.Drawn[..16]}…, expected {e.Drawn[..16]}…");
            }

            // The seal itself stands on the first sheet as a field without a picture.
            var allowed = i == 0 ? 1 : 0;
            if (f.Annotations > allowed)
            {
                return Invariant($"sheet {i + 1}: found {f.Annotations} annotations, expected at most {allowed}");
            }
        }

        return null;
    }

    /// <summary>Number, serial, values, limits, result words and names, wherever they stand.</summary>
    private static void KeyFacts(PdfContent found, CertificateRecord record, CheckLines lines)
    {
        var words = new Words(record);
        var facts = new List<(string What, string Text)> { ("number", record.Number), ("serial number", record.Machine.Serial), ("customer", record.Machine.Customer) };
        foreach (var result in record.Results)
        {
            var (answer, requirement) = (result.Evaluation.Result, result.Evaluation.Input.Requirement);
            facts.Add(($"{result.Line} limit", Words.Limit(requirement)));
            facts.Add(($"{result.Line} result", Words.InUnit(answer.Value, requirement)));
            facts.Add(($"{result.Line} calculated", Words.Result(answer).ToUpperInvariant()));
        }

        facts.AddRange(record.Releases.Select(r => ($"release {r.Hold}", words.Name(r.Person))));
        facts.AddRange(record.Releases.Where(r => r.For is not null).Select(r => ($"release {r.Hold} under a delegation", words.For(r))));
        facts.AddRange(record.Releases.Where(r => r.Measured == true || r.ConfirmedBy is not null).Select(r => ($"release {r.Hold} by who measured", words.Own(r))));
        facts.AddRange((record.Witnesses ?? []).SelectMany(w => words.Witnessed(w).Append($"{w.Witness}, {w.Organisation}, {w.Outcome}").Select(t => ($"witness at {w.Hold}", t.TrimEnd('.')))));
        facts.AddRange((record.Papers ?? []).SelectMany(p => new[] { words.FromPaper(p), p.Code, p.FileHash }.Select(t => (Invariant($"paper of run {p.Run} of {p.Survey}"), t))));
        facts.AddRange((record.Concessions ?? []).SelectMany(c => new[] { ($"concession {c.Number}", c.Number), ($"concession {c.Number}", c.Text.TrimEnd('.')), ($"approvals of {c.Number}", words.Approved(c)) }));
        facts.AddRange((record.OpenPunch ?? []).SelectMany(i => new[] { (Invariant($"punch list item {i.No}"), i.Text), (Invariant($"owner of item {i.No}"), words.Name(i.Owner)), (Invariant($"due date of item {i.No}"), i.Due) }));
        facts.AddRange((record.Components ?? []).SelectMany(c => new[] { ($"serial number of {c.Name}", c.Serial), ($"certificate of {c.Name}", c.Certificate ?? "–") }));
        facts.AddRange(words.Measurements().SelectMany(s => s.Runs).Select(r => ($"run {r.No}", words.Name(r.Person))));
        var everything = found.Everything;
        var missing = facts.Distinct().Where(f => !everything.Contains(string.Concat(f.Text.Where(c => !char.IsWhiteSpace(c))), StringComparison.Ordinal)).ToArray();
        foreach (var (what, text) in missing)
        {
            lines.Fails("text", $"{what}: expected '{text}', found it on no sheet");
        }

        if (missing.Length == 0)
        {
            lines.Holds("text", Invariant($"all {facts.Count} key facts of the record stand on the sheets"));
        }
    }
}
