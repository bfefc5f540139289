using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace BuildTrack.Domain.Canonical;

/// <summary>A moment, in whole microseconds since 1970-01-01T00:00:00Z; both databases keep it exactly.</summary>
[JsonConverter(typeof(InstantJson))]
public readonly record struct Instant(long Microseconds) : IComparable<Instant>
{
    /// <summary>The moment a clock shows, cut (not rounded) to microseconds.</summary>
    public static Instant Now(TimeProvider clock) => From(clock.GetUtcNow());

    /// <summary>From a date and time with offset, cut to microseconds.</summary>
    public static Instant From(DateTimeOffset time) =>
        new(Math.DivRem(time.UtcTicks - DateTimeOffset.UnixEpoch.Ticks, TimeSpan.TicksPerMicrosecond).Quotient);

    public DateTimeOffset Utc => DateTimeOffset.UnixEpoch.AddTicks(Microseconds * TimeSpan.TicksPerMicrosecond);

    public int CompareTo(Instant other) => Microseconds.CompareTo(other.Microseconds);

    public static bool operator <(Instant a, Instant b) => a.Microseconds < b.Microseconds;

    public static bool operator >(Instant a, Instant b) => a.Microseconds > b.Microseconds;

    public static bool operator <=(Instant a, Instant b) => a.Microseconds <= b.Microseconds;

    public static bool operator >=(Instant a, Instant b) => a.Microseconds >= b.Microseconds;

    /// <summary>ISO 8601 in UTC with six decimals of a second.</summary>
    public override string ToString() => Utc.ToString("yyyy-MM-dd'T'HH:mm:ss.ffffff'Z'", CultureInfo.InvariantCulture);

    /// <summary>"2026-11-29 07:15 UTC": within a sentence, where no plant's clock is at hand.</summary>
    public string InWords => Utc.ToString("yyyy-MM-dd HH:mm 'UTC'", CultureInfo.InvariantCulture);

    /// <summary>Reads the text that <see cref="ToString"/> writes.</summary>
    public static Instant Parse(string text) =>
        From(DateTimeOffset.ParseExact(text, "yyyy-MM-dd'T'HH:mm:ss.ffffff'Z'", CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal));

    private sealed class InstantJson : JsonConverter<Instant>
    {
        public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            Parse(reader.GetString() ?? throw new JsonException("Expected an instant, found null."));

        public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) =>
            writer.WriteStringValue(value.ToString());
    }
}
