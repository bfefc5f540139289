using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Calendars;

/// <summary>When work is done at one work centre. A minute is worked when the plant's clock shows a time within a shift of that day and the day is no holiday.</summary>
/// <remarks>
/// Moments are whole minutes of UTC since 1970. What the clock shows twice in the autumn night is worked twice, what it leaves out in spring not at all: a shift keeps its times of day, not its length.
/// Days that were asked for are kept.
/// </remarks>
/// <param name="timeZone">IANA name of the plant's time zone.</param>
/// <param name="shifts">Null: around the clock, holidays too.</param>
public sealed class WorkingTime(string timeZone, ImmutableArray<Shift>? shifts, Holidays holidays)
{
    private const int Day = 1440;

    /// <summary>So many days are looked through for working time before the calendar is refused.</summary>
    private const int DaysLooked = 3660;

    private readonly TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(timeZone);
    private readonly Dictionary<long, ImmutableArray<(long From, long To)>> days = [];

    /// <summary>Minutes worked from one moment up to another; 0 where that is not later.</summary>
    /// <returns>Minutes.</returns>
    public long Between(long from, long to)
    {
        var sum = 0L;
        for (var day = Floor(from); day * Day < to; day++)
        {
            foreach (var (begin, end) in WorkedOn(day))
            {
                sum += Math.Max(0, Math.Min(end, to) - Math.Max(begin, from));
            }
        }

        return sum;
    }

    /// <summary>The first moment from this on at which work is done.</summary>
    /// <exception cref="InvalidOperationException">There is none within ten years.</exception>
    public long Next(long from) => Walk(from, 0, endOfWork: false);

    /// <summary>The moment at which so many minutes have been worked: the end of the last of them, or for none the moment itself.</summary>
    /// <exception cref="InvalidOperationException">They are not worked within ten years of each other.</exception>
    public long After(long from, long minutes) => minutes <= 0 ? from : Walk(from, minutes, endOfWork: true);

    /// <summary>The stretches of work on a day of UTC, in order, without those that touch: from a minute up to, not including, another.</summary>
    /// <param name="day">Days since 1970.</param>
    public ImmutableArray<(long From, long To)> WorkedOn(long day)
    {
        lock (days)
        {
            if (!days.TryGetValue(day, out var found))
            {
                days[day] = found = Find(day);
            }

            return found;
        }
    }

    private long Walk(long from, long minutes, bool endOfWork)
    {
        var idle = 0;
        for (var day = Floor(from); idle < DaysLooked; day++, idle++)
        {
            foreach (var (begin, end) in WorkedOn(day))
            {
                var at = Math.Max(begin, from);
                if (at >= end)
                {
                    continue;
                }

                if (!endOfWork)
                {
                    return at;
                }

                if (end - at >= minutes)
                {
                    return at + minutes;
                }

                minutes -= end - at;
                idle = 0;
            }
        }

        throw new InvalidOperationException("The calendar of a work centre has no working time within ten years: see its shifts and the holidays.");
    }

    private ImmutableArray<(long From, long To)> Find(long day)
    {
        var (from, to) = (day * Day, (day + 1) * Day);
        if (shifts is not { } plan)
        {
            return [(from, to)];
        }

        var found = new List<(long From, long To)>();
        var change = OffsetAt(from) == OffsetAt(to) ? to : ChangeOf(from, to);
        Stretch(from, change);
        Stretch(change, to);
        found.Sort();
        var merged = ImmutableArray.CreateBuilder<(long From, long To)>();
        foreach (var (begin, end) in found)
        {
            if (merged.Count > 0 && merged[^1].To >= begin)
            {
                merged[^1] = (merged[^1].From, Math.Max(end, merged[^1].To));
            }
            else
            {
                merged.Add((begin, end));
            }
        }

        return merged.ToImmutable();

        // Within a stretch the clock runs evenly, so the shifts of its one, two or three local days are only moved by the offset.
        void Stretch(long begin, long end)
        {
            if (begin >= end)
            {
                return;
            }

            var offset = OffsetAt(begin);
            for (var local = Floor(begin + offset); local * Day < end + offset; local++)
            {
                var date = DateOnly.FromDayNumber((int)(local + DateOnly.FromDateTime(DateTime.UnixEpoch).DayNumber));
                if (holidays.Contains(date))
                {
                    continue;
                }

                foreach (var shift in plan.Where(s => s.On(date.DayOfWeek)))
                {
                    var (a, b) = (Math.Max(begin, (local * Day) + shift.From - offset), Math.Min(end, (local * Day) + shift.To - offset));
                    if (a < b)
                    {
                        found.Add((a, b));
                    }
                }
            }
        }
    }

    /// <summary>The minute at which the clock is put forward or back.</summary>
    private long ChangeOf(long from, long to)
    {
        var before = OffsetAt(from);
        while (to - from > 1)
        {
            var middle = from + ((to - from) / 2);
            (from, to) = OffsetAt(middle) == before ? (middle, to) : (from, middle);
        }

        return to;
    }

    private int OffsetAt(long minute) => (int)zone.GetUtcOffset(DateTimeOffset.UnixEpoch.AddMinutes(minute)).TotalMinutes;

    private static long Floor(long minute) => Math.DivRem(minute, Day) is var (days, rest) && rest < 0 ? days - 1 : days;
}
