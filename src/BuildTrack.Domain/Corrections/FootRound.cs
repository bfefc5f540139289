using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Metrology.Corrections;

namespace BuildTrack.Domain.Corrections;

/// <summary>One foot in a round that was done.</summary>
/// <param name="Station">Where the height over it was read.</param>
/// <param name="HeightUm">That height before the round, µm.</param>
/// <param name="ProposedUm">Move that was calculated, µm; positive raises.</param>
/// <param name="MadeUm">Move that was made, µm, at the indicator beside the foot.</param>
/// <param name="PredictedUm">Height to expect after the moves that were made, µm.</param>
/// <param name="SigmaUm">Standard uncertainty of what a measurement afterwards shows against it, µm.</param>
public sealed record FootMade(string Foot, string Station, double HeightUm, double ProposedUm, double MadeUm, double PredictedUm, double SigmaUm);

/// <summary>A round of foot moves as it was done, with what it was to lead to. It is never changed; the next measurement closes it.</summary>
/// <param name="Line">The check whose heights it rests on.</param>
/// <param name="Measurement">The measurement of these heights.</param>
/// <param name="No">Number of the round since the bed was set up anew, from 1.</param>
/// <param name="LearnedFrom">How many rounds the prediction was learned from.</param>
public sealed record FootRoundMade(
    long Id, string Line, string Survey, long Measurement, string EvaluationHash, int No, int LearnedFrom, FootGoal Goal, FootReference Reference, string Person, Instant At,
    string? Note, ImmutableArray<FootMade> Feet);

/// <summary>What the next measurement showed of a round.</summary>
/// <param name="MeasuredUm">Heights over the feet, each less the mean of all, µm.</param>
/// <param name="PredictedUm">The same as predicted, µm.</param>
/// <param name="MissUm">Root mean square of measured less predicted, µm.</param>
/// <param name="WorstUm">Largest size of measured less predicted, µm.</param>
public sealed record FootRoundShown(long Measurement, ImmutableArray<double> HeightsUm, ImmutableArray<double> MeasuredUm, ImmutableArray<double> PredictedUm, double MissUm, double WorstUm);
