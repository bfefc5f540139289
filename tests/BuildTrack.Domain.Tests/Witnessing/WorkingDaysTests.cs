using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.Tests.Witnessing;

/// <summary>Days counted against a slow twin that steps through the calendar; and a few by hand from the calendar of 2026.</summary>
public sealed class WorkingDaysTests
{
    [Theory]
    [InlineData("2026-11-27", "2026-11-30", 1)] // Friday to Monday
    [InlineData("2026-11-28", "2026-11-30", 1)] // Saturday to Monday
    [InlineData("2026-11-27", "2026-11-29", 0)]
    [InlineData("2026-11-27", "2026-12-11", 10)]
    [InlineData("2026-11-27", "2026-11-27", 0)]
    [InlineData("2026-11-27", "2026-11-20", 0)]
    [InlineData("2026-11-27", "2026-01-01", 0)]
    public void Counted_by_hand(string from, string to, int days) => Assert.Equal(days, WorkingDays.Between(from, to, Holidays.None));

    [Fact]
    public void As_the_calendar_says_over_two_years()
    {
        var random = new Random(11);
        for (var i = 0; i < 2000; i++)
        {
            var from = new DateOnly(2025, 1, 1).AddDays(random.Next(730));
            var to = from.AddDays(random.Next(120));
            var slow = Enumerable.Range(1, Math.Max(0, to.DayNumber - from.DayNumber)).Select(from.AddDays).Count(d => d.DayOfWeek is not (DayOfWeek.Saturday or DayOfWeek.Sunday));
            Assert.Equal(slow, WorkingDays.Between(Text(from), Text(to), Holidays.None));
            if (slow > 0)
            {
                var first = Enumerable.Range(1, 200).Select(from.AddDays).First(d => WorkingDays.Between(Text(from), Text(d), Holidays.None) == slow);
                Assert.Equal(Text(first), WorkingDays.After(Text(from), slow, Holidays.None));
            }
        }
    }

    /// <summary>Christmas of 2026 by the calendar: the 25th is a Friday; the 26th, a Saturday, is free already; 1 January 2027 is a Friday.</summary>
    [Theory]
    [InlineData("2026-12-23", "2026-12-28", 2)] // 24th and 28th
    [InlineData("2026-12-24", "2026-12-25", 0)]
    [InlineData("2026-12-18", "2027-01-04", 9)]
    public void Holidays_are_counted_out(string from, string to, int days) => Assert.Equal(days, WorkingDays.Between(from, to, Christmas));

    [Theory]
    [InlineData("2026-12-24", 1, "2026-12-28")]
    [InlineData("2026-12-28", -1, "2026-12-24")]
    [InlineData("2026-12-18", 9, "2027-01-04")]
    [InlineData("2027-01-04", -9, "2026-12-18")] // 31, 30, 29, 28, 24, 23, 22, 21, 18
    public void A_day_is_found_past_them(string from, int count, string found) =>
        Assert.Equal(DateOnly.Parse(found, null), WorkingDays.Plus(DateOnly.Parse(from, null), count, Christmas));

    [Fact]
    public void With_holidays_as_a_twin_says_that_steps_through_the_calendar()
    {
        var random = new Random(12);
        for (var i = 0; i < 1000; i++)
        {
            var from = new DateOnly(2025, 1, 1).AddDays(random.Next(730));
            var to = from.AddDays(random.Next(120));
            var off = Enumerable.Range(0, random.Next(15)).Select(_ => from.AddDays(random.Next(-10, 130))).ToHashSet();
            var holidays = Holidays.On(off);
            var slow = Enumerable.Range(1, Math.Max(0, to.DayNumber - from.DayNumber)).Select(from.AddDays).Count(d => d.DayOfWeek is not (DayOfWeek.Saturday or DayOfWeek.Sunday) && !off.Contains(d));
            Assert.Equal(slow, WorkingDays.Between(from, to, holidays));
            Assert.Equal(-slow, WorkingDays.Signed(to, from, holidays));
            if (slow > 0)
            {
                Assert.Equal(slow, WorkingDays.Between(from, WorkingDays.Plus(from, slow, holidays), holidays));
            }
        }
    }

    [Fact]
    public void The_last_day_of_the_calendar_is_counted() => Assert.Equal(1, WorkingDays.Between("9999-12-30", "9999-12-31", Holidays.None));

    private static Holidays Christmas { get; } = Holidays.On(new DateOnly(2026, 12, 25), new DateOnly(2026, 12, 26), new DateOnly(2027, 1, 1));

    private static string Text(DateOnly day) => day.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
}
