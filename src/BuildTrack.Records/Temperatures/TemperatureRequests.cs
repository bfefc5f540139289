using System.Collections.Immutable;

namespace BuildTrack.Records.Temperatures;

/// <summary>Records one round of a bed's temperatures, as typed: "20.35" or "20,35 °C".</summary>
/// <param name="Step">Number of a step whose surveys ask for bed temperatures.</param>
/// <param name="Air">1 m high beside the bed; null or empty if not taken.</param>
/// <param name="Top">From the operator's end on.</param>
/// <param name="Bottom">Below the same places.</param>
/// <param name="TopProbes">Register ids, one for each reading.</param>
/// <param name="Note">Anything that disturbed: door, crane, sun.</param>
public sealed record RecordRoundRequest(
    string Serial, int Step, string? Air, ImmutableArray<string> Top, ImmutableArray<string> Bottom, ImmutableArray<string> TopProbes, ImmutableArray<string> BottomProbes, string? Note);

/// <summary>What one probe read on the block, one reading for each repeat.</summary>
public sealed record BlockReadings(string Probe, ImmutableArray<string> Read);

/// <summary>Records probes held on one block, all of them read in turn, two times or more.</summary>
/// <param name="Step">Step of the display in K, as typed: "0.01".</param>
public sealed record CompareProbesRequest(string Step, ImmutableArray<BlockReadings> Probes);

/// <param name="Round">Number of the round or comparison.</param>
/// <param name="Sentence">What follows from it.</param>
public sealed record TemperatureReceipt(long Sequence, long Round, string Sentence);
