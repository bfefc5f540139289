using System.Collections.Immutable;

namespace BuildTrack.Records.Acts;

/// <summary>The signed-in person who asks for an act, with the roles held at this request.</summary>
/// <param name="Person">Sign-in name; unique and never changed.</param>
public sealed record Caller(string Person, string Name, ImmutableArray<string> Roles)
{
    /// <summary>Those of the roles that are held by delegation alone.</summary>
    public ImmutableArray<string> Lent { get; init; } = [];

    /// <summary>The session was begun by badge or PIN: it does the work of a technician and signs nothing.</summary>
    public bool ByPin { get; init; }

    /// <summary>The roles held in the own right.</summary>
    public ImmutableArray<string> Own => [.. Roles.Except(Lent)];
}

/// <summary>An act that was done.</summary>
/// <param name="Sequence">Its number in the history of acts.</param>
/// <param name="Subject">What it was done to.</param>
public sealed record ActReceipt(long Sequence, string Subject);

/// <summary>The same idempotency key came with another request.</summary>
public sealed class KeyReusedException(string key) : Exception($"Idempotency key '{key}' was used for another request; send a new key.");
