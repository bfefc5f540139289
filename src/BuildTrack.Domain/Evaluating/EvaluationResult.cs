using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>How far a result has come.</summary>
public enum ResultState
{
    /// <summary>No reading yet.</summary>
    NotMeasured,

    /// <summary>Places or passes are missing, or too few to decide.</summary>
    Incomplete,

    /// <summary>There is a value and a verdict.</summary>
    Calculated,
}

/// <summary>The answer of a calculation. All values in <see cref="Unit"/>, unrounded.</summary>
/// <param name="Unit">µm for lengths.</param>
/// <param name="Value">The result under the requirement's reference; null while incomplete.</param>
/// <param name="Figures">All named figures of the calculation (both references of a flatness, slopes …), for information.</param>
/// <param name="ExpandedUncertainty">U of the instrument for this use and distance.</param>
/// <param name="K">Coverage factor of U.</param>
/// <param name="ReachAbove">How far the truth may lie above what was found.</param>
/// <param name="ReachBelow">How far the truth may lie below what one measurement alone found.</param>
/// <param name="AcceptBand">Larger of the rule's band and the reach above.</param>
/// <param name="RejectBandAlone">Larger of the rule's band and the reach below.</param>
/// <param name="RejectBandAgain">Larger of the rule's band and the band of the deciding places measured again; null before it can be known.</param>
/// <param name="Upper">The upper limit that applied.</param>
/// <param name="Lower">The lower limit that applied.</param>
/// <param name="Verdict">Null unless <see cref="State"/> is calculated.</param>
/// <param name="Because">Sentences with the numbers, the deciding one first.</param>
/// <param name="Contacts">The places that fix the value, with weights.</param>
/// <param name="ZoneProved">Whether the minimum zone was proved by its contacts.</param>
/// <param name="Deviations">Deviation of every place from the requirement's reference.</param>
/// <param name="Again">What each repeat of the deciding places gave.</param>
/// <param name="AgainMean">Mean over those repeats.</param>
/// <param name="Next">What to do next.</param>
public sealed record EvaluationResult(
    ResultState State, string Unit, double? Value, ImmutableArray<Figure> Figures, double? ExpandedUncertainty, double? K, double? ReachAbove,
    double? ReachBelow, double? AcceptBand, double? RejectBandAlone, double? RejectBandAgain, double? Upper, double? Lower, Verdict? Verdict,
    ImmutableArray<string> Because, ImmutableArray<WeightedPlace> Contacts, bool? ZoneProved, ImmutableArray<Deviation> Deviations,
    ImmutableArray<AgainValue> Again, double? AgainMean, NextAction Next)
{
    /// <summary>Largest value that is accepted; null without an upper limit.</summary>
    public double? AcceptUpTo => Upper - AcceptBand;

    /// <summary>Least value that is accepted; null without a lower limit.</summary>
    public double? AcceptFrom => Lower + AcceptBand;

    /// <summary>The limit that the value keeps least is the lower one.</summary>
    public bool NearLower => Lower is not null && (Upper is null || Value - AcceptFrom < AcceptUpTo - Value);

    /// <summary>The limit that the value keeps least.</summary>
    public double? NearLimit => NearLower ? Lower : Upper;

    /// <summary>The acceptance line of that limit.</summary>
    public double? NearLine => NearLower ? AcceptFrom : AcceptUpTo;

    /// <summary>What is left to that acceptance line: positive when accepted.</summary>
    public double? Margin => NearLower ? Value - NearLine : NearLine - Value;

    /// <summary>A result that has no value yet.</summary>
    public static EvaluationResult Without(ResultState state, string unit, string because, NextAction next) => new(
        state, unit, null, [], null, null, null, null, null, null, null, null, null, null, [because], [], null, [], [], null, next);
}

/// <summary>A named figure with its unit: "leastSquares" 29.75 µm.</summary>
public sealed record Figure(string Name, double Value, string Unit);

/// <summary>Deviation of one place from the reference.</summary>
public sealed record Deviation(string Place, double Value);

/// <summary>What one repeat of the deciding places gave.</summary>
public sealed record AgainValue(long Run, int RunNo, double Value);

/// <summary>Kinds of next action.</summary>
public enum NextKind
{
    /// <summary>Record the readings that are missing.</summary>
    Record,

    /// <summary>Measure the contact places again.</summary>
    MeasureContactsAgain,

    /// <summary>Measure every place again, as a proof with frozen weights.</summary>
    MeasureAllAgain,

    /// <summary>Add a pass: the mean counts, the band stays.</summary>
    AddPass,

    /// <summary>Wait, or use another instrument, then begin again.</summary>
    MendConditions,

    /// <summary>Rework, repair or concession: the bed is proved outside its limit.</summary>
    Rework,

    /// <summary>An inspector may release.</summary>
    Release,
}

/// <summary>What to do next.</summary>
/// <param name="Places">The places concerned, with the frozen weights where they are measured again.</param>
public sealed record NextAction(NextKind Kind, string Sentence, ImmutableArray<WeightedPlace> Places);
