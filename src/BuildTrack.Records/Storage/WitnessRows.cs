namespace BuildTrack.Records.Storage;

/// <summary>A line about a customer's witness at a hold point.</summary>
public sealed class WitnessRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Hold { get; set; }
    public int Act { get; set; }
    public required string Witness { get; set; }
    public required string Organisation { get; set; }

    /// <summary>yyyy-MM-dd, of an invitation.</summary>
    public string? Visit { get; set; }
    public int? Notice { get; set; }
    public string? Letter { get; set; }
    public string? Remark { get; set; }
    public string? Statement { get; set; }
    public string? FileHash { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}
