namespace BuildTrack.Records.Storage;

/// <summary>A photo or file attached to a step; its content lies in the file store.</summary>
public sealed class StepFileRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int Step { get; set; }
    public string? Subject { get; set; }
    public required string Shows { get; set; }
    public required string Name { get; set; }
    public required string MediaType { get; set; }
    public long Size { get; set; }
    public required string Hash { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>The run it shows; null where it shows none.</summary>
    public long? RunId { get; set; }

    /// <summary>The place of that run; null for the run as a whole.</summary>
    public string? Place { get; set; }

    /// <summary>Number of the nonconformance it shows; null where it shows none.</summary>
    public int? Nonconformance { get; set; }
}

/// <summary>The record of a step was looked at.</summary>
public sealed class RecordReviewRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int Step { get; set; }
    public required string Note { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A file that no longer counts.</summary>
public sealed class FileSetAsideRow
{
    public long Id { get; set; }
    public long FileId { get; set; }
    public required string Serial { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public required string Reason { get; set; }
}
