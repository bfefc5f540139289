using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;

namespace BuildTrack.Domain.Tests.Canonical;

public sealed class InstantTests
{
    [Fact]
    public void A_moment_is_cut_to_microseconds_not_rounded()
    {
        var time = new DateTimeOffset(2026, 11, 25, 6, 40, 12, TimeSpan.Zero).AddTicks(9_999_999);
        Assert.Equal("2026-11-25T06:40:12.999999Z", Instant.From(time).ToString());
    }

    [Fact]
    public void The_offset_does_not_matter() =>
        Assert.Equal(Instant.From(new DateTimeOffset(2026, 11, 25, 7, 40, 0, TimeSpan.FromHours(1))), Instant.From(new DateTimeOffset(2026, 11, 25, 6, 40, 0, TimeSpan.Zero)));

    [Theory]
    [InlineData("1970-01-01T00:00:00.000000Z", 0)]
    [InlineData("2001-09-09T01:46:40.000001Z", 1_000_000_000_000_001)]
    [InlineData("2028-02-29T23:59:59.999999Z", 1_835_481_599_999_999)]
    public void Text_and_number_are_one(string text, long microseconds)
    {
        Assert.Equal(microseconds, Instant.Parse(text).Microseconds);
        Assert.Equal(text, new Instant(microseconds).ToString());
        Assert.Equal($"\"{text}\"", CanonicalJson.Of(new Instant(microseconds)));
        Assert.Equal(new Instant(microseconds), CanonicalJson.Read<Instant>($"\"{text}\""));
    }

    [Theory]
    [InlineData("2026-11-25T06:40:12Z")]
    [InlineData("2026-11-25T06:40:12.000000+01:00")]
    [InlineData("2026-02-29T06:40:12.000000Z")]
    [InlineData("")]
    public void Any_other_text_is_refused(string text) => Assert.Throws<FormatException>(() => Instant.Parse(text));

    [Fact]
    public void Moments_are_in_order()
    {
        Instant a = new(1), b = new(2);
        Assert.True(a < b && b > a && a <= b && b >= a && a.CompareTo(b) < 0);
        Assert.True(a <= new Instant(1) && a >= new Instant(1));
    }

    /// <summary>Central European time changes on 29 March and 25 October 2026 at 01:00 UTC.</summary>
    [Theory]
    [InlineData("2026-03-29T00:59:59.000000Z", "2026-03-29", "29 Mar 2026 01:59:59 +01:00")]
    [InlineData("2026-03-29T01:00:00.000000Z", "2026-03-29", "29 Mar 2026 03:00:00 +02:00")]
    [InlineData("2026-10-25T00:30:00.000000Z", "2026-10-25", "25 Oct 2026 02:30:00 +02:00")]
    [InlineData("2026-10-25T01:30:00.000000Z", "2026-10-25", "25 Oct 2026 02:30:00 +01:00")]
    [InlineData("2026-12-31T23:00:00.000000Z", "2027-01-01", "1 Jan 2027 00:00:00 +01:00")]
    public void The_plants_clock_shows_day_and_offset(string at, string day, string shown)
    {
        var time = new PlantTime("Europe/Vienna");
        Assert.Equal((day, shown), (time.Day(Instant.Parse(at)), time.Long(Instant.Parse(at))));
    }
}
