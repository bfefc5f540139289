namespace BuildTrack.Records.Storage;

/// <summary>A day on which the plant does not work.</summary>
public sealed class HolidayRow
{
    public long Id { get; set; }

    /// <summary>yyyy-MM-dd.</summary>
    public required string Day { get; set; }
    public required string Name { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>That a holiday counts no longer.</summary>
public sealed class HolidayEndRow
{
    public long Id { get; set; }
    public long HolidayId { get; set; }
    public required string Reason { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A day for which a machine was promised; the latest one counts.</summary>
public sealed class PromiseRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }

    /// <summary>yyyy-MM-dd.</summary>
    public required string Day { get; set; }
    public required string Reason { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A disclosure list as it was agreed; the latest one counts.</summary>
public sealed class DisclosureRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int Revision { get; set; }

    /// <summary>Canonical JSON of the list.</summary>
    public required string List { get; set; }
    public required string AgreedWith { get; set; }
    public string? Reason { get; set; }
    public string? ApprovedBy { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>The customer's part at hold points as it was agreed; the latest one counts.</summary>
public sealed class CustomersPointsRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int Revision { get; set; }

    /// <summary>Canonical JSON of the hold points that differ from the plan.</summary>
    public required string Points { get; set; }
    public required string AgreedWith { get; set; }
    public string? Reason { get; set; }
    public string? ApprovedBy { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A line about a long-lead part of a machine.</summary>
public sealed class KitRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }

    /// <summary>Id of the part in the checklists.</summary>
    public required string Part { get; set; }
    public int Act { get; set; }

    /// <summary>yyyy-MM-dd of the supplier's promise.</summary>
    public string? Due { get; set; }
    public string? Note { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}
