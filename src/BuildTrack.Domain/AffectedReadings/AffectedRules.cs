using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.AffectedReadings;

/// <summary>When an instrument may be entered as out of limits, and what may be decided about a machine.</summary>
public static class AffectedRules
{
    public const string OutAlready = "R-UNFIT-01";
    public const string WithinLimits = "R-UNFIT-02";
    public const string NotAffected = "R-UNFIT-03";
    public const string DecidedAlready = "R-UNFIT-04";
    public const string NotNegligible = "R-UNFIT-05";
    public const string NotShipped = "R-UNFIT-06";

    /// <summary>The rule that forbids entering a finding; null when none does.</summary>
    public static BrokenRule? WhyNotFind(RegisterEntry entry, Amount found, Amount allowed) =>
        entry.State == InstrumentState.OutOfLimits
            ? new BrokenRule(OutAlready, $"{entry.Id} is out of limits since its state {entry.Revision} of the register; its review is open already. Enter a new calibration before the next finding.")
        : found.Calculated <= allowed.Calculated
            ? new BrokenRule(WithinLimits, $"{entry.Id} found off by {found} keeps within the allowed {allowed}: it is not out of limits. Enter it as a check that was in order.")
        : null;

    /// <summary>The rule that forbids a decision about a machine; null when none does.</summary>
    /// <param name="affected">What the finding touches on the machine; null for nothing.</param>
    public static BrokenRule? WhyNotDecide(string serial, UnfitFinding finding, AffectedMachine? affected, AffectedDecisionKind kind) =>
        affected is null ? new BrokenRule(NotAffected, $"No reading of {serial} rests on {finding.Instrument} since {finding.LastGood}; there is nothing to decide.")
        : affected.Decision is { } before ? new BrokenRule(DecidedAlready, $"{before.Person} decided about {serial} at {before.At.InWords}: {WordOf(before.Kind)}. {before.Note}")
        : kind == AffectedDecisionKind.Negligible && affected.Fails is { } fails
            ? new BrokenRule(NotNegligible, $"The error is not negligible: {fails.Line} {fails.Title} of {serial} was accepted and is {Word(fails)} with {finding.Found} added to its uncertainty ({U(fails)}): {fails.Because}.")
        : kind == AffectedDecisionKind.NotifyCustomer && !affected.Shipped
            ? new BrokenRule(NotShipped, $"{serial} has not left the plant; measure it anew, or show that the error is negligible.")
        : null;

    public static string WordOf(AffectedDecisionKind kind) => kind switch
    {
        AffectedDecisionKind.Remeasure => "measure anew",
        AffectedDecisionKind.Negligible => "negligible, by the calculation shown",
        AffectedDecisionKind.NotifyCustomer => "customer told",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "There are three decisions."),
    };

    /// <summary>The word for a result with the error found.</summary>
    public static string Word(RecalculatedResult result) => result.VerdictWithError is { } verdict ? Shown.Word(verdict) : "without a value";

    private static string U(RecalculatedResult result) =>
        result is { ExpandedUncertainty: { } was, WithError: { } now } ? $"U {Shown.Text(was, result.Unit)}, now {Shown.Text(now, result.Unit)}" : "no uncertainty";
}
