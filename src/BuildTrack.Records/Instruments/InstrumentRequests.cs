using BuildTrack.Domain.Instruments;

namespace BuildTrack.Records.Instruments;

/// <summary>Enters an instrument, or its next state, in the register; the revision is counted by the register.</summary>
public sealed record RegisterInstrumentRequest(RegisterEntry Entry);
