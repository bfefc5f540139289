using System.Collections.Immutable;

namespace BuildTrack.Web.Sheets;

/// <summary>One leaf of a long list.</summary>
/// <param name="No">From 1.</param>
/// <param name="Query">What is asked beside the leaf's number: "find=umber".</param>
public sealed record Leaf<T>(ImmutableArray<T> Lines, int No, int Leaves, int Total, string Query) : ILeaf;

public interface ILeaf
{
    int No { get; }

    int Leaves { get; }

    int Total { get; }

    string Query { get; }
}

public static class Leaf
{
    /// <summary>Lines on a leaf: some two screens of a tablet.</summary>
    public const int Length = 100;

    /// <summary>The leaf of that number, or the nearest there is.</summary>
    public static Leaf<T> Of<T>(IReadOnlyCollection<T> all, int? no, string query = "")
    {
        var leaves = Math.Max(1, (all.Count + Length - 1) / Length);
        var at = Math.Clamp(no ?? 1, 1, leaves);
        return new Leaf<T>([.. all.Skip((at - 1) * Length).Take(Length)], at, leaves, all.Count, query);
    }
}
