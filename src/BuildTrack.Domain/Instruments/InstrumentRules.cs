using System.Collections.Immutable;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Instruments;

/// <summary>When an instrument may be used, and what its next state in the register must say.</summary>
public static class InstrumentRules
{
    public const string IntervalWithoutReason = "R-INSTRUMENT-01";
    public const string LastCheckFailed = "R-INSTRUMENT-02";
    public const string NotChecked = "R-INSTRUMENT-03";
    public const string NoLevel = "R-INSTRUMENT-04";

    /// <summary>What a level measures, in the words of the register.</summary>
    public const string LevelQuantity = "slope";

    /// <summary>The rule that forbids the next state of an instrument; null when none does.</summary>
    /// <param name="before">The state that stands; null for a new instrument.</param>
    public static BrokenRule? WhyNotEnter(RegisterEntry? before, RegisterEntry entry) =>
        before is not null && string.IsNullOrWhiteSpace(entry.IntervalReason) && CalibrationHistory.IntervalChanged(before, entry)
            ? new BrokenRule(IntervalWithoutReason, FormattableString.Invariant(
                $"The calibration of {entry.Id} would count {CalibrationHistory.IntervalDays(entry)} days, {CalibrationHistory.IntervalDays(before)} until now: a changed interval needs its reason."))
            : null;

    /// <summary>The rule that forbids beginning a run with an instrument; null when none does.</summary>
    /// <param name="entry">As the register stands, with its last check.</param>
    /// <param name="day">Day of the run, yyyy-MM-dd in plant time.</param>
    public static BrokenRule? WhyNotUse(RegisterEntry entry, string day) =>
        entry.CheckFailed is { } failed
            ? new BrokenRule(LastCheckFailed, $"{entry.Id} proves nothing: {failed}. It needs a good check or a calibration first.")
        : entry.WaitsForCheckOn(day)
            ? new BrokenRule(NotChecked, $"{entry.Id} is checked on every day before it is used; {(entry.LastChecked is { } last ? $"its last was on {last}" : "no check of it is recorded")}. Record the check of {day} first.")
        : null;

    /// <summary>The last check, in a sentence, where it failed and the register has no calibration since; null otherwise.</summary>
    /// <param name="states">Every state of the instrument, the earliest first.</param>
    /// <param name="last">Its last check before use; null for none.</param>
    public static string? WhyFailed(IEnumerable<RegisterEntry> states, InstrumentCheck? last) =>
        last is { Good: false } && !CalibrationHistory.Of(states).Any(s => s.Calibrated && s.Entry.Revision > last.Revision) ? last.Sentence : null;

    /// <summary>The day from which readings are in doubt where the instrument is found out of limits: its last good check, else its calibration.</summary>
    public static string LastGood(RegisterEntry entry, IEnumerable<InstrumentCheck> checks) =>
        checks.Where(c => c.Good).Select(c => c.Day).Append(entry.CalibratedOn).Max(StringComparer.Ordinal)!;

    /// <summary>The rule that forbids a reversal; null when none does.</summary>
    public static BrokenRule? WhyNotReverse(RegisterEntry entry) =>
        entry.Quantity == LevelQuantity ? null : new BrokenRule(NoLevel, $"{entry.Id} measures {entry.Quantity}; only what measures {LevelQuantity} is read end for end.");
}
