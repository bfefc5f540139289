using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Domain.Checklists;

/// <summary>A place of the plant where steps are done, or "outside" for work that waits for a supplier or carrier.</summary>
/// <param name="Shifts">When work is done there, by the plant's clock; null where that is not planned: time then passes around the clock, holidays too.</param>
/// <param name="Capacity">How many machines it works on at once; null for any number.</param>
/// <param name="Origin">"company's example", or where else shifts and capacity come from; null where there are none.</param>
public sealed record WorkCentre(string Id, string Name, ImmutableArray<Shift>? Shifts = null, int? Capacity = null, string? Origin = null);

/// <summary>One shift: days of the week, and times of the plant's clock.</summary>
/// <param name="First">First day, Monday 0 to Sunday 6.</param>
/// <param name="Last">Last day, not before the first.</param>
/// <param name="From">Begin, in minutes after midnight.</param>
/// <param name="To">End, in minutes after midnight: later than the begin, at most 1440. A shift over midnight is two.</param>
public sealed record Shift(int First, int Last, int From, int To)
{
    private static readonly ImmutableArray<string> Days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

    /// <summary>Monday 0 to Sunday 6.</summary>
    public static int DayOf(DayOfWeek day) => ((int)day + 6) % 7;

    /// <summary>Whether it is worked on a day of the week.</summary>
    public bool On(DayOfWeek day) => DayOf(day) >= First && DayOf(day) <= Last;

    /// <summary>Reads "mon-fri 06:00-14:00" or "sat 06:00-12:00"; null where the text is none.</summary>
    public static Shift? Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Split(' ') is not [var days, var times] || times.Split('-') is not [var from, var to])
        {
            return null;
        }

        var (first, last) = days.Split('-') switch { [var one] => (Days.IndexOf(one), Days.IndexOf(one)), [var a, var b] => (Days.IndexOf(a), Days.IndexOf(b)), _ => (-1, -1) };
        return first >= 0 && last >= first && Minutes(from) is { } begin && Minutes(to) is { } end && end > begin ? new Shift(first, last, begin, end) : null;
    }

    /// <summary>"mon-fri 06:00-14:00".</summary>
    public override string ToString() => $"{Days[First]}{(Last > First ? $"-{Days[Last]}" : "")} {Clock(From)}-{Clock(To)}";

    private static string Clock(int minutes) => string.Create(CultureInfo.InvariantCulture, $"{minutes / 60:00}:{minutes % 60:00}");

    private static int? Minutes(string text) =>
        text.Length == 5 && text[2] == ':' && int.TryParse(text.AsSpan(0, 2), NumberStyles.None, CultureInfo.InvariantCulture, out var hour)
            && int.TryParse(text.AsSpan(3), NumberStyles.None, CultureInfo.InvariantCulture, out var minute) && minute < 60 && (hour * 60) + minute <= 1440
            ? (hour * 60) + minute : null;
}
