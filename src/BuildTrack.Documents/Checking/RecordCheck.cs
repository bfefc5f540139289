using System.Text.Json;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using static System.FormattableString;

namespace BuildTrack.Documents.Checking;

/// <summary>The embedded record held against itself: canonical, its hashes right, its results calculated again.</summary>
internal static class RecordCheck
{
    /// <summary>Reads the record; null where it cannot be read as one, and a line then says why.</summary>
    public static CertificateRecord? Read(string text, CheckLines lines)
    {
        try
        {
            var written = CanonicalJson.Write(JsonNode.Parse(text, documentOptions: new JsonDocumentOptions { AllowDuplicateProperties = false, MaxDepth = 64 }));
            if (written != text)
            {
                var at = written.Zip(text).TakeWhile(p => p.First == p.Second).Count();
                lines.Fails("record", Invariant($"{CertificateRecord.EmbeddedName} is not canonical at character {at + 1}: found '{Near(text, at)}', expected '{Near(written, at)}'"));
            }
            else
            {
                lines.Holds("record", Invariant($"{CertificateRecord.EmbeddedName} is canonical, {text.Length} characters, SHA-256 {CanonicalJson.Hash(text)}"));
            }

            var record = CanonicalJson.Read<CertificateRecord>(text);
            if (record.Format is not (CertificateRecord.CurrentFormat or CustomersCopy.Format))
            {
                lines.Fails("record", $"its format is '{record.Format}', expected '{CertificateRecord.CurrentFormat}' or '{CustomersCopy.Format}'");
            }

            if (record.IsCopy != (record.Disclosure?.FullRecord is not null))
            {
                lines.Fails("record", record.IsCopy ? "a customer's copy names the full record that it is made from, found none" : "a certificate is its own full record, found another one named");
            }

            // The record must say all that its text says: a member that is read as nothing would be hashed but never shown.
            if (CanonicalJson.Of(record) != written)
            {
                lines.Fails("record", "read as a certificate and written again it gives another text");
            }

            return record;
        }
        catch (Exception e) when (e is JsonException or ArgumentException or InvalidOperationException or FormatException or NotSupportedException)
        {
            lines.Fails("record", $"{CertificateRecord.EmbeddedName} cannot be read as a certificate: {e.Message}");
            return null;
        }
    }

    /// <summary>Every hash that stands in the record, calculated again.</summary>
    public static void Hashes(CertificateRecord record, CheckLines lines)
    {
        var right = 0;
        var hashes = record.Results.ToDictionary(r => r.Line, r => r.EvaluationHash, StringComparer.Ordinal);
        foreach (var result in record.Results)
        {
            var found = result.Evaluation.Hash;
            if (Withheld(record, result, lines, "hashes"))
            {
                right++;
            }
            else if (found != result.EvaluationHash)
            {
                lines.Fails("hashes", $"{result.Line}: the calculation has SHA-256 {found}, the record states {result.EvaluationHash}");
            }
            else
            {
                right++;
            }

            foreach (var source in result.Evaluation.Input.Sources.Values.Select(s => s.Result).OfType<ResultSource>())
            {
                if (hashes.TryGetValue(source.Line, out var used) && used != source.EvaluationHash)
                {
                    lines.Fails("hashes", $"{result.Line} was calculated from {source.Line} with SHA-256 {source.EvaluationHash}, the record states {used}");
                }
            }

            foreach (var run in result.Evaluation.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().SelectMany(s => s.Runs))
            {
                var ids = run.Readings.Select(r => r.Id).ToHashSet();
                foreach (var reading in run.Readings.Where(r => r.Supersedes is { } old && !ids.Contains(old)))
                {
                    lines.Fails("hashes", Invariant($"{result.Line}, run {run.No}, {reading.Place.Key}: reading {reading.Id} corrects reading {reading.Supersedes}, which is missing"));
                }
            }
        }

        if (right == record.Results.Length)
        {
            var readings = record.Results.Sum(r => r.Evaluation.Input.Sources.Values.Sum(s => s.Readings?.Runs.Sum(run => run.Readings.Length) ?? 0));
            var disclosed = record.Results.Count(r => r.Withheld != true);
            lines.Holds("hashes", Invariant($"the hashes of all {disclosed} calculations{(disclosed == right ? "" : " that are disclosed")}, over {readings} readings, are those stated"));
        }
    }

    /// <summary>Whether a customer's copy withholds the readings of a result: neither for nor against it, and a line says so.</summary>
    private static bool Withheld(CertificateRecord record, CertifiedResult result, CheckLines lines, string about)
    {
        if (result.Withheld is null)
        {
            return false;
        }

        if (!record.IsCopy || result.Withheld != true)
        {
            lines.Fails(about, $"{result.Line} {result.Title}: only a customer's copy withholds readings");
        }
        else if (result.Evaluation.Input.Sources.Values.Any(s => s.Readings?.Runs.Any(r => r.Readings.Length > 0) == true))
        {
            lines.Fails(about, $"{result.Line} {result.Title}: it is said to have no readings, and found some");
        }
        else
        {
            lines.NotChecked(about, $"{result.Line} {result.Title}: readings not disclosed, as agreed");
        }

        return true;
    }

    /// <summary>Every result calculated again from its readings and compared to the last digit.</summary>
    public static void Results(CertificateRecord record, CheckLines lines)
    {
        foreach (var result in record.Results)
        {
            if (Withheld(record, result, lines, "results"))
            {
                continue;
            }

            if (result.Evaluation.Input.Engine != Evaluators.Engine)
            {
                lines.NotChecked("results", $"{result.Line} was calculated with version '{result.Evaluation.Input.Engine}', this program has version '{Evaluators.Engine}'");
                continue;
            }

            try
            {
                var again = Evaluators.Evaluate(result.Evaluation.Input).Result;
                var (expected, found) = (CanonicalJson.Of(again), CanonicalJson.Of(result.Evaluation.Result));
                if (result.Budget is { } budget && ResultBudget.Of(result.Evaluation) is var worked && CanonicalJson.Of(budget) != CanonicalJson.Of(worked))
                {
                    lines.Fails("results", $"{result.Line} {result.Title}: the uncertainty budget says '{budget.Largest}', expected '{worked?.Largest ?? "none"}' from the readings");
                }
                else if (expected == found)
                {
                    lines.Holds("results", $"{result.Line} calculated again from its readings gives the same result, {Word(again)}");
                }
                else if (again.Verdict != result.Evaluation.Result.Verdict || again.Value != result.Evaluation.Result.Value)
                {
                    lines.Fails("results", $"{result.Line} {result.Title}: found {Word(result.Evaluation.Result)}, expected {Word(again)} from the readings");
                }
                else
                {
                    var at = expected.Zip(found).TakeWhile(p => p.First == p.Second).Count();
                    lines.Fails("results", $"{result.Line} {result.Title}: found '{Near(found, at)}', expected '{Near(expected, at)}' from the readings");
                }
            }
            catch (Exception e) when (e is not OutOfMemoryException)
            {
                // The input is anybody's: whatever a calculation makes of it, the answer is that it gives no result.
                lines.Fails("results", $"{result.Line} {result.Title} cannot be calculated from its readings: {e.Message}");
            }
        }
    }

    /// <summary>Every result that is not accepted stands under a concession that covers it and says the same; no item of class A is open. Records without these sections are older than they.</summary>
    public static void Concessions(CertificateRecord record, CheckLines lines)
    {
        var concessions = record.Concessions ?? [];
        foreach (var given in concessions)
        {
            var said = given.Result is { } stated && record.Results.FirstOrDefault(r => r.EvaluationHash == stated.EvaluationHash) is { } result
                ? FailedResult.Of(new StoredEvaluation(0, result.Line, result.EvaluationHash, record.IssuedAt, result.Evaluation)) : given.Result;
            if (said != given.Result || (said is not null && (given.Required, given.Found) != (said.Required, said.Found)))
            {
                lines.Fails("concessions", $"{given.Number}: found '{given.Found}' against '{given.Required}', expected '{said?.Found}' against '{said?.Required}' from the result");
            }

            if (given.Approvals.Length == 0)
            {
                lines.Fails("concessions", $"{given.Number}: found nobody who approved it");
            }
        }

        foreach (var item in (record.OpenPunch ?? []).Where(i => i.Class is not ("B" or "C")))
        {
            lines.Fails("concessions", Invariant($"punch list item {item.No}: found open with class {item.Class}, expected B or C"));
        }

        var words = new Words(record);
        foreach (var result in record.Results.Where(r => record.Concessions is not null && r.Evaluation.Result.Verdict != Metrology.Verdicts.Verdict.Accepted))
        {
            if (words.ConcessionFor(result) is { } given)
            {
                lines.Holds("concessions", $"{result.Line} {result.Title}, {Word(result.Evaluation.Result)}, is covered by {given.Number} ({given.Found})");
            }
            else
            {
                lines.Fails("concessions", $"{result.Line} {result.Title}: found {Word(result.Evaluation.Result)}, expected accepted or a concession that covers it");
            }
        }
    }

    private static string Word(EvaluationResult result) =>
        (result.Value is { } value ? $"{Shown.Text(value, result.Unit)}, " : "") + (result.Verdict is { } verdict ? Shown.Word(verdict) : Shown.Word(result.State));

    public static string Near(string text, int at) => text[Math.Max(0, Math.Min(at, text.Length) - 12)..Math.Min(text.Length, at + 20)];
}
