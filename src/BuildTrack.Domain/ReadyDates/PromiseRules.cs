using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>When a day may be promised. Roles are checked by the caller.</summary>
public static class PromiseRules
{
    public const string DayIsPast = "R-PROMISE-01";

    /// <summary>The rule that forbids the promise; null when none does.</summary>
    /// <param name="today">yyyy-MM-dd in plant time.</param>
    public static BrokenRule? WhyNot(string day, string today) =>
        string.CompareOrdinal(day, today) < 0 ? new BrokenRule(DayIsPast, $"{day} is past; today is {today}. A day is promised before it comes.") : null;
}
