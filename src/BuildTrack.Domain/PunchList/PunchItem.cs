using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.PunchList;

/// <summary>How much an item of the punch list matters.</summary>
public enum PunchClass
{
    /// <summary>Safety, or it prevents operation.</summary>
    A,

    /// <summary>Not to specification, but the machine can be operated.</summary>
    B,

    /// <summary>Cosmetic, or a document.</summary>
    C,
}

/// <summary>What is recorded about an item after it was put on the list.</summary>
public enum PunchAct
{
    ChangeClass,
    Close,
}

/// <summary>One line of an item. Lines are added, never changed.</summary>
/// <param name="Text">Why the class changed; what shows that the item is done.</param>
/// <param name="Class">The new class, where it changed.</param>
/// <param name="FileHash">SHA-256 of a kept file that shows it; null for none.</param>
public sealed record PunchEntry(long Id, PunchAct Act, string Person, Instant At, string Text, PunchClass? Class, string? FileHash);

/// <summary>An item of a machine's punch list.</summary>
/// <param name="No">Its number on this machine, from 1.</param>
/// <param name="FirstClass">The class it was put on the list with.</param>
/// <param name="Owner">Sign-in name of who sees to it, or the name of an outside party.</param>
/// <param name="Outside">The owner is an outside party.</param>
/// <param name="Due">yyyy-MM-dd.</param>
public sealed record PunchItem(
    long Id, int No, string Text, PunchClass FirstClass, string Owner, bool Outside, string Due, string Person, Instant At, ImmutableArray<PunchEntry> Entries)
{
    /// <summary>The class as it stands.</summary>
    public PunchClass Class => Entries.LastOrDefault(e => e.Class is not null)?.Class ?? FirstClass;

    /// <summary>The line that closed it; null while it is open.</summary>
    public PunchEntry? Closed => Entries.LastOrDefault(e => e.Act == PunchAct.Close);
}
