using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using static System.FormattableString;

namespace BuildTrack.Documents.Certificates;

/// <summary>How a record's facts read on paper: one wording for the sheets and for the check of their text.</summary>
internal sealed class Words(CertificateRecord record)
{
    private readonly PlantTime time = new(record.Plant.TimeZone);

    public CertificateRecord Record { get; } = record;

    /// <summary>The name of a person; the sign-in name where the record has no other.</summary>
    public string Name(string person) => Record.People.TryGetValue(person, out var known) ? known.Name : person;

    public string Names(IEnumerable<string> people) => string.Join(", ", people.Select(Name));

    /// <summary>In whose place it was released; empty where in the own right.</summary>
    public string For(CertifiedRelease release) => release is { For: { } person, Delegation: { } no } ? FormattableString.Invariant($"for {Name(person)} under delegation {no}") : "";

    /// <summary>What is said of a release by somebody who had a hand in the measurement; empty for any other.</summary>
    public string Own(CertifiedRelease release) =>
        release.ConfirmedBy is { } second ? $"Released in an emergency by {Name(release.Person)}, confirmed by {Name(second)}: {release.Reason}"
        : release.Measured == true ? "Measured it too; the company's rule of this edition allows it" : "";

    public string Time(Instant? at) => at is { } instant ? time.Short(instant) : "–";

    public static string Limit(Requirement requirement) => (requirement.Upper, requirement.Lower) switch
    {
        ({ } upper, { } lower) => $"{Shown.NumberInUnitOf(lower.Calculated, requirement)} to {Shown.NumberInUnitOf(upper.Calculated, requirement)}",
        ({ } upper, null) => $"≤ {Shown.NumberInUnitOf(upper.Calculated, requirement)}",
        (null, { } lower) => $"≥ {Shown.NumberInUnitOf(lower.Calculated, requirement)}",
        _ => "by table",
    };

    /// <summary>"contract annex 2, ed. B".</summary>
    public static string Origin(Requirement requirement) => $"{requirement.Origin}, ed. {requirement.Edition}";

    public static string AcceptedIf(CertifiedResult result)
    {
        var (answer, requirement) = (result.Evaluation.Result, result.Evaluation.Input.Requirement);
        return (answer.AcceptUpTo, answer.AcceptFrom) switch
        {
            ({ } up, { } from) => $"{Shown.NumberInUnitOf(from, requirement)} to {Shown.NumberInUnitOf(up, requirement)}",
            ({ } up, null) => $"≤ {Shown.NumberInUnitOf(up, requirement)}",
            (null, { } from) => $"≥ {Shown.NumberInUnitOf(from, requirement)}",
            _ => "–",
        };
    }

    /// <summary>" mm", to follow a number; a quotient has no unit to show.</summary>
    public static string UnitAfter(Requirement requirement) => Shown.UnitOf(requirement) is var unit && unit == "1" ? "" : " " + unit;

    public static string InUnit(double? value, Requirement requirement) => value is { } number ? Shown.NumberInUnitOf(number, requirement) : "–";

    /// <summary>A calculated number; what is nothing but the rounding of a calculation (a slope of 1E−16) is zero.</summary>
    public static string Number(double value, string unit) => Shown.Number(Math.Abs(value) < 1e-9 ? 0 : value, unit);

    /// <summary>The word of a result, with or without a verdict.</summary>
    public static string Result(EvaluationResult result) => result.Verdict is { } verdict ? Shown.Word(verdict) : Shown.Word(result.State);

    /// <summary>A figure's name in words; unknown ones keep their own.</summary>
    public static string Figure(string name) => name switch
    {
        "leastSquares" => "flatness, least-squares plane",
        "leastSquaresPeak" => "peak above the least-squares plane",
        "leastSquaresValley" => "valley below the least-squares plane",
        "leastSquaresRms" => "root mean square about the least-squares plane",
        "minimumZone" => "flatness, minimum zone",
        "verticalMinimumZone" => "minimum zone, taken vertically",
        "slopeX" => "slope along X",
        "slopeY" => "slope along Y",
        "least" => "least value",
        "largest" => "largest value",
        _ => name,
    };

    public static string RunIsFor(Run run) => run.Kind switch
    {
        RunKind.ContactsAgain => run.Proves is null ? "deciding places again" : $"deciding places again, {run.Proves}",
        RunKind.SpotCheck => "spot check, not in the result",
        _ => "pass",
    };

    public static string RunGoes(Run run) => run.Direction switch { Direction.Outward => "outward", Direction.Back => "back", _ => "–" };

    public static string RunCounts(Run run) => run.Discarded is not null ? "set aside" : run.Finished is null ? "not finished" : run.Kind == RunKind.SpotCheck ? "no" : "yes";

    /// <summary>"Customer's copy of certificate No OVC-2026-0031, issue 1", at the head of every sheet of one; null on the certificate itself.</summary>
    public string? CopyOf => Record.IsCopy ? Invariant($"Customer's copy of certificate No {Record.Number}, issue {Record.Issue}") : null;

    /// <summary>What the customer's copy leaves out, by whom and when that was agreed; nothing where no disclosure list was.</summary>
    public IEnumerable<string> Disclosed()
    {
        if (Record.Disclosure is not { } agreed)
        {
            yield break;
        }

        var left = agreed.List.LeftOut;
        yield return $"{(Record.IsCopy ? "This copy leaves out" : "The customer's copy leaves out")}, as agreed at {agreed.Point}: {string.Join("; ", left)}.";
        yield return Invariant($"Disclosure list, revision {agreed.Revision}: agreed with {agreed.AgreedWith}, recorded by {Name(agreed.RecordedBy)} on {agreed.Local}")
            + (agreed.ApprovedBy is { } second ? $", approved by {Name(second)}" : "") + (agreed.Reason is { } why ? $"; reason: {why.TrimEnd('.')}." : ".");
        if (agreed.FullRecord is { } full)
        {
            yield return "Results, limits, uncertainties, verdicts and instruments are those of the certificate, and concessions, open items of the punch list and the customer's witness are never left out. "
                + $"The plant can prove this copy against the certificate at any time. SHA-256 of the certificate's full record: {full}.";
        }
    }

    /// <summary>"Readings not disclosed, as agreed at H0."</summary>
    public string NotDisclosed => $"Readings not disclosed, as agreed at {Record.Disclosure?.Point}.";

    /// <summary>One sentence: what was measured for whom, and how many results are accepted.</summary>
    public string Statement()
    {
        var machine = Record.Machine;
        var accepted = Record.Results.Count(r => r.Evaluation.Result.Verdict == Metrology.Verdicts.Verdict.Accepted);
        var all = Record.Results.Length;
        var count = accepted == all
            ? all == 1 ? "its one result is accepted" : Invariant($"all {all} results are accepted")
            : Invariant($"{accepted} of {all} results are accepted; the others are stated below as they are");
        var conceded = Record.Results.Select(ConcessionFor).OfType<CertifiedConcession>().Select(c => c.Number).Distinct().ToArray();
        return $"Machine {machine.Serial}, model {machine.Model} ({machine.ModelName}), size class {machine.Class}, built by {Record.Plant.Name} for {machine.Customer}: "
            + $"{Record.ScopeTitle}, measured against limits edition {Record.Limits.Edition}; {count}."
            + (conceded.Length == 0 ? "" : $" Released under concession {string.Join(", ", conceded)}.");
    }

    /// <summary>The concession that a result which is not accepted was released under; null where there is none.</summary>
    public CertifiedConcession? ConcessionFor(CertifiedResult result) => result.Evaluation.Result.Verdict is null or Metrology.Verdicts.Verdict.Accepted ? null
        : Record.Concessions?.FirstOrDefault(c => c.Result is { } conceded && Concession.Covers(conceded, result.EvaluationHash, result.Evaluation));

    /// <summary>What stands on the certificate about a customer's visit, in sentences; the remark word for word.</summary>
    public IEnumerable<string> Witnessed(CertifiedWitness witness)
    {
        if (witness.Visit is { } visit)
        {
            yield return FormattableString.Invariant($"Invited for {visit} with {witness.Notice} working days of notice{(witness.Letter is { } shorter ? $"; letter: {shorter}" : "")}.");
        }
        else if (witness.Letter is { } letter)
        {
            yield return $"Letter: {letter}.";
        }

        if (witness.Remark is { } remark)
        {
            yield return $"Remark of the witness: “{remark}”";
        }

        yield return witness.Statement is { } statement
            ? $"Signed statement {statement} on paper; its scan has SHA-256 {witness.FileHash}. Attested by {Name(witness.AttestedBy)}, {witness.Local}."
            : $"Recorded by {Name(witness.AttestedBy)}, {witness.Local}.";
    }

    /// <summary>"Measured and signed by Bexley Orme, entered by Jorin Pell, found equal to the scan by Maren Ostley, 25 Nov 2026 06:40:12 +01:00".</summary>
    public string FromPaper(CertifiedPaper paper) =>
        $"Measured and signed by {Name(paper.MeasuredBy)}, entered by {Name(paper.EnteredBy)}, found equal to the scan by {Name(paper.ConfirmedBy)}, {paper.Local}{(paper.Remark is { } why ? $": {why}" : "")}";

    /// <summary>"Approved by Maren Ostley (inspector), 25 Nov 2026 06:40:12 +01:00; by …".</summary>
    public string Approved(CertifiedConcession concession) =>
        $"Approved {string.Join("; ", concession.Approvals.Select(a => $"by {Name(a.Person)} ({a.Roles}), {a.Local}"))}"
        + (concession.Consent is { } consent ? $"; consent of the customer by {consent.Person}, letter {consent.Letter}, recorded by {Name(consent.RecordedBy)}, {consent.Local}" : "");

    /// <summary>One line for each measurement: who, when, with what, under which conditions.</summary>
    public IEnumerable<string> Measured() => Measurements().Select(source =>
    {
        var runs = source.Runs.Where(r => r.Counts).ToArray();
        var helpers = runs.SelectMany(r => r.Helpers).Distinct().ToArray();
        var tools = runs.SelectMany(r => r.Instruments).DistinctBy(i => i.Id).Select(i => $"{i.Id} (calibration valid to {i.ValidTo})");
        var gradient = runs.Max(r => r.Conditions?.Gradient);
        return Invariant($"Survey {source.Survey}, measurement {source.No}: measured by {Names(runs.Select(r => r.Person).Distinct())}")
            + (helpers.Length == 0 ? "" : $", helped by {Names(helpers)}")
            + (runs.Length == 0 ? "." : $", {Time(runs.Min(r => r.Begun))} to {Time(runs.Max(r => r.Finished))}{(tools.Any() ? $", with {string.Join(", ", tools)}" : "")}.")
            + (gradient is { } k ? Invariant($" Bed top to bottom at most {k} K.") : "")
            + string.Concat(runs.Where(r => r.Conditions?.Anyway is not null).Select(r => Invariant($" Run {r.No} was measured in spite of {r.Conditions!.Gradient} K: {r.Conditions.Anyway}.")));
    });

    public IEnumerable<string> Rules() => Record.Results
        .GroupBy(r => r.Evaluation.Input.Requirement.Rule)
        .Select(g => $"{string.Join(", ", g.Select(r => r.Line))}: {Shown.Word(g.Key)}.");

    /// <summary>Each measurement that the results rest on, once.</summary>
    public IEnumerable<SurveySource> Measurements() => Sources().DistinctBy(s => s.Measurement);

    /// <summary>Each column of readings, once, with the results that use it.</summary>
    public IEnumerable<(SurveySource Source, CertifiedResult Result)> Columns() =>
        Record.Results.SelectMany(r => r.Evaluation.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().Select(s => (s, r)))
            .Where(p => p.s.Question is null && p.r.Withheld != true).DistinctBy(p => (p.s.Measurement, p.s.Column));

    private IEnumerable<SurveySource> Sources() =>
        Record.Results.SelectMany(r => r.Evaluation.Input.Sources.Values).Select(s => s.Readings).OfType<SurveySource>();
}
