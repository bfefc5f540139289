namespace BuildTrack.Records.Storage;

/// <summary>A session (cookie) or a token (bearer). Only the SHA-256 of its secret is kept.</summary>
public sealed class SessionRow
{
    public const string ByPin = "pin";
    public const string ByBadge = "badge";

    public required string SecretHash { get; set; }
    public required string Person { get; set; }
    public bool Bearer { get; set; }
    public long CreatedUs { get; set; }
    public long LastUs { get; set; }
    public long? EndedUs { get; set; }

    /// <summary>How it was begun where it was not by password: pin or badge.</summary>
    public string? Begun { get; set; }

    /// <summary>The enrolled tablet it was begun on by badge or PIN.</summary>
    public long? Tablet { get; set; }
}
