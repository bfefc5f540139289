using System.Collections.Immutable;

namespace BuildTrack.Metrology.Thermal;

/// <summary>One round of thermometers.</summary>
/// <param name="TimeMin">Time of the round, minutes from any beginning (unit min).</param>
/// <param name="Warm">Temperature of the part, or of its top.</param>
/// <param name="Cool">Temperature of the air, or of its bottom.</param>
public readonly record struct CoolingRound(double TimeMin, Temperature Warm, Temperature Cool);

/// <summary>Why rounds give no time constant.</summary>
public enum CoolingDefect
{
    /// <summary>They give one.</summary>
    None,

    /// <summary>Fewer than two.</summary>
    TooFewRounds,

    /// <summary>A round is not later than the one before.</summary>
    TimesNotRising,

    /// <summary>In a round the two temperatures are equal, or the other one is the higher: there is nothing left that falls.</summary>
    ExcessGone,

    /// <summary>The difference stays or grows.</summary>
    NotCooling,
}

/// <summary>How a difference of temperature dies away.</summary>
/// <param name="TimeConstantMin">Time in which the difference falls to 1/e, minutes (unit min).</param>
/// <param name="TimeConstantUncertaintyMin">Its standard uncertainty, minutes (unit min); null where two or three rounds and no uncertainty of a reading leave none.</param>
/// <param name="ExcessNowK">Fitted difference at the last round, K; signed as read.</param>
/// <param name="FallKPerHour">How fast its size falls at the last round, K per hour.</param>
/// <param name="WaitMin">Time from the last round until the size of the difference is down to the limit, minutes (unit min); zero where it is.</param>
/// <param name="WaitUncertaintyMin">Its standard uncertainty, minutes (unit min); null where the time constant has none.</param>
/// <param name="ReadyAtMin">Time of the last round and the wait together, minutes on the scale of the rounds (unit min).</param>
/// <param name="ResidualK">Root mean square of what the rounds depart from the fit, K.</param>
/// <param name="Remarks">Sentences on what the fit leans on.</param>
public sealed record CoolingFigures(
    double TimeConstantMin, double? TimeConstantUncertaintyMin, double ExcessNowK, double FallKPerHour, double WaitMin, double? WaitUncertaintyMin, double ReadyAtMin,
    double ResidualK, ImmutableArray<string> Remarks);

/// <summary>Cooling of a part, or the defect that leaves none.</summary>
/// <param name="Rounds">How many there are, a whole number, dimensionless.</param>
/// <param name="Figures">Null with a defect.</param>
/// <param name="Defect">What is wrong with the rounds, if anything.</param>
/// <param name="DefectSentence">The defect in words, with the numbers; null without one.</param>
public sealed record CoolingResult(int Rounds, CoolingFigures? Figures, CoolingDefect Defect, string? DefectSentence);

/// <summary>Waiting time by a known time constant.</summary>
/// <param name="TimeConstants">How many time constants it takes, dimensionless.</param>
/// <param name="TimeConstantHours">The time constant, hours (unit h).</param>
/// <param name="WaitHours">The time, hours (unit h).</param>
public sealed record CoolingWait(double TimeConstants, double TimeConstantHours, double WaitHours);
