namespace BuildTrack.Records.Storage;

/// <summary>A shared tablet on which the person changes by badge or PIN. Only the SHA-256 of its secret is kept.</summary>
public sealed class TabletRow
{
    public long Id { get; set; }
    public required string Name { get; set; }
    public required string SecretHash { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}

/// <summary>The end of a tablet's enrolment.</summary>
public sealed class TabletEndRow
{
    public long Id { get; set; }
    public long TabletId { get; set; }
    public required string Reason { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A PIN that a person set; the latest counts. Hashed as passwords are.</summary>
public sealed class PinRow
{
    public long Id { get; set; }
    public required string Person { get; set; }
    public required string PinHash { get; set; }
    public long AtUs { get; set; }
}

/// <summary>How often a person's PIN was wrong since it was right. No act changes it, so it has a key of its own.</summary>
public sealed class PinTryRow
{
    public required string Person { get; set; }
    public int Failures { get; set; }
}

/// <summary>A badge that was printed for a person. Only the SHA-256 of its secret is kept.</summary>
public sealed class BadgeRow
{
    public long Id { get; set; }
    public required string Person { get; set; }
    public required string SecretHash { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}

/// <summary>The end of a badge: lost, or replaced.</summary>
public sealed class BadgeEndRow
{
    public long Id { get; set; }
    public long BadgeId { get; set; }
    public required string Reason { get; set; }
    public required string By { get; set; }
    public long AtUs { get; set; }
}
