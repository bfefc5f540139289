using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Calendars;

/// <summary>A day on which the plant does not work, as it was entered. It is never changed or deleted; what was entered by mistake is taken back.</summary>
/// <param name="Day">yyyy-MM-dd, a day of the plant's calendar.</param>
/// <param name="Name">What it is: "Founders' day".</param>
/// <param name="TakenBack">Null while it counts.</param>
public sealed record PlantHoliday(long Id, string Day, string Name, string Person, Instant At, HolidayTakenBack? TakenBack);

/// <summary>That a holiday counts no longer, by whom and why.</summary>
public sealed record HolidayTakenBack(string Person, Instant At, string Reason);

/// <summary>The days on which the plant does not work besides what its shifts leave free.</summary>
public sealed class Holidays
{
    private readonly ImmutableHashSet<DateOnly> days;

    private Holidays(IEnumerable<DateOnly> days) => this.days = [.. days];

    public static Holidays None { get; } = new([]);

    /// <summary>The holidays that count: those that nobody has taken back.</summary>
    public static Holidays Of(IEnumerable<PlantHoliday> entered) => new(entered.Where(h => h.TakenBack is null).Select(h => DateOnly.ParseExact(h.Day, "yyyy-MM-dd", CultureInfo.InvariantCulture)));

    public static Holidays On(params IEnumerable<DateOnly> days) => new(days);

    public bool Contains(DateOnly day) => days.Contains(day);
}
