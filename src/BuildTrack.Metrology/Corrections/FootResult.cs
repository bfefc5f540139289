using System.Collections.Immutable;

namespace BuildTrack.Metrology.Corrections;

/// <summary>A levelling foot and the height of the bed over it.</summary>
/// <param name="Name">Its name; once.</param>
/// <param name="XMm">Along X, mm.</param>
/// <param name="YMm">Across, mm.</param>
/// <param name="HeightUm">Measured height of the bed over the foot, µm.</param>
/// <param name="RiseLeftUm">How far it can still rise, µm; null where that is not known.</param>
/// <param name="FallLeftUm">How far it can still fall, µm; null where that is not known.</param>
/// <param name="MmPerTurn">Rise of one turn, mm; null for a wedge foot, which has no thread pitch.</param>
public sealed record FootPlace(
    string Name, double XMm, double YMm, double HeightUm, double? RiseLeftUm = null, double? FallLeftUm = null, double? MmPerTurn = null);

/// <summary>Which way feet are moved.</summary>
public enum FootGoal
{
    /// <summary>Raise only, to the highest: keeps all feet loaded.</summary>
    RaiseToHighest,

    /// <summary>To the mean, by raising and lowering.</summary>
    MeanPlane,
}

/// <summary>What the heights are compared with.</summary>
public enum FootReference
{
    /// <summary>The level: heights are taken as they are.</summary>
    Level,

    /// <summary>The plane of least squares through the feet: the bed may stay tilted.</summary>
    Plane,
}

/// <summary>Rules of moving feet.</summary>
/// <param name="SmallestMoveUm">Smaller moves are left, µm: nobody turns a loaded foot by two degrees.</param>
/// <param name="StepUm">Largest move of one foot in one pass, µm.</param>
/// <param name="MostRounds">Rounds before the engineer is asked; a round is many small passes and one re-measure.</param>
public sealed record FootRules(double SmallestMoveUm = 20, double StepUm = 40, int MostRounds = 3);

/// <summary>Why a foot does not move by what is wanted.</summary>
public enum FootHeld
{
    /// <summary>It does.</summary>
    No,

    /// <summary>The move is smaller than is worth turning.</summary>
    TooSmall,

    /// <summary>Its travel is used up before.</summary>
    TravelUsedUp,
}

/// <summary>What one foot is to do.</summary>
/// <param name="Name">Its name.</param>
/// <param name="DeviationUm">Height over the reference, µm.</param>
/// <param name="WantedUm">Move wanted, µm; positive raises.</param>
/// <param name="MoveUm">Move to make, µm.</param>
/// <param name="Passes">In how many passes.</param>
/// <param name="TurnDegrees">The move as a turn of the screw, degrees; a guide only. Null for a foot without a thread pitch.</param>
/// <param name="PredictedHeightUm">Height over the foot after the round, µm.</param>
/// <param name="PredictedSigmaUm">Standard uncertainty of that height (of its deviation from the mean, where the datum lies on the bed), µm; null where no
/// influence was used.</param>
/// <param name="Held">Why the move is not what is wanted.</param>
public sealed record FootMove(
    string Name, double DeviationUm, double WantedUm, double MoveUm, int Passes, double? TurnDegrees, double PredictedHeightUm, double? PredictedSigmaUm,
    FootHeld Held);

/// <summary>One turn of the spanner.</summary>
/// <param name="Pass">Number of the pass, from 1.</param>
/// <param name="Foot">Name of the foot.</param>
/// <param name="MoveUm">Move now, µm.</param>
/// <param name="TotalUm">Moves of this foot so far in the round, µm. The indicator beside it is set to zero before each turn: what neighbours move is not
/// counted.</param>
public sealed record FootStep(int Pass, string Foot, double MoveUm, double TotalUm);

/// <summary>Why no round of moves is given.</summary>
public enum FootRefusal
{
    /// <summary>One is given.</summary>
    None,

    /// <summary>Fewer than three feet, or all on one line where a plane is asked for.</summary>
    NoPlane,

    /// <summary>The rounds are used up: ask the engineer.</summary>
    RoundsUsedUp,

    /// <summary>No foot has a move worth making.</summary>
    NothingToMove,

    /// <summary>A foot has no travel left for its whole move; what can be done is given.</summary>
    TravelUsedUp,
}

/// <summary>One round of moves.</summary>
/// <param name="Goal">Which way feet were to move.</param>
/// <param name="Reference">What heights were compared with.</param>
/// <param name="Round">Number of the round, from 1.</param>
/// <param name="Moves">In the order of the feet given.</param>
/// <param name="Order">Every turn in order: corners first, then the feet between, alternate diagonals, in small passes.</param>
/// <param name="RangeUm">Largest less smallest deviation from the reference before, µm.</param>
/// <param name="PredictedRangeUm">The same after, µm.</param>
/// <param name="Before">Flatness over the feet before; null where there is none to be had.</param>
/// <param name="After">Flatness over the feet as predicted.</param>
/// <param name="Refusal">Why there is nothing to do, or not all of it.</param>
/// <param name="RefusalSentence">The same in words, with numbers; null without a refusal.</param>
public sealed record FootMovesResult(
    FootGoal Goal, FootReference Reference, int Round, ImmutableArray<FootMove> Moves, ImmutableArray<FootStep> Order, double RangeUm, double PredictedRangeUm,
    BedForm? Before, BedForm? After, FootRefusal Refusal, string? RefusalSentence);
