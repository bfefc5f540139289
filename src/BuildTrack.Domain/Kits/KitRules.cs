using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Kits;

/// <summary>When something may be recorded of a part of the kit. Roles are checked by the caller.</summary>
public static class KitRules
{
    public const string ReceivedAlready = "R-KIT-01";
    public const string NothingToTakeBack = "R-KIT-02";
    public const string DueIsPast = "R-KIT-03";

    /// <summary>The rule that forbids the entry; null when none does.</summary>
    /// <param name="today">yyyy-MM-dd in plant time.</param>
    public static BrokenRule? WhyNot(KitLine line, KitAct act, string? due, string today)
    {
        ArgumentNullException.ThrowIfNull(line);
        return act switch
        {
            KitAct.TakenBack => line.Entry is null ? new BrokenRule(NothingToTakeBack, $"Nothing is recorded of {line.Part.Name}; there is nothing to take back.") : null,
            _ when line.Entry is { Act: KitAct.Received } received => new BrokenRule(ReceivedAlready, $"{line.Part.Name} was received, recorded by {received.Person}. Take that back first if it was a mistake."),
            KitAct.Ordered when due is not null && string.CompareOrdinal(due, today) < 0 => new BrokenRule(DueIsPast, $"The day promised for {line.Part.Name}, {due}, is past; today is {today}."),
            _ => null,
        };
    }
}
