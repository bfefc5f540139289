using System.Collections.Immutable;

namespace BuildTrack.Records.Acts;

/// <summary>The signed-in person who asks for an act, with the roles held at this request.</summary>
/// <param name="Person">Sign-in name; unique and never changed.</param>
public sealed record Caller(string Person, string Name, ImmutableArray<string> Roles);

/// <summary>An act that was done.</summary>
/// <param name="Sequence">Its number in the history of acts.</param>
/// <param name="Subject">What it was done to.</param>
public sealed record ActReceipt(long Sequence, string Subject);

/// <summary>The same idempotency key came with another request.</summary>
public sealed class KeyReusedException(string key) : Exception($"Idempotency key '{key}' was used for another request; send a new key.");
