using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Nonconformances;

/// <summary>How much a nonconformance matters.</summary>
public enum Severity
{
    /// <summary>Safety.</summary>
    Critical,

    /// <summary>Function, or what the contract says.</summary>
    Major,

    /// <summary>Appearance, or a document.</summary>
    Minor,
}

/// <summary>Where a nonconformance came from.</summary>
public enum CauseCategory
{
    Method,
    Machine,
    Material,
    Person,
    Measurement,
    Environment,
}

/// <summary>What is done about it. Changing a limit is none of these.</summary>
public enum Disposition
{
    /// <summary>Made to conform.</summary>
    Rework,

    /// <summary>Made fit for use, still not to the drawing.</summary>
    Repair,

    /// <summary>Permission to use what does not conform.</summary>
    Concession,

    /// <summary>The same permission, given before it is made.</summary>
    DeviationPermit,

    /// <summary>Another model, a lower specification.</summary>
    Regrade,

    Scrap,
    ReturnToSupplier,
}

/// <summary>What a person records about a nonconformance after it was raised.</summary>
public enum NonconformanceAct
{
    Contain,
    Propose,
    Approve,

    /// <summary>The customer's person agrees, by a letter.</summary>
    Consent,

    /// <summary>A proposal is declined, or an action was not found in order.</summary>
    GiveBack,

    Action,
    Verify,
    Close,
}

/// <summary>How far a nonconformance has come.</summary>
public enum NonconformanceState
{
    Raised,
    Contained,
    DispositionProposed,
    DispositionApproved,
    ActionDone,
    Verified,
    Closed,
}

/// <summary>Something seen that no result tells.</summary>
/// <param name="Required">What is required.</param>
/// <param name="Found">What was found.</param>
/// <param name="Origin">Where it is required: company standard, contract annex 3.</param>
/// <param name="FromContract">The customer agreed it, and must agree to a concession.</param>
public sealed record SeenFault(string Required, string Found, string Origin, bool FromContract);

/// <summary>What keeps the part from being used meanwhile.</summary>
/// <param name="Tag">Number or colour of the tag on it.</param>
/// <param name="Place">Where it stands.</param>
/// <param name="OthersToStop">Serial numbers of other machines that may have the same.</param>
public sealed record Containment(string Tag, string Place, ImmutableArray<string> OthersToStop);

/// <summary>The customer's agreement.</summary>
/// <param name="Letter">Reference to the letter.</param>
public sealed record CustomerConsent(string Person, string Letter);

/// <summary>What an entry says; what does not belong to its act is null.</summary>
/// <param name="Text">In words: what was done, found, proposed.</param>
/// <param name="Roles">The roles its person held at that moment.</param>
public sealed record NonconformanceDetail(
    string Text, ImmutableArray<string> Roles, Containment? Containment = null, CauseCategory? Cause = null, Disposition? Disposition = null, CustomerConsent? Consent = null);

/// <summary>One line of a nonconformance. Lines are added, never changed.</summary>
/// <param name="Concession">The running number of the concession that this line completed; null elsewhere.</param>
public sealed record NonconformanceEntry(long Id, NonconformanceAct Act, string Person, Instant At, NonconformanceDetail Detail, int? Concession);

/// <summary>A nonconformance of one machine: what is required and what was found, and every entry since.</summary>
/// <param name="Number">Its number in the plant's sequence.</param>
/// <param name="Step">The step of the route it was found at; null where it belongs to none.</param>
/// <param name="Result">The failed result it was raised from; then <paramref name="Seen"/> is null.</param>
/// <param name="Note">What the person who raised it adds; null for nothing.</param>
public sealed record Nonconformance(
    long Id, int Number, string Serial, int? Step, FailedResult? Result, SeenFault? Seen, Severity Severity, string? Note, string Person, Instant At,
    ImmutableArray<NonconformanceEntry> Entries)
{
    /// <summary>"NCR-0041".</summary>
    public string Name => NameOf(Number);

    public static string NameOf(int number) => FormattableString.Invariant($"NCR-{number:0000}");

    /// <summary>The line of the inspection and test plan; null for something seen.</summary>
    public string? Line => Result?.Line;

    /// <summary>What is required, with where that stands.</summary>
    public string Required => Result is { } result ? result.Required : $"{Seen!.Required} ({Seen.Origin})";

    public string Found => Result is { } result ? result.Found : Seen!.Found;

    /// <summary>In a few words: the check, or what was seen.</summary>
    public string What => Result is { } result ? $"{result.Title}: {result.Found}" : Seen!.Found;

    /// <summary>The limit is one that the customer agreed.</summary>
    public bool FromContract => Result?.FromContract ?? Seen!.FromContract;

    public NonconformanceStanding Standing => NonconformanceStanding.Of(this);

    /// <summary>Whether an entry is the last one that a concession or deviation permit waits for; it then takes the number.</summary>
    public bool Concedes(NonconformanceEntry entry) =>
        entry.Act is NonconformanceAct.Approve or NonconformanceAct.Consent
        && (this with { Entries = [.. Entries, entry] }).Standing is { State: NonconformanceState.DispositionApproved, Disposition: { } approved } && Approval.Permits(approved);

    /// <summary>Stands in the way of a release: neither closed nor conceded.</summary>
    public bool Open => Standing is { State: not NonconformanceState.Closed, Concession: null };
}
