using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Qualifications;

/// <summary>A person on a list for special work, from one day to another, both included. It is never changed: a renewal is a further entry.</summary>
/// <param name="List">Id of the list in the checklists.</param>
/// <param name="From">yyyy-MM-dd in plant time, as <paramref name="To"/>.</param>
/// <param name="Evidence">Number of the certificate, or what else shows it.</param>
/// <param name="By">Who put the person on the list.</param>
public sealed record ListEntry(long Id, string List, string Person, string From, string To, string Evidence, string By, Instant At, TakenOff? TakenOff = null)
{
    /// <summary>Whether it speaks for the person on a day; one that was taken off speaks for no day any more.</summary>
    public bool Covers(string day) => TakenOff is null && string.CompareOrdinal(From, day) <= 0 && string.CompareOrdinal(day, To) <= 0;
}

/// <summary>The end of an entry before its last day.</summary>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
public sealed record TakenOff(string By, Instant At, string Day, string Reason);

/// <summary>Who stands on which list, and on which day that is asked.</summary>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
public sealed record QualifiedPeople(ImmutableArray<ListEntry> Entries, string Day)
{
    /// <summary>Nobody on any list: what asks for a list is then refused.</summary>
    public static QualifiedPeople Nobody { get; } = new([], "");

    public bool Has(string list, string person) => Entries.Any(e => e.List == list && e.Person == person && e.Covers(Day));

    /// <summary>The people on a list on that day, each with the entry that lasts longest.</summary>
    public ImmutableArray<ListEntry> On(string list) =>
        [.. Entries.Where(e => e.List == list && e.Covers(Day)).GroupBy(e => e.Person).Select(g => g.MaxBy(e => e.To)!).OrderBy(e => e.Person, StringComparer.Ordinal)];

    /// <summary>Days from the day asked until an entry ends; 0 on its last day, negative when it is over.</summary>
    public int DaysLeft(ListEntry entry) => DateOnly.Parse(entry.To, null).DayNumber - DateOnly.Parse(Day, null).DayNumber;
}
