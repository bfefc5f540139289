namespace BuildTrack.Records.Storage;

/// <summary>One round of foot moves as it was done.</summary>
public sealed class FootRoundRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Survey { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of the round.</summary>
    public required string Round { get; set; }
}
