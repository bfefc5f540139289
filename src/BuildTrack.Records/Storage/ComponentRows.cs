namespace BuildTrack.Records.Storage;

/// <summary>A component as it was fitted; one that replaces another names its row.</summary>
public sealed class ComponentRow
{
    public long Id { get; set; }

    /// <summary>Serial number of the machine.</summary>
    public required string Serial { get; set; }

    /// <summary>rail-r1/2.</summary>
    public required string Place { get; set; }

    public required string Kind { get; set; }

    /// <summary>The maker's serial number.</summary>
    public required string Number { get; set; }
    public string? Firmware { get; set; }
    public string? Certificate { get; set; }
    public string? Begins { get; set; }
    public string? Ends { get; set; }

    /// <summary>Id of the row that was taken out for this one.</summary>
    public long? Replaces { get; set; }
    public string? Reason { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}
