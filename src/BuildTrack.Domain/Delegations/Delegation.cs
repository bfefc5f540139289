using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;

namespace BuildTrack.Domain.Delegations;

/// <summary>A right that one person lends to another for some days: a whole role, or the release of named hold points.</summary>
/// <param name="No">Running number over the plant.</param>
/// <param name="By">Who delegates; the other acts in this person's place.</param>
/// <param name="Role">The role; null where hold points are delegated.</param>
/// <param name="Holds">Ids of the hold points; empty where a role is delegated.</param>
/// <param name="From">yyyy-MM-dd in plant time, as <paramref name="Until"/>; both days included.</param>
public sealed record Delegation(
    int No, string By, string To, string? Role, ImmutableArray<string> Holds, string From, string Until, string Reason, Instant At, DelegationEnd? End = null)
{
    public bool Covers(string day) => End is null && string.CompareOrdinal(From, day) <= 0 && string.CompareOrdinal(day, Until) <= 0;

    /// <summary>"the role inspector", "the release of H13, H14".</summary>
    public string What => Role is { } role ? $"the role {role}" : $"the release of {string.Join(", ", Holds)}";

    public bool Releases(string hold) => Role is { } role ? Permissions.May([role], ActKind.Release) : Holds.Contains(hold);

    /// <summary>The role by which a person with this delegation is let in.</summary>
    public string Lends => Role ?? Roles.Delegate;
}

/// <summary>The end of a delegation before its last day.</summary>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
public sealed record DelegationEnd(string By, Instant At, string Day, string Reason);

/// <summary>In whose place a hold point was released.</summary>
/// <param name="Person">Who delegated it.</param>
/// <param name="Delegation">Its number.</param>
public sealed record ActingFor(string Person, int Delegation);
