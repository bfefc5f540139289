using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.AffectedReadings;

/// <summary>An instrument was found out of its limits: every reading taken with it since its last good check is in doubt.</summary>
/// <param name="Instrument">Number on the instrument: IND-07.</param>
/// <param name="Revision">The state of the register that says "out of limits" since.</param>
/// <param name="Found">The largest error as found, without sign: 9 µm.</param>
/// <param name="Allowed">The largest error allowed.</param>
/// <param name="LastGood">Day of the last check that was in order, yyyy-MM-dd; readings of that day count as affected.</param>
/// <param name="FoundOn">Day of the finding, yyyy-MM-dd.</param>
/// <param name="Reference">The certificate or record that shows it.</param>
public sealed record UnfitFinding(
    long Id, string Instrument, int Revision, Amount Found, Amount Allowed, string LastGood, string FoundOn, string Reference, string Person, Instant At)
{
    /// <summary>Whether a run rests on the instrument within the time in doubt. Before and after follow the order of recording.</summary>
    public bool Affects(Run run) =>
        run.Id < Id && string.CompareOrdinal(run.Day, LastGood) >= 0 && run.Instruments.Any(i => i.Id == Instrument);

    /// <summary>"IND-07 found off by 9 µm (allowed 4 µm) on 2026-11-23, last good 2026-05-04".</summary>
    public string Sentence => $"{Instrument} found off by {Found} (allowed {Allowed}) on {FoundOn}, last good {LastGood}";
}

/// <summary>What is done about one machine of an affected-readings review.</summary>
public enum AffectedDecisionKind
{
    /// <summary>The affected results are measured anew.</summary>
    Remeasure,

    /// <summary>Every affected result stays accepted with the error found added to its uncertainty.</summary>
    Negligible,

    /// <summary>The machine has left; the customer is told.</summary>
    NotifyCustomer,
}

/// <summary>A named person's decision about one machine.</summary>
/// <param name="Recalculated">What the affected results became with the error found, as the decision was made.</param>
public sealed record AffectedDecision(
    long Id, long Finding, string Serial, AffectedDecisionKind Kind, string Person, Instant At, string Note, ImmutableArray<RecalculatedResult> Recalculated);

/// <summary>An affected result, calculated once more with the error found added to the part of U that all readings share.</summary>
/// <param name="EvaluationHash">The evaluation as it stood.</param>
/// <param name="Value">The result in <paramref name="Unit"/>; the error found does not change it, because its sign at each reading is not known.</param>
/// <param name="ExpandedUncertainty">U as it stood.</param>
/// <param name="WithError">U with the error found.</param>
/// <param name="Because">The deciding sentence with the numbers.</param>
public sealed record RecalculatedResult(
    string Line, string Title, string EvaluationHash, string Unit, double? Value, double? ExpandedUncertainty, double? WithError, Verdict? Verdict, Verdict? VerdictWithError, string Because)
{
    public static RecalculatedResult Of(StoredEvaluation stored, EvaluationRecord now)
    {
        var was = stored.Record;
        return new RecalculatedResult(
            stored.Line, was.Input.Characteristic.Title, stored.Hash, was.Result.Unit, was.Result.Value, was.Result.ExpandedUncertainty, now.Result.ExpandedUncertainty, was.Result.Verdict, now.Result.Verdict,
            now.Result.Because.FirstOrDefault() ?? "no value");
    }
}

/// <summary>A finding as it stands for one machine.</summary>
/// <param name="Decision">Null while nobody has decided.</param>
public sealed record MachineFinding(UnfitFinding Finding, AffectedDecision? Decision)
{
    /// <summary>The readings are in doubt: nobody has shown that the error does not matter.</summary>
    public bool Doubts => Decision?.Kind != AffectedDecisionKind.Negligible;
}
