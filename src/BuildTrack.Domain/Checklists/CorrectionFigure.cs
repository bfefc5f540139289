using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Checklists;

/// <summary>A figure of the company that corrections are worked out with: how deep a cut cleans a pad, which shims are on the shelf.</summary>
/// <param name="Id">One of <see cref="Needed"/>, or a leaf: leaf-050.</param>
/// <param name="Title">What it is, in the words of the shop.</param>
/// <param name="Origin">"company standard", or where else it comes from.</param>
public sealed record CorrectionFigure(string Id, string Title, Amount Value, string Origin, string Edition)
{
    public const string CleanUp = "clean-up";
    public const string MillSetUp = "mill-set-up";
    public const string FootTravel = "foot-travel";
    public const string FootSmallest = "foot-smallest";
    public const string FootStep = "foot-step";
    public const string FootRounds = "foot-rounds";
    public const string FootHours = "foot-hours";
    public const string PushHours = "push-hours";
    public const string OffsetHours = "offset-hours";
    public const string JointHours = "joint-hours";
    public const string ShimLargest = "shim-largest";
    public const string ShimThinner = "shim-thinner";
    public const string ShimMostLeaves = "shim-most-leaves";
    public const string ShimMostPads = "shim-most-pads";
    public const string ShimHours = "shim-hours";

    /// <summary>What the name of a shim leaf begins with.</summary>
    public const string Leaf = "leaf-";

    /// <summary>Every figure that is needed, with an example of its unit.</summary>
    public static ImmutableArray<(string Id, string Unit)> Needed { get; } =
    [
        (CleanUp, "mm"), (MillSetUp, "mm"), (FootTravel, "mm"), (ShimLargest, "mm"), (ShimThinner, "mm"), (ShimMostLeaves, "1"), (ShimMostPads, "1"), (ShimHours, "h"),
    ];

    /// <summary>Figures that feet, rails, joints and drives want; a plan without them has no such corrections.</summary>
    public static ImmutableArray<(string Id, string Unit)> Further { get; } =
        [(FootSmallest, "mm"), (FootStep, "mm"), (FootRounds, "1"), (FootHours, "h"), (PushHours, "h"), (OffsetHours, "h"), (JointHours, "h")];
}
