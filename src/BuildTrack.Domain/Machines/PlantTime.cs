using System.Globalization;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Machines;

/// <summary>Instants as the plant's clock shows them.</summary>
public sealed class PlantTime(string timeZone)
{
    private readonly TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(timeZone);

    /// <summary>yyyy-MM-dd in plant time.</summary>
    public string Day(Instant at) => Local(at).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    public int Year(Instant at) => Local(at).Year;

    /// <summary>"25 Nov 2026 06:40".</summary>
    public string Short(Instant at) => Local(at).ToString("d MMM yyyy HH:mm", CultureInfo.InvariantCulture);

    /// <summary>"06:40".</summary>
    public string TimeOfDay(Instant at) => Local(at).ToString("HH:mm", CultureInfo.InvariantCulture);

    /// <summary>"25 Nov 2026 06:40:12 +01:00".</summary>
    public string Long(Instant at) => Local(at).ToString("d MMM yyyy HH:mm:ss zzz", CultureInfo.InvariantCulture);

    /// <summary>Minute of UTC since 1970 at which a day of the plant begins; where the clock leaves midnight out, the first minute that it shows.</summary>
    public long Midnight(DateOnly day)
    {
        var midnight = day.ToDateTime(TimeOnly.MinValue);
        while (zone.IsInvalidTime(midnight))
        {
            midnight = midnight.AddMinutes(1);
        }

        return (long)(new DateTimeOffset(midnight, zone.GetUtcOffset(midnight)) - DateTimeOffset.UnixEpoch).TotalMinutes;
    }

    public DateTimeOffset Local(Instant at) => TimeZoneInfo.ConvertTime(at.Utc, zone);
}
