using System.Collections.Immutable;
using BuildTrack.Domain.Instruments;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Records.Instruments;

/// <summary>Enters an instrument, or its next state, in the register; the revision is counted by the register.</summary>
public sealed record RegisterInstrumentRequest(RegisterEntry Entry);

/// <summary>Records a check before use. Values as typed; without a unit they are in the instrument's own.</summary>
/// <param name="Reference">What it was checked against.</param>
/// <param name="Found">The departure found, with sign.</param>
/// <param name="Limit">The largest departure allowed.</param>
public sealed record CheckInstrumentRequest(string Instrument, string Reference, string Found, string Limit);

/// <summary>Records a reversal of a level: two readings at one place. Values as typed; without a unit they are in the instrument's own.</summary>
public sealed record ReverseLevelRequest(string Instrument, string Place, string First, string Second);

/// <summary>Records a crossed gauge study.</summary>
/// <param name="Unit">Unit of the readings; null: that of the instrument.</param>
/// <param name="ToleranceWidth">Upper less lower limit, unit of the readings.</param>
public sealed record GaugeStudyRequest(string Instrument, string About, string? Unit, double? ToleranceWidth, ImmutableArray<GaugeReading> Readings);

/// <param name="Id">Number of the record.</param>
/// <param name="Good">Of a check: within its limit.</param>
/// <param name="Sentence">What came out.</param>
public sealed record InstrumentReceipt(long Sequence, string Instrument, long Id, bool Good, string Sentence);
