namespace BuildTrack.Records.Storage;

/// <summary>A right lent by one person to another.</summary>
public sealed class DelegationRow
{
    public long Id { get; set; }
    public int No { get; set; }
    public required string By { get; set; }
    public required string ToPerson { get; set; }
    public string? Role { get; set; }

    /// <summary>Space-separated hold points; empty where a role is lent.</summary>
    public required string Holds { get; set; }
    public required string FromDay { get; set; }
    public required string UntilDay { get; set; }
    public required string Reason { get; set; }
    public long AtUs { get; set; }
}

/// <summary>The end of a delegation before its last day.</summary>
public sealed class DelegationEndRow
{
    public long Id { get; set; }
    public int No { get; set; }
    public required string Day { get; set; }
    public required string Reason { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}
