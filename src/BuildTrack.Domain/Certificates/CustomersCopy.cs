using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;

namespace BuildTrack.Domain.Certificates;

/// <summary>Makes the record of the customer's copy from that of a certificate and the disclosure list frozen in it. The same certificate always gives the same copy.</summary>
/// <remarks>
/// First the people get other names, in every calculation too, so that what is disclosed can be calculated again and its hash still be checked; then the readings go. A
/// result without its readings keeps the hash of the whole calculation, with the names as the copy has them.
/// </remarks>
public static class CustomersCopy
{
    public const string Format = "buildtrack-customers-copy/1";

    /// <summary>Stands where a text was.</summary>
    public const string NotDisclosed = "not disclosed";

    /// <summary>Canonical text of the copy.</summary>
    /// <param name="recordText">Canonical text of the certificate's record.</param>
    public static string TextOf(string recordText) => CanonicalJson.Of(Of(CanonicalJson.Read<CertificateRecord>(recordText), CanonicalJson.Hash(recordText)));

    /// <summary>The copy of a record; a copy is its own.</summary>
    /// <param name="fullHash">SHA-256 of the certificate's canonical text.</param>
    /// <exception cref="ArgumentException">The record carries no disclosure list.</exception>
    public static CertificateRecord Of(CertificateRecord full, string fullHash)
    {
        ArgumentNullException.ThrowIfNull(full);
        if (full.IsCopy)
        {
            return full;
        }

        if (full.Disclosure is not { } disclosure)
        {
            throw new ArgumentException($"Certificate {full.Number} issue {full.Issue} carries no disclosure list: it is itself the customer's copy.");
        }

        var list = disclosure.List;
        var names = new CopyNames(full.People, list.Names);
        var named = Renamed(full, new RunTexts(names, list.Reasons));
        var withheld = Withheld(named.Results, list);
        var silent = named.Results.Where(r => withheld.Contains(r.Line)).SelectMany(r => r.Evaluation.Input.Sources.Values).Select(s => s.Readings?.Survey).OfType<string>().ToHashSet(StringComparer.Ordinal);
        var agreed = disclosure with
        {
            AgreedWith = names.Text(disclosure.AgreedWith)!, Reason = names.Text(disclosure.Reason), RecordedBy = names.Of(disclosure.RecordedBy), ApprovedBy = names.Maybe(disclosure.ApprovedBy),
            Salt = null, FullRecord = fullHash,
        };
        return named with
        {
            Format = Format,
            Results = [.. named.Results.Select(r => withheld.Contains(r.Line) ? Bare(r) : r)],
            Replaced = list.Replaced ? [] : named.Replaced,
            Papers = named.Papers?.Select(p => Bare(p, list, silent)).ToImmutableArray(),
            Components = list.Serials ? named.Components?.Select(Bare).ToImmutableArray() : named.Components,
            Disclosure = agreed,
            // Last: whoever stands on the copy has been met by now.
            People = names.Known,
        };
    }

    /// <summary>The lines whose readings are withheld: those named, those they are calculated from, and those that rest on the same readings.</summary>
    private static HashSet<string> Withheld(ImmutableArray<CertifiedResult> results, DisclosureList list)
    {
        if (list.EveryReading)
        {
            return [.. results.Select(r => r.Line)];
        }

        var lines = list.Readings.ToHashSet(StringComparer.Ordinal);
        for (var before = -1; before != lines.Count;)
        {
            before = lines.Count;
            lines.UnionWith(results.Where(r => lines.Contains(r.Line)).SelectMany(r => r.Evaluation.Input.Sources.Values.Select(s => s.Result?.Line)).OfType<string>());
        }

        var read = results.Where(r => lines.Contains(r.Line)).SelectMany(Columns).ToHashSet();
        lines.UnionWith(results.Where(r => Columns(r).Any(read.Contains)).Select(r => r.Line));
        return lines;
    }

    private static IEnumerable<(long Measurement, string Column)> Columns(CertifiedResult result) =>
        result.Evaluation.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>()
            .SelectMany(s => s.Runs.SelectMany(r => r.Readings).Select(r => r.Column).Append(s.Column).Distinct().Select(c => (s.Measurement, c)));

    /// <summary>The result with its limit, reach, verdict and instruments; without readings and whatever would tell them.</summary>
    private static CertifiedResult Bare(CertifiedResult result)
    {
        var (input, answer) = (result.Evaluation.Input, result.Evaluation.Result);
        return result with
        {
            Withheld = true,
            Evaluation = new EvaluationRecord(
                input with { Sources = Mapped(input.Sources, s => s with { Readings = s.Readings is { } readings ? readings with { Runs = [.. readings.Runs.Select(Bare)] } : null }) },
                answer with { Figures = [], Because = [], Contacts = [], ZoneProved = null, Deviations = [], Again = [], Next = answer.Next with { Sentence = "", Places = [] } }),
        };
    }

    private static Run Bare(Run run) => run with { Readings = [], Weights = [], FileHash = null };

    // A name within a file's name is found by no rule, and a remark says what stands at a place: the code and the hash of the scan tell which paper it is.
    private static CertifiedPaper Bare(CertifiedPaper paper, DisclosureList list, HashSet<string> silent) =>
        paper with { Scan = list.Names ? NotDisclosed : paper.Scan, Remark = paper.Remark is not null && silent.Contains(paper.Survey) ? NotDisclosed : paper.Remark };

    // What was taken out again is told by serial numbers alone.
    private static CertifiedComponent Bare(CertifiedComponent component) => component with { Serial = NotDisclosed, Firmware = null, Certificate = null, Replaced = null };

    // A witness's remark is the customer's own and stays word for word, whomever it names.
    private static CertificateRecord Renamed(CertificateRecord full, RunTexts texts)
    {
        var names = texts.Names;
        var (results, hashes) = Calculations(full.Results, texts);
        return full with
        {
            Supersedes = names.Text(full.Supersedes),
            Results = results,
            Limits = full.Limits with { ApprovedBy = names.Of(full.Limits.ApprovedBy) },
            Releases = [.. full.Releases.Select(r => r with { Person = names.Of(r.Person), Reason = names.Text(r.Reason), ConfirmedBy = names.Maybe(r.ConfirmedBy), For = names.Maybe(r.For) })],
            Replaced = [.. full.Replaced.Select(m => m with { Because = names.Text(m.Because)!, MeasuredBy = [.. m.MeasuredBy.Select(names.Of)] })],
            Concessions = full.Concessions?.Select(c => c with
            {
                Required = names.Text(c.Required)!, Found = names.Text(c.Found)!, Text = names.Text(c.Text)!,
                Result = c.Result is { } failed ? failed with { Requirement = names.In(failed.Requirement), EvaluationHash = hashes.GetValueOrDefault(failed.EvaluationHash, failed.EvaluationHash) } : null,
                Approvals = [.. c.Approvals.Select(a => a with { Person = names.Of(a.Person) })],
                Consent = c.Consent is { } consent ? consent with { RecordedBy = names.Of(consent.RecordedBy), Letter = names.Text(consent.Letter)! } : null,
            }).ToImmutableArray(),
            OpenPunch = full.OpenPunch?.Select(i => i with { Text = names.Text(i.Text)!, Owner = names.Own(i.Owner) }).ToImmutableArray(),
            Witnesses = full.Witnesses?.Select(w => w with { Letter = names.Text(w.Letter), AttestedBy = names.Of(w.AttestedBy) }).ToImmutableArray(),
            Papers = full.Papers?.Select(p => p with
            {
                MeasuredBy = names.Of(p.MeasuredBy), EnteredBy = names.Of(p.EnteredBy), ConfirmedBy = names.Of(p.ConfirmedBy), Remark = names.Text(p.Remark),
            }).ToImmutableArray(),
            Components = full.Components?.Select(c => c with
            {
                FittedBy = names.Of(c.FittedBy), Replaced = c.Replaced?.Select(s => s with { Reason = names.Text(s.Reason)!, SwappedBy = names.Of(s.SwappedBy) }).ToImmutableArray(),
            }).ToImmutableArray(),
        };
    }

    /// <summary>The calculations with other names, and by which hash each is known now: a result that uses another names its hash, so those come first.</summary>
    private static (ImmutableArray<CertifiedResult> Results, Dictionary<string, string> Hashes) Calculations(ImmutableArray<CertifiedResult> results, RunTexts texts)
    {
        var hashes = new Dictionary<string, string>(StringComparer.Ordinal);
        var done = new Dictionary<string, CertifiedResult>(StringComparer.Ordinal);
        var left = results.ToList();
        while (left.Count > 0)
        {
            // A result of this certificate that waits for none of those left; where they wait for each other, the next as it stands.
            var result = left.FirstOrDefault(r => !left.Any(o => o != r && Uses(r, o))) ?? left[0];
            left.Remove(result);
            var (input, answer) = (result.Evaluation.Input, result.Evaluation.Result);
            var evaluation = new EvaluationRecord(
                input with
                {
                    Requirement = texts.Names.In(input.Requirement),
                    Sources = Mapped(input.Sources, s => s with
                    {
                        Readings = s.Readings is { } readings ? readings with { Runs = [.. readings.Runs.Select(texts.In)] } : null,
                        Result = s.Result is { } used ? used with { EvaluationHash = hashes.GetValueOrDefault(used.EvaluationHash, used.EvaluationHash) } : null,
                    }),
                },
                answer with { Because = [.. answer.Because.Select(texts.Names.Sentence)], Next = answer.Next with { Sentence = texts.Names.Sentence(answer.Next.Sentence) } });
            done[result.Line] = result with { Evaluation = evaluation, EvaluationHash = hashes[result.EvaluationHash] = evaluation.Hash };
        }

        return ([.. results.Select(r => done[r.Line])], hashes);
    }

    private static bool Uses(CertifiedResult result, CertifiedResult other) =>
        result.Evaluation.Input.Sources.Values.Any(s => s.Result?.EvaluationHash == other.EvaluationHash);

    private static ImmutableSortedDictionary<string, Source> Mapped(ImmutableSortedDictionary<string, Source> sources, Func<Source, Source> change) =>
        sources.ToImmutableSortedDictionary(p => p.Key, p => change(p.Value), sources.KeyComparer);
}
