using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Instruments;

/// <summary>Whether an instrument may be used, as the register says.</summary>
public enum InstrumentState
{
    InService,
    OutOfLimits,
    Quarantined,
    Lost,
}

/// <summary>One state of an instrument in the register; a later state never changes an earlier one.</summary>
/// <param name="Id">The number on the instrument: TRK-01.</param>
/// <param name="Quantity">What it measures: height, thickness, temperature, slope …</param>
/// <param name="Unit">The unit it shows; readings typed in another unit are refused.</param>
/// <param name="CalibratedOn">Day of the last calibration, yyyy-MM-dd.</param>
/// <param name="ValidTo">Last day on which the calibration counts, yyyy-MM-dd.</param>
/// <param name="Division">What one division of a vial level is worth as a slope; only where <paramref name="Unit"/> is "div".</param>
/// <param name="Revision">Counts the states of this instrument from 1.</param>
/// <param name="NeedsCheck">No run is begun with it without a good check on that day; null: no check is asked for.</param>
/// <param name="IntervalReason">Why its calibration counts longer or shorter than the one before; null where it counts as long.</param>
/// <param name="AsFound">Error as it came to the calibration, with sign; null where the certificate states none.</param>
/// <param name="AsLeft">Error as it left it; null where nothing was adjusted: as found.</param>
/// <param name="Laboratory">Who calibrated it.</param>
/// <param name="Range">What it measures from and to: "0 to 25 mm".</param>
/// <param name="Holder">Where it is kept, or who holds it.</param>
/// <param name="Digit">The smallest step that it shows or that is read off; null: not above twice the random part of any of its figures.</param>
public sealed record RegisterEntry(
    string Id, string Name, string Serial, string Quantity, string Unit, ImmutableArray<RegisterFigure> Figures, string CalibratedOn,
    string ValidTo, string Certificate, InstrumentState State, int Revision, Amount? Division = null, bool? NeedsCheck = null,
    string? IntervalReason = null, Amount? AsFound = null, Amount? AsLeft = null, string? Laboratory = null, string? Range = null, string? Holder = null, Amount? Digit = null)
{
    /// <summary>Its last check before use, in a sentence, where that failed and nothing has put it right since.</summary>
    /// <remarks>Of the register as it stands today, never of a state: it is not part of what is kept and hashed.</remarks>
    [JsonIgnore]
    public string? CheckFailed { get; init; }

    /// <summary>The digit in the calculated unit; a part of a division of a vial level by what that is worth. Null where the register has none.</summary>
    [JsonIgnore]
    public double? DigitCalculated =>
        Digit is not { } digit ? null : digit.Unit == "div" ? (double)digit.Value * (Division?.Calculated ?? throw new InvalidOperationException($"{Id} has no worth of a division.")) : digit.Calculated;

    /// <summary>Day of its last check before use, yyyy-MM-dd; null for none.</summary>
    /// <remarks>Of the register as it stands today, as <see cref="CheckFailed"/> is.</remarks>
    [JsonIgnore]
    public string? LastChecked { get; init; }

    /// <summary>Its check of a day is still to be recorded before anything is measured with it.</summary>
    /// <param name="day">yyyy-MM-dd in plant time.</param>
    public bool WaitsForCheckOn(string day) => CheckFailed is not null || (NeedsCheck == true && LastChecked != day);

    /// <summary>Why the instrument proves nothing on a day; null when it does.</summary>
    /// <param name="day">yyyy-MM-dd in plant time.</param>
    public string? WhyNotValidOn(string day) =>
        State != InstrumentState.InService ? $"instrument {Id} is {Words(State)}"
        : string.CompareOrdinal(day, CalibratedOn) < 0 ? $"instrument {Id} was calibrated on {CalibratedOn}, after the measurement of {day}"
        : string.CompareOrdinal(day, ValidTo) > 0 ? $"calibration of {Id} expired on {ValidTo}; measured on {day}"
        : CheckFailed;

    /// <summary>"TRK-01 Laser tracker, valid to 2027-03-31", or why it proves nothing.</summary>
    /// <param name="day">yyyy-MM-dd in plant time.</param>
    public string WordsOn(string day) => $"{Id} {Name}, {WhyNotValidOn(day) ?? $"valid to {ValidTo}"}";

    /// <summary>The figure that holds for a use over a distance; null where the register has none.</summary>
    public RegisterFigure? FigureFor(string use, double distanceMm) =>
        Figures.Where(f => f.Use == use && (f.UpToMm is null || distanceMm <= f.UpToMm.Value + 1e-9)).OrderBy(f => f.UpToMm ?? double.MaxValue).FirstOrDefault();

    /// <summary>The state in the words of the register.</summary>
    public static string Words(InstrumentState state) => state switch
    {
        InstrumentState.OutOfLimits => "out of limits",
        InstrumentState.Quarantined => "quarantined",
        InstrumentState.Lost => "lost",
        _ => "in service",
    };
}

/// <summary>Expanded uncertainty U = A + B·L of one use, with its split into a random and a common part.</summary>
/// <param name="Use">"small difference" (of two places in one set-up), "absolute" or "slope".</param>
/// <param name="UpToMm">Largest distance the row holds for, in millimetres; null for any.</param>
/// <param name="A">Constant part of U.</param>
/// <param name="BPerMetre">What U grows by for each metre; null for none.</param>
/// <param name="K">Coverage factor of U.</param>
/// <param name="Random">Random part of U, same coverage factor; null: half of U.</param>
/// <param name="Common">Part of U that all readings of a set-up share: the largest departure from a plane or a line that it can fake; null: half of U.</param>
/// <param name="DegreesOfFreedom">Of the random part, 1 or more, where it was estimated from few repeats; null: known well. K belongs to them.</param>
public sealed record RegisterFigure(string Use, double? UpToMm, Amount A, Amount? BPerMetre, double K, Amount? Random, Amount? Common, double? DegreesOfFreedom = null)
{
    /// <summary>An error that was found later and is not in the figures, calculated unit: it adds to U and to the common part (GUM F.2.4.5).</summary>
    /// <remarks>Of a question "what if", never of the register: it is not part of what is kept and hashed.</remarks>
    [JsonIgnore]
    public double ErrorFound { get; init; }

    /// <summary>Leaves the random part out, to see what it gives. Of a question, never of the register.</summary>
    [JsonIgnore]
    public bool NoRandomPart { get; init; }

    /// <summary>Leaves the common part out, to see what it gives. Of a question, never of the register.</summary>
    [JsonIgnore]
    public bool NoCommonPart { get; init; }

    /// <summary>U over a distance, in the calculated unit of its quantity (µm for lengths).</summary>
    public double Expanded(double distanceMm) => Stated(distanceMm) + ErrorFound;

    /// <summary>Random part of U over a distance, calculated unit.</summary>
    public double RandomPart(double distanceMm) => NoRandomPart ? 0 : Random?.Calculated ?? (Stated(distanceMm) / 2);

    /// <summary>The part of a digit that repeats do not average, calculated unit: all of it where it is above twice the standard uncertainty of one reading, else none.</summary>
    /// <remarks>Below that the rounding of a reading is noise like any other and is in the spread of repeats (docs/method/verdict.md, "The digit that is read").</remarks>
    /// <param name="digit">The digit, calculated unit; null for none.</param>
    /// <param name="distanceMm">Over which the figure is asked for.</param>
    /// <param name="readings">How many independent readings the figure is about: 2 for a difference.</param>
    public double CoarseDigit(double? digit, double distanceMm, int readings) =>
        digit is { } step && !NoCommonPart && step > 2 * (Random?.Calculated ?? (Stated(distanceMm) / 2)) / K / Math.Sqrt(readings) ? step : 0;

    /// <summary>Common part of U over a distance, calculated unit.</summary>
    public double CommonPart(double distanceMm) => (NoCommonPart ? 0 : Common?.Calculated ?? (Stated(distanceMm) / 2)) + ErrorFound;

    private double Stated(double distanceMm) => A.Calculated + ((BPerMetre?.Calculated ?? 0) * distanceMm / 1000.0);
}
