using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Corrections;

/// <summary>What can be done about a result that is not accepted.</summary>
public enum CorrectionKind
{
    /// <summary>Leaves under the pads that lie low.</summary>
    Shim,

    /// <summary>All pads milled again to one plane.</summary>
    Remill,

    /// <summary>The bed stays as it is; its use is conceded.</summary>
    Concession,

    /// <summary>The rail pushed at its screws, station by station.</summary>
    RailPush,

    /// <summary>One drive of the gantry runs ahead of the other by an offset.</summary>
    DriveOffset,

    /// <summary>The later rail segment set again at a joint.</summary>
    JointRealign,
}

/// <summary>One way to go on, with what it leads to.</summary>
/// <param name="Change">Name of the act on the bed to record once it is done; null for none.</param>
/// <param name="PredictedUm">The result to expect, in the unit of the result; null where only a measurement can tell.</param>
/// <param name="PredictedVerdict">The verdict on that value; null without one.</param>
/// <param name="Chance">How likely a measurement like the last one accepts it, 0 to 1; null where that is not known.</param>
/// <param name="ChanceFrom">Where the chance comes from.</param>
/// <param name="Steps">What to do, in order.</param>
/// <param name="Places">What is done at each place: pad, amount, and what is left; empty where nothing is done to single places.</param>
/// <param name="Hours">Hours of work; null without a plan.</param>
/// <param name="WaitsFor">What it has to wait for.</param>
/// <param name="Repeats">Lines and titles of the results that must then be repeated.</param>
/// <param name="Refusal">Why it cannot be done, with numbers; null where it can.</param>
public sealed record CorrectionOption(
    CorrectionKind Kind, string? Change, double? PredictedUm, Verdict? PredictedVerdict, double? Chance, string ChanceFrom, ImmutableArray<string> Steps,
    ImmutableArray<CorrectedPlace> Places, double? Hours, string WaitsFor, ImmutableArray<string> Repeats, string? Refusal);

/// <summary>What is done at one place.</summary>
/// <param name="Amount">"shim 0.050 + 0.020 mm", "cut 0.171 mm".</param>
/// <param name="Left">"17.229 mm of at least 16.000 mm"; null where nothing is taken off.</param>
public sealed record CorrectedPlace(string Place, string Amount, string? Left);

/// <summary>A named person's choice among the options, with the reason.</summary>
/// <param name="EvaluationHash">The result it was made on.</param>
/// <param name="Option">The option as it was shown.</param>
public sealed record CorrectionChoice(long Id, string Line, string EvaluationHash, CorrectionKind Kind, string Person, Instant At, string Reason, CorrectionOption Option);
