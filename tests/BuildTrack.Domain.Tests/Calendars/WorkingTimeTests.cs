using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Tests.Calendars;

/// <summary>Working time against a slow twin that looks at the plant's clock minute by minute, and by hand over both changes of summer time.</summary>
public sealed class WorkingTimeTests
{
    private const string Vienna = "Europe/Vienna";

    private static long At(string utc) => (long)(DateTimeOffset.Parse(utc + "Z", null) - DateTimeOffset.UnixEpoch).TotalMinutes;

    private static ImmutableArray<Shift> Shifts(params string[] texts) => [.. texts.Select(t => Shift.Read(t)!)];

    /// <summary>By hand: the clock goes back on 25 October 2026 at 03:00 and forward on 29 March 2026 at 02:00 (the rule of the European Union: last Sundays, 01:00 UTC).</summary>
    [Theory]
    [InlineData("mon-sun 00:00-06:00", "2026-10-24T22:00", "2026-10-25T12:00", 420)] // the hour from two to three is worked twice
    [InlineData("mon-sun 00:00-06:00", "2026-03-28T23:00", "2026-03-29T12:00", 300)] // an hour is left out
    [InlineData("mon-fri 06:00-14:00", "2026-10-23T04:00", "2026-10-23T12:00", 480)] // Friday in summer time: 04:00 to 12:00 UTC
    [InlineData("mon-fri 06:00-14:00", "2026-10-26T05:00", "2026-10-26T13:00", 480)] // Monday in winter time: 05:00 to 13:00 UTC
    [InlineData("mon-fri 06:00-14:00", "2026-10-24T00:00", "2026-10-26T00:00", 0)] // a weekend
    [InlineData("sat 06:00-12:00", "2026-10-24T00:00", "2026-10-26T00:00", 360)]
    public void Minutes_by_hand(string shift, string from, string to, long minutes) =>
        Assert.Equal(minutes, new WorkingTime(Vienna, Shifts(shift), Holidays.None).Between(At(from), At(to)));

    /// <summary>Ten hours from Thursday 24 December 2026 at noon of the plant's clock: two are left that day, the 25th is a holiday, the weekend free; eight on Monday.</summary>
    [Fact]
    public void Ten_hours_over_a_holiday_and_a_weekend_by_hand()
    {
        var time = new WorkingTime(Vienna, Shifts("mon-fri 06:00-14:00"), Holidays.On(new DateOnly(2026, 12, 25)));
        Assert.Equal(At("2026-12-28T13:00"), time.After(At("2026-12-24T11:00"), 600));
        Assert.Equal(At("2026-12-28T05:00"), time.Next(At("2026-12-24T13:00")));
        Assert.Equal(At("2026-12-24T13:00"), time.After(At("2026-12-24T11:00"), 120));
        Assert.Equal(At("2026-12-24T23:00"), time.After(At("2026-12-24T23:00"), 0));
    }

    [Fact]
    public void Without_shifts_time_passes_around_the_clock()
    {
        var time = new WorkingTime(Vienna, null, Holidays.On(new DateOnly(2026, 12, 25)));
        Assert.Equal(3 * 1440, time.Between(At("2026-12-24T00:00"), At("2026-12-27T00:00")));
        Assert.Equal(At("2026-12-27T00:00"), time.After(At("2026-12-24T00:00"), 3 * 1440));
    }

    [Fact]
    public void A_calendar_without_work_is_refused_by_name()
    {
        var time = new WorkingTime("UTC", [], Holidays.None);
        Assert.Contains("no working time", Assert.Throws<InvalidOperationException>(() => time.Next(0)).Message, StringComparison.Ordinal);
        Assert.Equal(0, time.Between(0, 100_000));
    }

    /// <summary>The twin asks for every single minute what the plant's clock shows.</summary>
    [Theory]
    [InlineData(Vienna, 1)]
    [InlineData("America/New_York", 2)]
    [InlineData("Australia/Lord_Howe", 3)] // half an hour of summer time
    [InlineData("Asia/Kathmandu", 4)] // 5:45 ahead
    [InlineData("Pacific/Apia", 5)]
    public void As_a_twin_says_that_looks_at_the_clock_every_minute(string zone, int seed)
    {
        var random = new Random(seed);
        var info = TimeZoneInfo.FindSystemTimeZoneById(zone);
        string[] texts = ["mon-fri 06:00-14:00", "mon-fri 14:00-22:00", "sat 00:00-12:30", "sun 22:00-24:00", "mon-sun 02:15-02:45", "wed-thu 00:00-24:00", "sun 00:00-03:00"];
        var changes = new[] { new DateTime(2026, 3, 26, 0, 0, 0, DateTimeKind.Utc), new DateTime(2026, 10, 22, 0, 0, 0, DateTimeKind.Utc), new DateTime(2026, 3, 6, 0, 0, 0, DateTimeKind.Utc), new DateTime(2026, 10, 30, 0, 0, 0, DateTimeKind.Utc), new DateTime(2026, 4, 3, 0, 0, 0, DateTimeKind.Utc), new DateTime(2026, 10, 1, 0, 0, 0, DateTimeKind.Utc) };
        foreach (var begin in changes)
        {
            var shifts = texts.Where(_ => random.Next(2) == 0).Append("mon-sun 01:00-02:10").Select(t => Shift.Read(t)!).ToImmutableArray();
            var off = Enumerable.Range(0, random.Next(3)).Select(_ => DateOnly.FromDateTime(begin).AddDays(random.Next(8))).ToHashSet();
            var time = new WorkingTime(zone, shifts, Holidays.On(off));
            var first = (long)(begin - DateTime.UnixEpoch).TotalMinutes;
            var worked = Enumerable.Range(0, 7 * 1440).Select(i =>
            {
                var local = TimeZoneInfo.ConvertTime(DateTimeOffset.UnixEpoch.AddMinutes(first + i), info);
                var minute = (local.Hour * 60) + local.Minute;
                return !off.Contains(DateOnly.FromDateTime(local.DateTime)) && shifts.Any(s => s.On(local.DayOfWeek) && minute >= s.From && minute < s.To);
            }).ToArray();
            for (var i = 0; i < 60; i++)
            {
                var (a, b) = (random.Next(worked.Length), random.Next(worked.Length));
                Assert.Equal(worked.Skip(a).Take(Math.Max(0, b - a)).Count(w => w), time.Between(first + a, first + b));
                if (Array.IndexOf(worked, true, a) is >= 0 and var next)
                {
                    Assert.Equal(first + next, time.Next(first + a));
                }

                // The end is the minute after the last one that is worked.
                var minutes = random.Next(1, 3000);
                if (Enumerable.Range(a, worked.Length - a).Where(m => worked[m]).Skip(minutes - 1).Select(m => (int?)m).FirstOrDefault() is { } last)
                {
                    Assert.Equal(first + last + 1, time.After(first + a, minutes));
                }
            }
        }
    }

    /// <summary>Working time adds up, and a walk forward undoes nothing: invariants over seeded calendars.</summary>
    [Fact]
    public void Working_time_adds_up()
    {
        var random = new Random(20261128);
        for (var i = 0; i < 300; i++)
        {
            var (from, to) = (random.Next(6), random.Next(1, 1380));
            var time = new WorkingTime(Vienna, [new Shift(from, random.Next(from, 7), to, random.Next(to + 1, 1441))], Holidays.On(new DateOnly(2026, 5, 1).AddDays(random.Next(40))));
            var a = At("2026-03-20T00:00") + random.Next(100_000);
            var (b, c) = (a + random.Next(50_000), a + 50_000 + random.Next(50_000));
            Assert.Equal(time.Between(a, c), time.Between(a, b) + time.Between(b, c));
            var minutes = random.Next(1, 5000);
            var end = time.After(a, minutes);
            Assert.Equal(minutes, time.Between(a, end));
            Assert.Equal(minutes - 1, time.Between(a, end - 1));
            Assert.Equal(end, time.After(time.After(a, minutes / 2), minutes - (minutes / 2)));
        }
    }

    [Theory]
    [InlineData("mon-fri 06:00-14:00", "mon-fri 06:00-14:00")]
    [InlineData("sun 00:00-24:00", "sun 00:00-24:00")]
    [InlineData("fri-mon 06:00-14:00", null)]
    [InlineData("mon-fri 14:00-06:00", null)]
    [InlineData("mon-fri 06:00-24:01", null)]
    [InlineData("mon-fri 6:00-14:00", null)]
    [InlineData("mon-fri 06:60-14:00", null)]
    [InlineData("mon-fri", null)]
    [InlineData("day 06:00-14:00", null)]
    public void A_shift_is_read_or_refused(string text, string? read) => Assert.Equal(read, Shift.Read(text)?.ToString());

    [Fact]
    public void A_holiday_is_entered_once_and_taken_back_once()
    {
        var holiday = new PlantHoliday(1, "2026-12-24", "Closed", "tilda", new(0), null);
        Assert.Equal(HolidayRules.EnteredAlready, HolidayRules.WhyNotEnter([holiday], "2026-12-24")!.Id);
        Assert.Null(HolidayRules.WhyNotEnter([holiday], "2026-12-25"));
        Assert.Null(HolidayRules.WhyNotTakeBack(holiday));
        var gone = holiday with { TakenBack = new HolidayTakenBack("ada", new(1), "worked after all") };
        Assert.Equal(HolidayRules.TakenBackAlready, HolidayRules.WhyNotTakeBack(gone)!.Id);
        Assert.Null(HolidayRules.WhyNotEnter([gone], "2026-12-24"));
        Assert.True(Holidays.Of([holiday]).Contains(new DateOnly(2026, 12, 24)));
        Assert.False(Holidays.Of([gone]).Contains(new DateOnly(2026, 12, 24)));
    }
}
