namespace BuildTrack.Records.Storage;

/// <summary>A work that takes longer than a person waits: who asked for it, how far it has come, what it found. No record: the history does not speak for it.</summary>
public sealed class LongWorkRow
{
    public required string Work { get; set; }
    public required string Kind { get; set; }
    public required string Person { get; set; }
    public long AskedUs { get; set; }

    /// <summary>The host that does it, by a token of this one try; null while nobody does.</summary>
    public string? Hand { get; set; }

    /// <summary>Its last sign of life.</summary>
    public long? BeatUs { get; set; }

    /// <summary>How often it was begun without coming to its end.</summary>
    public int Begun { get; set; }

    /// <summary>Not before then, after a try that failed.</summary>
    public long NextUs { get; set; }
    public string? Fault { get; set; }
    public int Stage { get; set; }
    public int Stages { get; set; }
    public string? What { get; set; }
    public long Done { get; set; }
    public long Total { get; set; }
    public long? EndedUs { get; set; }
    public string? CancelledBy { get; set; }

    /// <summary>Canonical JSON of what came of it; null where it was cancelled or given up.</summary>
    public string? Outcome { get; set; }
}
