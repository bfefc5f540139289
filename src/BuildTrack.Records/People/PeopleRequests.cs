using System.Collections.Immutable;

namespace BuildTrack.Records.People;

/// <param name="Person">Sign-in name: lower-case letters, digits, dots and hyphens.</param>
public sealed record AddPersonRequest(string Person, string Name, string Password, ImmutableArray<string> Roles);

public sealed record ChangeRolesRequest(string Person, ImmutableArray<string> Roles);

public sealed record DisablePersonRequest(string Person, string Reason);

/// <param name="Secret">Shown once.</param>
public sealed record IssuedToken(long Sequence, string Secret);

public sealed record PersonLine(string Person, string Name, ImmutableArray<string> Roles, bool Disabled);
