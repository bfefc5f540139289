using System.Globalization;
using BuildTrack.Domain.Calendars;

namespace BuildTrack.Domain.Witnessing;

/// <summary>Days on which the plant works: Monday to Friday, but for its holidays.</summary>
public static class WorkingDays
{
    /// <summary>Working days after one day, up to and including another; 0 where that is not later.</summary>
    /// <param name="from">yyyy-MM-dd.</param>
    /// <param name="to">yyyy-MM-dd.</param>
    /// <exception cref="FormatException">No such day.</exception>
    public static int Between(string from, string to, Holidays holidays) => Between(Day(from), Day(to), holidays);

    /// <summary>The same of dates.</summary>
    public static int Between(DateOnly from, DateOnly to, Holidays holidays)
    {
        var count = 0;
        for (var day = from.DayNumber + 1; day <= to.DayNumber; day++)
        {
            count += IsOne(DateOnly.FromDayNumber(day), holidays) ? 1 : 0;
        }

        return count;
    }

    /// <summary>Working days from one day to another: negative where the other is earlier.</summary>
    public static int Signed(DateOnly from, DateOnly to, Holidays holidays) => to >= from ? Between(from, to, holidays) : -Between(to, from, holidays);

    /// <summary>The first day with so many working days after another.</summary>
    /// <param name="from">yyyy-MM-dd.</param>
    /// <param name="count">One or more.</param>
    /// <exception cref="FormatException">No such day.</exception>
    public static string After(string from, int count, Holidays holidays) => Plus(Day(from), count, holidays).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>So many working days later, or earlier where the number is negative; Saturdays, Sundays and holidays are passed over.</summary>
    public static DateOnly Plus(DateOnly from, int count, Holidays holidays)
    {
        var day = from;
        for (var left = Math.Abs(count); left > 0;)
        {
            day = day.AddDays(Math.Sign(count));
            left -= IsOne(day, holidays) ? 1 : 0;
        }

        return day;
    }

    /// <summary>Whether the plant works on a day.</summary>
    public static bool IsOne(DateOnly day, Holidays holidays)
    {
        ArgumentNullException.ThrowIfNull(holidays);
        return day.DayOfWeek is not (DayOfWeek.Saturday or DayOfWeek.Sunday) && !holidays.Contains(day);
    }

    private static DateOnly Day(string day) => DateOnly.ParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture);
}
