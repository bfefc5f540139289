using System.Collections.Immutable;
using BuildTrack.Domain.Delegations;

namespace BuildTrack.Records.Releases;

/// <summary>Releases a hold point. The password travels with this one request.</summary>
/// <param name="Sheet">The sheet hash the person saw; a change since is refused.</param>
/// <param name="Emergency">Who releases had a hand in the measurement, and a second person confirms; null for any other release.</param>
public sealed record ReleaseRequest(string Serial, string Hold, string Password, string Sheet, EmergencyRequest? Emergency = null);

/// <summary>The second person of a release in an emergency. The password travels with this one request.</summary>
/// <param name="Reason">Why nobody else could release in time.</param>
/// <param name="Person">Sign-in name of the person who confirms.</param>
public sealed record EmergencyRequest(string? Reason, string? Person, string? Password);

/// <summary>Releases several hold points of one machine with one password: all of them or none.</summary>
public sealed record ReleaseSheetRequest(string Serial, ImmutableArray<SeenPoint> Points, string Password);

/// <param name="Sheet">The sheet hash the person saw of this point; a change since is refused.</param>
public sealed record SeenPoint(string Hold, string Sheet);

/// <param name="Certificate">Number of the certificate that this release led to; null if a scope is not complete or something blocks.</param>
/// <param name="Blocked">What blocks the certificate.</param>
/// <param name="UnderConcession">The concessions without which this release would not have been possible; null for none.</param>
/// <param name="ConfirmedBy">The second person of a release in an emergency; null for any other.</param>
/// <param name="For">In whose place it was released under a delegation, with its number; null elsewhere.</param>
public sealed record ReleaseReceipt(
    long Sequence, string Hold, string? Certificate, int? Issue, string? Blocked, ImmutableArray<string>? UnderConcession = null, string? ConfirmedBy = null,
    ActingFor? For = null);

/// <summary>The points in the order in which they were released.</summary>
public sealed record ReleaseSheetReceipt(long Sequence, ImmutableArray<ReleaseReceipt> Points);

public sealed record ReturnRequest(string Serial, string Hold, string Reason, string Sheet);

public sealed record IssueRequest(string Serial, string Scope, string Password);

public sealed record VoidRequest(string Number, int Issue, string Reason, string Password);
