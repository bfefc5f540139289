using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Domain.Trends;

/// <summary>What the trends need of one step of one machine.</summary>
/// <param name="Lines">Numbers of the results that are asked for at it.</param>
/// <param name="PlannedHours">Planned hours of work; null without a plan.</param>
/// <param name="ActualHours">Hours of work recorded; null while it is not complete, or where none was recorded.</param>
/// <param name="Done">When it became complete; null while it is not.</param>
/// <param name="Reworks">When it was opened again.</param>
public sealed record StepWork(int Step, string Name, ImmutableArray<string> Lines, decimal? PlannedHours, double? ActualHours, Instant? Done, ImmutableArray<Instant> Reworks)
{
    /// <summary>Work on it was begun.</summary>
    public bool Begun { get; init; }
}

/// <summary>What the trends need of one machine.</summary>
public sealed record MachineWork(string Serial, ImmutableArray<StepWork> Steps);

/// <summary>The first result of a line on a machine, whatever was measured later.</summary>
public sealed record FirstResult(string Serial, string Line, bool Accepted, Instant At);

/// <summary>Hours of work over the machines on which a step is complete, has a plan and recorded work.</summary>
/// <param name="Machines">How many.</param>
/// <param name="Planned">Sum of their planned hours, h.</param>
/// <param name="Actual">Sum of their recorded hours, h.</param>
public sealed record HoursTrend(int Machines, double Planned, double Actual)
{
    /// <summary>Recorded over planned.</summary>
    public double Ratio => Actual / Planned;
}

/// <summary>Rounds of rework over the machines on which a step was begun.</summary>
public sealed record ReworkTrend(int Machines, int Rounds)
{
    public double PerMachine => (double)Rounds / Machines;
}

/// <summary>Nonconformances of a step.</summary>
/// <param name="OldestOpenDays">Days since the oldest that is not closed was raised; null without one.</param>
/// <param name="DaysToClose">Mean days from raising to closing; null where none is closed.</param>
public sealed record NonconformanceTrend(int Open, int Closed, double? OldestOpenDays, double? DaysToClose)
{
    public int All => Open + Closed;
}

/// <summary>A step over the machines. What rests on no machine is null, never a false zero.</summary>
/// <param name="FirstPass">Machines on which every result of the step was accepted at first, of those that have all of them.</param>
/// <param name="Nonconformances">Null where none was raised.</param>
public sealed record StepTrend(int Step, string Name, ProportionResult? FirstPass, HoursTrend? Hours, ReworkTrend? Rework, NonconformanceTrend? Nonconformances);

/// <summary>One month of plant time over all steps.</summary>
/// <param name="Month">yyyy-MM.</param>
/// <param name="FirstPass">Of the steps of machines whose last first result fell into the month.</param>
/// <param name="Hours">Of the steps that became complete in it.</param>
/// <param name="Reworks">Steps opened again in it.</param>
/// <param name="Raised">Nonconformances raised in it.</param>
/// <param name="Closed">Nonconformances closed in it.</param>
public sealed record MonthTrend(string Month, ProportionResult? FirstPass, HoursTrend? Hours, int Reworks, int Raised, int Closed);

/// <summary>Nonconformances of one step, cause and disposition.</summary>
/// <param name="Step">Null where they belong to none.</param>
/// <param name="Cause">Null where none is stated yet.</param>
/// <param name="Disposition">Null where none is proposed yet.</param>
/// <param name="OldestOpenDays">Days since the oldest that is not closed was raised; null without one.</param>
public sealed record CauseTrend(int? Step, CauseCategory? Cause, Disposition? Disposition, int Open, int Closed, double? OldestOpenDays);

/// <summary>A nonconformance that is not closed.</summary>
/// <param name="Days">Since it was raised.</param>
public sealed record OpenNonconformance(Nonconformance Of, int? Step, double Days);

/// <summary>How building goes over the machines and over time.</summary>
/// <param name="Machines">How many machines there are.</param>
/// <param name="WithoutStep">Nonconformances that belong to no step; they are in the causes and months all the same.</param>
public sealed record TrendReport(
    int Machines, ImmutableArray<StepTrend> Steps, ImmutableArray<MonthTrend> Months, ImmutableArray<CauseTrend> Causes, ImmutableArray<OpenNonconformance> Open, int WithoutStep);
