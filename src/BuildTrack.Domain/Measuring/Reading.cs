using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Measuring;

/// <summary>Where a reading was taken.</summary>
/// <param name="From">The station, or the first of two; null for the whole.</param>
/// <param name="To">The second of two stations; null elsewhere.</param>
public sealed record Place(PlaceKind Kind, string? From, string? To)
{
    public static Place Whole { get; } = new(PlaceKind.Whole, null, null);

    public static Place At(string station) => new(PlaceKind.At, station, null);

    public static Place Between(string from, string to) => new(PlaceKind.Between, from, to);

    /// <summary>"R1-04", "R1-04→R1-05" or "whole": one text for one place.</summary>
    public string Key => Kind switch
    {
        PlaceKind.At => From!,
        PlaceKind.Between => $"{From}→{To}",
        _ => "whole",
    };

    /// <summary>Reads what <see cref="Key"/> wrote.</summary>
    public static Place Parse(string key) =>
        key == "whole" ? Whole
        : key.Split('→') is [var from, var to] ? Between(from, to)
        : At(key);
}

/// <summary>How a reading came in.</summary>
public enum EntryRoute
{
    Typed,
    File,
    Gauge,

    /// <summary>No value: the reading it supersedes was taken back, and its place is empty again.</summary>
    TakenBack,
}

/// <summary>One value, exactly as received and as understood.</summary>
/// <param name="Kind">Number, choice, text, file or table.</param>
/// <param name="Typed">The text received, unchanged.</param>
/// <param name="Unit">Unit of the text; null for choices, texts and files.</param>
/// <param name="Nanometres">The length, for length quantities.</param>
/// <param name="Number">The number in its own unit, for other quantities.</param>
/// <param name="FileHash">SHA-256 of the file, for photos and tables.</param>
public sealed record ReadingValue(ValueKind Kind, string Typed, string? Unit, long? Nanometres, double? Number, string? FileHash)
{
    /// <summary>The value in the calculated unit of its quantity (µm for lengths, µm/m for slopes); null where it is no number. A division is still a division: see <see cref="Run.Calculated"/>.</summary>
    public double? Calculated => Nanometres is { } nm ? nm / 1000.0 : Number * Units.Factor(Unit ?? "");
}

/// <summary>The two times of a tablet that kept a reading, or the begin of a run, until it was sent, by the tablet's own clock.</summary>
/// <param name="Typed">When it was typed.</param>
/// <param name="Sent">When it was sent: against the time of arrival this shows how far the clock is off.</param>
public sealed record TabletClock(Instant Typed, Instant Sent)
{
    // A clock that was never set begins at 1970 or later; it does not stop the work, and how far it is off is told.
    private const long LatestUs = 4_102_444_800_000_000;

    /// <summary>The two times as a tablet sends them, µs UTC; null where it does not send both.</summary>
    /// <exception cref="BadInputException">A time before 1970 or after 2099.</exception>
    public static TabletClock? Of(long? typedUs, long? sentUs) =>
        typedUs is not { } typed || sentUs is not { } sent ? null : new TabletClock(Sound(typed, "typed"), Sound(sent, "sent"));

    private static Instant Sound(long us, string when) => us is >= 0 and < LatestUs ? new Instant(us)
        : throw new BadInputException($"time when {when}, by the tablet's clock", FormattableString.Invariant($"{us} µs"), "microseconds since 1970, UTC, up to 2099");

    /// <summary>How far the tablet's clock is behind the server's; negative where it is ahead. The way of the request is in it.</summary>
    public TimeSpan Behind(Instant arrived) => TimeSpan.FromMicroseconds(arrived.Microseconds - Sent.Microseconds);
}

/// <summary>One value of one run at one place. Never changed: a correction is a further reading that supersedes it and says why; taking it back is one that supersedes it and has no value.</summary>
/// <param name="Id">Unique in the record, in the order of arrival.</param>
/// <param name="Supersedes">Id of the reading this one corrects or takes back.</param>
/// <param name="Reason">Why it was corrected or taken back; of a first value, what the person was asked about it and confirmed.</param>
/// <param name="Tablet">The tablet's own times, where it sent them; null for what a program or an unenhanced page sent.</param>
public sealed record Reading(
    long Id, Place Place, string Column, ReadingValue Value, Instant At, string Person, EntryRoute Route, long? Supersedes, string? Reason, TabletClock? Tablet = null)
{
    /// <summary>SHA-256 of the reading's canonical text.</summary>
    public string Hash => CanonicalJson.Hash(CanonicalJson.Of(this));

    /// <summary>Nothing stands at the place after this: an earlier reading was taken back.</summary>
    public bool TakesBack => Route == EntryRoute.TakenBack;

    /// <summary>The entry that takes this one back.</summary>
    public Reading TakenBack(long id, Instant at, string person) =>
        new(id, Place, Column, new ReadingValue(Value.Kind, "", null, null, null, null), at, person, EntryRoute.TakenBack, Id, "taken back before the run was finished");
}
