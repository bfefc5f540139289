using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Calendars;

/// <summary>When a holiday may be entered and taken back. Roles are checked by the caller.</summary>
public static class HolidayRules
{
    public const string EnteredAlready = "R-HOLIDAY-01";
    public const string TakenBackAlready = "R-HOLIDAY-02";

    /// <summary>The rule that forbids to enter a holiday; null when none does.</summary>
    /// <param name="day">yyyy-MM-dd.</param>
    public static BrokenRule? WhyNotEnter(IEnumerable<PlantHoliday> entered, string day) =>
        entered.FirstOrDefault(h => h.Day == day && h.TakenBack is null) is { } there
            ? new BrokenRule(EnteredAlready, $"{day} is a holiday already: {there.Name}, entered by {there.Person}.") : null;

    /// <summary>The rule that forbids to take a holiday back; null when none does.</summary>
    public static BrokenRule? WhyNotTakeBack(PlantHoliday holiday)
    {
        ArgumentNullException.ThrowIfNull(holiday);
        return holiday.TakenBack is { } gone ? new BrokenRule(TakenBackAlready, $"{holiday.Name} on {holiday.Day} was taken back by {gone.Person}: {gone.Reason}.") : null;
    }
}
