using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.Machines;

/// <summary>Everything recorded about one machine, as of one moment: what pages show and rules judge.</summary>
/// <param name="Version">Raised by every act on the machine.</param>
/// <param name="Evaluations">The latest evaluation of each characteristic.</param>
public sealed record MachineRecord(
    string Serial, MachineModel Model, string Customer, ChecklistRevision Revision, bool RevisionApproved, ImmutableArray<OrderTerm> Order,
    ImmutableArray<Measurement> Measurements, ImmutableArray<BedChange> Changes, ImmutableArray<StoredEvaluation> Evaluations,
    ImmutableArray<HoldDecision> Decisions, ImmutableArray<CertificateState> Certificates, ImmutableArray<RouteEntry> RouteCard, Instant Ordered, long Version)
{
    /// <summary>In the order of their numbers.</summary>
    public ImmutableArray<Nonconformance> Nonconformances { get; init; } = [];

    /// <summary>The punch list, in the order of its numbers.</summary>
    public ImmutableArray<PunchItem> Punch { get; init; } = [];

    /// <summary>Instruments found unfit that runs of this machine rest on, with what was decided about it.</summary>
    public ImmutableArray<MachineFinding> Findings { get; init; } = [];

    /// <summary>Corrections that were chosen, in order.</summary>
    public ImmutableArray<CorrectionChoice> Choices { get; init; } = [];

    /// <summary>Rounds of foot moves that were done, in order.</summary>
    public ImmutableArray<FootRoundMade> FootRounds { get; init; } = [];

    /// <summary>Rounds of the bed's temperatures, in order.</summary>
    public ImmutableArray<TemperatureRound> Temperatures { get; init; } = [];

    /// <summary>Photos and files attached to its steps, in the order they came.</summary>
    public ImmutableArray<StepFile> Files { get; init; } = [];

    /// <summary>Reviews of the records of its steps, in order.</summary>
    public ImmutableArray<RecordReview> Reviews { get; init; } = [];

    /// <summary>Signed protocols on paper that runs are from, with their comparisons, in order.</summary>
    public ImmutableArray<PaperProtocol> Papers { get; init; } = [];

    /// <summary>Components as they were fitted, swapped ones included, in order.</summary>
    public ImmutableArray<FittedComponent> Components { get; init; } = [];

    /// <summary>What is recorded of the customer's witness, in order.</summary>
    public ImmutableArray<WitnessEntry> Witness { get; init; } = [];

    /// <summary>Days for which it was promised, in order.</summary>
    public ImmutableArray<MachinePromise> Promises { get; init; } = [];

    /// <summary>What is recorded of its long-lead parts, in order.</summary>
    public ImmutableArray<KitEntry> Kit { get; init; } = [];

    /// <summary>The edition of the plan without what the contract says of the customer's part.</summary>
    public ChecklistRevision Plan { get => field ?? Revision; init; }

    /// <summary>The customer's part at hold points as it was agreed, in order; the plan of this record has the last of them.</summary>
    public ImmutableArray<CustomersPoints> CustomersPointsRevisions { get; init; } = [];

    /// <summary>The customer's part in force; null where the plan says all of it.</summary>
    public CustomersPoints? CustomersPoints => CustomersPointsRevisions.LastOrDefault();

    /// <summary>Disclosure lists as they were agreed, in order.</summary>
    public ImmutableArray<DisclosureRevision> DisclosureRevisions { get; init; } = [];

    /// <summary>The disclosure list in force; null where none was agreed, and everything is disclosed.</summary>
    public DisclosureRevision? Disclosure => DisclosureRevisions.LastOrDefault();

    public IEnumerable<PunchItem> OpenPunch => Punch.Where(i => i.Closed is null);

    /// <summary>Concessions and deviation permits that were approved, in the order of their numbers.</summary>
    public IEnumerable<Concession> Concessions => Nonconformances.Select(n => n.Standing.Concession).OfType<Concession>().OrderBy(c => c.Number);

    // Beside the record, not in it: two records are the same whether or not somebody has asked them where they stand.
    private static readonly ConditionalWeakTable<MachineRecord, RouteStanding> Routes = [];

    /// <summary>Every step's state; worked out once.</summary>
    public RouteStanding Route => Routes.GetValue(this, RouteStanding.Of);

    public ImmutableArray<AgreedCharacteristic> Agreed(string? hold = null) => AgreedCharacteristic.Of(Revision, Model, Order, hold);

    /// <summary>One check of the machine's plan.</summary>
    /// <exception cref="NotFoundException">The plan has no such line.</exception>
    public AgreedCharacteristic AgreedAt(string line) => Agreed().SingleOrDefault(a => a.Characteristic.Line == line)
        ?? throw new NotFoundException($"There is no line {line} in the inspection and test plan of {Serial}.");

    /// <summary>The measurement that counts for a survey and feature; null before the first.</summary>
    public Measurement? Current(string survey, string? feature = null) =>
        Measurements.Where(m => m.Survey == survey && m.Feature == feature).MaxBy(m => m.No);

    /// <summary>The measurements that count for a survey: one, or one for each of its features; null where there is none yet.</summary>
    public IEnumerable<Measurement?> Currents(string survey) =>
        Revision.Survey(survey).ForEach is { Length: > 0 } features ? features.Select(f => Current(survey, f)) : [Current(survey)];

    /// <summary>What makes a measurement void, in a sentence: the last act on the bed after it began, or an instrument found unfit that it counts on. Null while it speaks for the bed.</summary>
    /// <remarks>Before and after follow the order of recording (ids), not clocks, which may be set back.</remarks>
    public string? VoidedBy(Measurement measurement) =>
        Changes.LastOrDefault(c => c.Id > measurement.Id && Voids(c, [measurement.Survey]))?.Sentence(Revision)
        ?? Findings.LastOrDefault(f => f.Doubts && measurement.Runs.Any(r => InDoubt(r, f)))?.Finding.Sentence;

    private static bool InDoubt(Run run, MachineFinding finding) => run.Kind != RunKind.SpotCheck && run.Discarded is null && finding.Finding.Affects(run);

    public StoredEvaluation? EvaluationOf(string line) => Evaluations.SingleOrDefault(e => e.Line == line);

    /// <summary>How one characteristic stands now.</summary>
    public CharacteristicStanding StandingOf(AgreedCharacteristic agreed)
    {
        var measurements = SurveysOf(agreed.Characteristic).SelectMany(Currents).ToImmutableArray();
        var current = measurements.FirstOrDefault(m => m is not null);
        var evaluation = EvaluationOf(agreed.Characteristic.Line);
        if (measurements.OfType<Measurement>().Select(VoidedBy).FirstOrDefault(v => v is not null) is { } voided)
        {
            return new CharacteristicStanding(agreed, Standing.ToBeRepeated, evaluation, current, voided);
        }

        // A replaced measurement's evaluation no longer speaks for the bed.
        var speaks = evaluation?.Record.Input.Sources.Values.All(s => s.Readings is null || measurements.Any(m => (m?.Id ?? 0) == s.Readings.Measurement)) == true;
        return evaluation is null || !speaks
            ? new CharacteristicStanding(agreed, current is null ? Standing.NotMeasured : Standing.Incomplete, null, current, null)
            : new CharacteristicStanding(agreed, evaluation.Record.Result.State switch
            {
                ResultState.NotMeasured => Standing.NotMeasured,
                ResultState.Incomplete => Standing.Incomplete,
                _ => Standing.Calculated,
            }, evaluation, current, null) { Concession = ConcessionOf(evaluation) };
    }

    private Concession? ConcessionOf(StoredEvaluation evaluation) =>
        evaluation.Record.Result.Verdict is null or Metrology.Verdicts.Verdict.Accepted ? null : Concessions.FirstOrDefault(c => c.Covers(evaluation.Hash, evaluation.Record));

    /// <summary>The surveys a characteristic rests on, directly or through other results.</summary>
    public ImmutableArray<string> SurveysOf(Characteristic characteristic) =>
        [.. characteristic.From.Values.SelectMany(s =>
            s.Survey is { } survey ? [survey]
            : s.Result is { } id && Revision.Characteristics.SingleOrDefault(c => c.Id == id) is { } other ? SurveysOf(other)
            : ImmutableArray<string>.Empty).Distinct()];

    /// <summary>The surveys that a hold point rests on.</summary>
    public ImmutableArray<string> SurveysOfHold(string hold) =>
        [.. Agreed(hold).SelectMany(a => SurveysOf(a.Characteristic)).Distinct()];

    /// <summary>How a hold point stands now.</summary>
    public HoldStanding StandingOfHold(HoldPoint hold)
    {
        var characteristics = Agreed(hold.Id).Select(StandingOf).ToImmutableArray();
        var last = Decisions.LastOrDefault(d => d.Hold == hold.Id);

        // An act on the bed ends a release for good: measuring anew must not bring it back.
        var surveys = SurveysOfHold(hold.Id);
        var released = last is { Kind: HoldDecisionKind.Released } && !Changes.Any(c => c.Id > last.Id && Voids(c, surveys)) && !Findings.Any(f => Ends(f, last, surveys)) ? last : null;
        var returned = last is { Kind: HoldDecisionKind.Returned } && !WorkSince(surveys, last) && !ConcededSince(surveys, last) ? last : null;
        return new HoldStanding(hold, characteristics, released, returned)
        {
            Blocked = released is null ? NonconformanceRules.WhyBlocked(this, hold) ?? PunchRules.WhyBlocked(this, hold) ?? FileRules.WhyBlocked(this, hold) ?? WitnessRules.WhyBlocked(this, hold)
                ?? ComponentRules.WhyBlocked(this, hold) ?? PaperRules.WhyBlocked(this, hold) : null,
        };
    }

    // By the order of recording where there are ids; finishing and setting aside have only their moment. An inspector's own look mends nothing.
    private bool WorkSince(ImmutableArray<string> surveys, HoldDecision returned) =>
        surveys.SelectMany(Currents).OfType<Measurement>().SelectMany(m => m.Runs).Where(r => r.Kind != RunKind.SpotCheck)
            .Any(r => r.Id > returned.Id || r.Readings.Any(x => x.Id > returned.Id) || r.Finished > returned.At || r.Discarded?.At > returned.At);

    // What was returned as rejected may be released once it is conceded, with nothing measured anew.
    private bool ConcededSince(ImmutableArray<string> surveys, HoldDecision returned) =>
        Concessions.Any(c => c.CompletedBy > returned.Id && c.Of.Line is { } line && Revision.FindCharacteristic(line) is { } characteristic && SurveysOf(characteristic).Any(surveys.Contains));

    // So does an instrument found unfit after it, of the runs that were there: while it is undecided, and for good unless the error is shown to be negligible.
    private bool Ends(MachineFinding finding, HoldDecision release, ImmutableArray<string> surveys) =>
        finding.Doubts && finding.Finding.Id > release.Id
        && Measurements.Any(m => m.Id < release.Id && surveys.Contains(m.Survey) && m.Runs.Any(r => r.Id < release.Id && InDoubt(r, finding)));

    private bool Voids(BedChange change, ImmutableArray<string> surveys) =>
        Revision.Invalidation.Any(r => r.Change == change.Change && r.Surveys.Any(surveys.Contains));

    /// <summary>Whether a survey may still be worked on: not once a hold point that rests on it is released.</summary>
    public HoldDecision? ReleasedOver(string survey) =>
        Revision.Holds.Where(h => SurveysOfHold(h.Id).Contains(survey)).Select(h => StandingOfHold(h).Released).FirstOrDefault(r => r is not null);

    /// <summary>A short text that changes with everything a release or return rests on.</summary>
    public string SheetHash(string hold) => CanonicalJson.Hash(CanonicalJson.Of(new
    {
        Serial,
        Hold = hold,
        Revision = Revision.Hash,
        Order,
        Evaluations = Agreed(hold).Select(a => EvaluationOf(a.Characteristic.Line)?.Hash ?? "-"),
        Runs = SurveysOfHold(hold).SelectMany(s => Measurements.Where(m => m.Survey == s)).SelectMany(m => m.Runs)
            .Select(r => $"{r.Id}:{(r.Finished is null ? "open" : "finished")}:{(r.Discarded is null ? "" : "discarded")}:{r.Readings.Length}"),
        Changes = Changes.Select(c => c.Id),
        Decisions = Decisions.Where(d => d.Hold == hold).Select(d => d.Id),
        Nonconformances = Nonconformances.IsEmpty ? null : Nonconformances.Select(n => $"{n.Id}:{n.Entries.Length}"),
        Findings = Findings.IsEmpty ? null : Findings.Select(f => $"{f.Finding.Id}:{f.Decision?.Id}"),
        Punch = Punch.IsEmpty ? null : Punch.Select(i => $"{i.Id}:{i.Entries.Length}"),
        Customer = CustomersPoints?.Points,
        Papers = Papers.IsEmpty ? null : Papers.Select(p => $"{p.Id}:{p.Comparisons.Length}"),
    }))[..16];
}

/// <summary>An evaluation with its place in the record.</summary>
public sealed record StoredEvaluation(long Id, string Line, string Hash, Instant At, EvaluationRecord Record);

/// <summary>An act that changed the bed: re-mill, foot move, oven. Results it touches are to be repeated; none is deleted.</summary>
public sealed record BedChange(long Id, string Change, string Note, string Person, Instant At)
{
    /// <summary>"re-milled: 0.17 mm, slot of 3 March".</summary>
    public string Sentence(ChecklistRevision revision) =>
        $"{revision.Invalidation.FirstOrDefault(r => r.Change == Change)?.Title ?? Change}: {Note}";
}

public enum HoldDecisionKind
{
    Released,
    Returned,
}

/// <summary>A named person's decision at a hold point.</summary>
/// <param name="Reason">Why it was returned, or why it was released in an emergency; null for any other release.</param>
/// <param name="Sheet">The sheet hash that the person saw.</param>
/// <param name="Evaluations">Hashes of the evaluations that were released.</param>
public sealed record HoldDecision(
    long Id, string Hold, HoldDecisionKind Kind, string Person, Instant At, string? Reason, string Sheet, ImmutableArray<string> Evaluations, long Act)
{
    /// <summary>The second person, who confirmed a release in an emergency: who released it had measured too; null for any other.</summary>
    public string? ConfirmedBy { get; init; }

    /// <summary>In whose place it was released, where the right was delegated; null elsewhere.</summary>
    public ActingFor? For { get; init; }
}

/// <summary>How far a certificate has come.</summary>
public enum CertificateStage
{
    /// <summary>Number taken, document not yet rendered.</summary>
    Numbered,
    Issued,
    Void,
}

/// <summary>A certificate of this machine.</summary>
/// <param name="CopyHash">SHA-256 of the customer's copy; null where no disclosure list was agreed, and while it is not rendered.</param>
public sealed record CertificateState(
    long Id, string Scope, string Number, int Issue, CertificateStage Stage, Instant At, string RecordHash, string? FileHash, string? VoidReason, string? VoidedBy, string? CopyHash = null);

/// <summary>How a characteristic stands on its machine.</summary>
public enum Standing
{
    NotMeasured,
    Incomplete,
    Calculated,
    ToBeRepeated,
}

/// <param name="RepeatBecause">What makes it necessary to repeat, with the note of the act.</param>
public sealed record CharacteristicStanding(
    AgreedCharacteristic Agreed, Standing Standing, StoredEvaluation? Evaluation, Measurement? Measurement, string? RepeatBecause)
{
    /// <summary>The concession that covers this result although it is not accepted; null where there is none or none is needed.</summary>
    public Concession? Concession { get; init; }

    public bool Accepted => Standing == Standing.Calculated && Evaluation?.Record.Result.Verdict == Metrology.Verdicts.Verdict.Accepted;

    /// <summary>Accepted, or conceded: it does not stand in the way of a release.</summary>
    public bool MayPass => Accepted || Concession is not null;

    /// <summary>"accepted", "not proven", "incomplete" …: the word shown for it.</summary>
    public string Word => Standing switch
    {
        Standing.NotMeasured => "not measured",
        Standing.Incomplete => "incomplete",
        Standing.ToBeRepeated => "to be repeated",
        _ => Shown.Word(Evaluation!.Record.Result.Verdict!.Value),
    };
}

/// <summary>How a hold point stands on its machine.</summary>
/// <param name="Returned">The return that nothing was recorded since; null where there is none.</param>
public sealed record HoldStanding(HoldPoint Hold, ImmutableArray<CharacteristicStanding> Characteristics, HoldDecision? Released, HoldDecision? Returned)
{
    /// <summary>What stands in the way of a release beside its results: a nonconformance, an item of the punch list, a photo, a witness, the as-built list, a run from paper.</summary>
    public BrokenRule? Blocked { get; init; }

    /// <summary>The first result that stands in the way of a release.</summary>
    public CharacteristicStanding? Worst => Characteristics.FirstOrDefault(c => !c.MayPass);

    /// <summary>Everything accepted or conceded, nothing open against it, and nothing released yet.</summary>
    public bool Ready => Released is null && Blocked is null && Characteristics.Length > 0 && Worst is null;
}
