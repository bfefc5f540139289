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
        var (at, leaves) = At(all.Count, no);
        return new Leaf<T>([.. all.Skip((at - 1) * Length).Take(Length)], at, leaves, all.Count, query);
    }

    /// <summary>The same of a list that is read leaf by leaf.</summary>
    /// <param name="part">Reads so many lines after having left out so many.</param>
    /// <param name="length">Lines on a leaf: fewer where each is dear.</param>
    public static async Task<Leaf<T>> Of<T>(int total, int? no, Func<int, int, Task<ImmutableArray<T>>> part, int length = Length)
    {
        var (at, leaves) = At(total, no, length);
        return new Leaf<T>(await part((at - 1) * length, length), at, leaves, total, "");
    }

    private static (int At, int Leaves) At(int total, int? no, int length = Length)
    {
        var leaves = Math.Max(1, (total + length - 1) / length);
        return (Math.Clamp(no ?? 1, 1, leaves), leaves);
    }
}
