namespace BuildTrack.Records.Storage;

/// <summary>The signed protocol on paper that the readings of a run are from.</summary>
public sealed class PaperProtocolRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public long RunId { get; set; }

    /// <summary>Id of the scan among the files of steps.</summary>
    public long FileId { get; set; }
    public required string Code { get; set; }
    public required string MeasuredBy { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A comparison of a run with the scan of its paper.</summary>
public sealed class PaperComparisonRow
{
    public long Id { get; set; }
    public long PaperId { get; set; }
    public required string Serial { get; set; }

    /// <summary>What was compared: changes with the scan and with every reading that stands.</summary>
    public required string Sheet { get; set; }

    /// <summary>The place that the scan has otherwise; null where all is equal.</summary>
    public string? Differs { get; set; }
    public string? Remark { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}
