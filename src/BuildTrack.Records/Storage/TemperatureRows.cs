namespace BuildTrack.Records.Storage;

/// <summary>One round of a bed's temperatures.</summary>
public sealed class TemperatureRoundRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int Step { get; set; }
    public required string Day { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of the round.</summary>
    public required string Round { get; set; }
}

/// <summary>Probes compared on one block.</summary>
public sealed class ProbeComparisonRow
{
    public long Id { get; set; }
    public required string Day { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of the comparison.</summary>
    public required string Comparison { get; set; }
}
