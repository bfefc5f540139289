namespace BuildTrack.Records.Storage;

/// <summary>Kinds of <see cref="InstrumentRecordRow"/>.</summary>
public enum InstrumentRecordKind
{
    Check,
    Reversal,
    GaugeStudy,
}

/// <summary>What was done with an instrument itself: a check before use, a reversal, a gauge study. Never changed.</summary>
public sealed class InstrumentRecordRow
{
    public long Id { get; set; }
    public required string Instrument { get; set; }
    public int Kind { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of the record.</summary>
    public required string Detail { get; set; }
}
