using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Domain.Instruments;

/// <summary>How an instrument stands on a day.</summary>
public enum CalibrationState
{
    Valid,

    /// <summary>Valid, and to be calibrated within the company's number of days.</summary>
    Due,
    Expired,

    /// <summary>Out of limits, quarantined, lost, or not calibrated yet.</summary>
    NotInService,

    /// <summary>Its last check before use failed.</summary>
    CheckFailed,
}

/// <summary>One state of the register with what it tells about the one before.</summary>
/// <param name="Calibrated">It brings a calibration: another day or certificate than the state before.</param>
/// <param name="IntervalDays">Days for which the calibration counts.</param>
/// <param name="IntervalBefore">Days for which the calibration before counted, where that is not about as long; null otherwise.</param>
/// <param name="Drift">Error as found less error as left before, calculated unit; null where a certificate states none.</param>
/// <param name="DriftLimit">U that was stated before, calculated unit; null where nothing drifted or no figure holds.</param>
public sealed record CalibrationStep(RegisterEntry Entry, bool Calibrated, int IntervalDays, int? IntervalBefore, double? Drift, double? DriftLimit)
{
    /// <summary>It drifted by more than the U it was used with.</summary>
    public bool DriftedTooFar => Drift is { } drift && DriftLimit is { } u && Math.Abs(drift) > u;

    /// <summary>"+2.0 µm, within U 4.0 µm"; null where nothing is known of it.</summary>
    public string? DriftWords => Drift is not { } drift ? null
        : $"{(drift > 0 ? "+" : "")}{Shown.Text(drift, Measuring.Units.Calculated(Entry.Unit))}"
            + (DriftLimit is { } u ? $", {(DriftedTooFar ? "beyond" : "within")} U {Shown.Text(u, Measuring.Units.Calculated(Entry.Unit))}" : "");
}

/// <summary>What the states of one instrument tell together.</summary>
public static class CalibrationHistory
{
    /// <summary>Intervals that differ by no more are the same: months and years are not equally long.</summary>
    public const int SameIntervalDays = 3;

    /// <summary>Each state with its interval and drift, the earliest first.</summary>
    /// <param name="states">In the order of their revisions.</param>
    public static ImmutableArray<CalibrationStep> Of(IEnumerable<RegisterEntry> states)
    {
        ArgumentNullException.ThrowIfNull(states);
        var steps = ImmutableArray.CreateBuilder<CalibrationStep>();
        RegisterEntry? before = null;
        foreach (var entry in states)
        {
            var calibrated = before is null || entry.CalibratedOn != before.CalibratedOn || entry.Certificate != before.Certificate;
            var days = IntervalDays(entry);
            var drift = calibrated && before is not null && entry.AsFound?.Calculated is { } found && (before.AsLeft ?? before.AsFound)?.Calculated is { } left ? found - left : (double?)null;
            var u = drift is null ? null : before!.Figures.Where(f => f.UpToMm is null).Concat(before.Figures).FirstOrDefault()?.Expanded(0);
            steps.Add(new CalibrationStep(entry, calibrated, days, before is not null && IntervalChanged(before, entry) ? IntervalDays(before) : null, drift, u));
            before = entry;
        }

        return steps.ToImmutable();
    }

    /// <summary>Whether the calibration counts longer or shorter than that of the state before.</summary>
    public static bool IntervalChanged(RegisterEntry before, RegisterEntry entry) => Math.Abs(IntervalDays(entry) - IntervalDays(before)) > SameIntervalDays;

    /// <summary>Days from the calibration to the last day on which it counts.</summary>
    public static int IntervalDays(RegisterEntry entry) => DaysBetween(entry.CalibratedOn, entry.ValidTo);

    /// <summary>How an instrument stands on a day.</summary>
    /// <param name="dueDays">From how many days before its end on a calibration is due: the company's number.</param>
    public static CalibrationState StateOn(RegisterEntry entry, string day, int dueDays) =>
        entry.State != InstrumentState.InService || string.CompareOrdinal(day, entry.CalibratedOn) < 0 ? CalibrationState.NotInService
        : string.CompareOrdinal(day, entry.ValidTo) > 0 ? CalibrationState.Expired
        : entry.CheckFailed is not null ? CalibrationState.CheckFailed
        : DaysBetween(day, entry.ValidTo) <= dueDays ? CalibrationState.Due
        : CalibrationState.Valid;

    /// <summary>"valid", "due in 12 days", "proves nothing: calibration of LVL-03 expired …".</summary>
    public static string Words(RegisterEntry entry, string day, int dueDays) => StateOn(entry, day, dueDays) switch
    {
        CalibrationState.Valid => "valid",
        CalibrationState.Due => DaysBetween(day, entry.ValidTo) switch
        {
            0 => "due today, its last day",
            1 => "due in 1 day",
            var days => FormattableString.Invariant($"due in {days} days"),
        },
        _ => $"proves nothing: {entry.WhyNotValidOn(day)}",
    };

    private static int DaysBetween(string from, string to) => Day(to).DayNumber - Day(from).DayNumber;

    private static DateOnly Day(string day) => DateOnly.ParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture);
}
