using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;

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

/// <summary>One value of one run at one place. Never changed: a correction is a further reading that supersedes it and says why; taking it back is one that supersedes it and has no value.</summary>
/// <param name="Id">Unique in the record, in the order of arrival.</param>
/// <param name="Supersedes">Id of the reading this one corrects or takes back.</param>
/// <param name="Reason">Why it was corrected or taken back; of a first value, what the person was asked about it and confirmed.</param>
public sealed record Reading(
    long Id, Place Place, string Column, ReadingValue Value, Instant At, string Person, EntryRoute Route, long? Supersedes, string? Reason)
{
    /// <summary>SHA-256 of the reading's canonical text.</summary>
    public string Hash => CanonicalJson.Hash(CanonicalJson.Of(this));

    /// <summary>Nothing stands at the place after this: an earlier reading was taken back.</summary>
    public bool TakesBack => Route == EntryRoute.TakenBack;

    /// <summary>The entry that takes this one back.</summary>
    public Reading TakenBack(long id, Instant at, string person) =>
        new(id, Place, Column, new ReadingValue(Value.Kind, "", null, null, null, null), at, person, EntryRoute.TakenBack, Id, "taken back before the run was finished");
}
