namespace BuildTrack.Records.Storage;

/// <summary>A person put on a list for special work.</summary>
public sealed class QualificationRow
{
    public long Id { get; set; }

    /// <summary>Id of the list in the checklists.</summary>
    public required string List { get; set; }
    public required string Person { get; set; }
    public required string FromDay { get; set; }
    public required string ToDay { get; set; }
    public required string Evidence { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A person taken off a list before the last day.</summary>
public sealed class QualificationEndRow
{
    public long Id { get; set; }
    public long EntryId { get; set; }
    public required string Day { get; set; }
    public required string Reason { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}
