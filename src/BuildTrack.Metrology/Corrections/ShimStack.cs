using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Corrections;

/// <summary>One thickness of shim leaf that lies in stock.</summary>
/// <param name="Name">What the shelf calls it; once in a stock.</param>
/// <param name="ThicknessNm">Thickness in nm: the real one where the leaf was measured, else the nominal one.</param>
/// <param name="Count">How many there are; null where they do not run out.</param>
public sealed record ShimLeaf(string Name, long ThicknessNm, int? Count = null);

/// <summary>What a stack may be.</summary>
/// <param name="MostLeaves">Leaves in one stack at most.</param>
/// <param name="ThinnerNm">How much thinner than wanted a stack may be, nm; thicker it may never be.</param>
public sealed record ShimRules(int MostLeaves = ShimStack.UsualMostLeaves, long ThinnerNm = ShimStack.UsualThinnerNm);

/// <summary>Why a pad gets no stack.</summary>
public enum ShimRefusal
{
    /// <summary>It gets one, or needs none.</summary>
    None,

    /// <summary>There is no leaf in stock.</summary>
    EmptyStock,

    /// <summary>The pad is higher than wanted: a shim cannot lower it.</summary>
    PadIsHigh,

    /// <summary>No stack of these leaves is near enough.</summary>
    NoStackFits,

    /// <summary>Stacks exist, but the stock does not reach for all pads.</summary>
    StockUsedUp,
}

/// <summary>The stack for one pad.</summary>
/// <param name="WantedNm">Thickness wanted, nm.</param>
/// <param name="FromBelow">The leaves in the order in which they are laid; the two thickest are the outer ones. Empty where nothing is laid.</param>
/// <param name="ThicknessNm">Thickness of the stack, nm.</param>
/// <param name="Refusal">Why there is none.</param>
/// <param name="RefusalSentence">The same in words, with numbers; null without a refusal.</param>
public sealed record ShimChoice(long WantedNm, ImmutableArray<ShimLeaf> FromBelow, long ThicknessNm, ShimRefusal Refusal, string? RefusalSentence)
{
    /// <summary>Wanted less laid, nm.</summary>
    public long ThinnerNm => WantedNm - ThicknessNm;
}

/// <summary>The exact choice of shim leaves for a wanted thickness: never thicker, fewest leaves, then nearest.</summary>
/// <remarks>Rules, order of the leaves and examples: docs/method/corrections.md. Whole nanometres, so nothing is lost to rounding.</remarks>
public static class ShimStack
{
    /// <summary>Leaves in one stack at most, where nothing else is said.</summary>
    public const int UsualMostLeaves = 4;

    /// <summary>A stack may be thinner than wanted by this, nm.</summary>
    public const long UsualThinnerNm = 10_000;

    /// <summary>Thickest leaf or stack that is taken, nm (100 mm).</summary>
    public const long LargestNm = 100_000_000;

    /// <summary>Kinds of leaves in a stock at most.</summary>
    public const int MostKinds = 200;

    /// <summary>Leaves of a usual shelf: 1.0 0.5 0.3 0.2 0.1 0.05 0.03 0.02 mm, as many as are wanted.</summary>
    public static ImmutableArray<ShimLeaf> UsualStock { get; } =
    [
        new("1.00", 1_000_000), new("0.50", 500_000), new("0.30", 300_000), new("0.20", 200_000),
        new("0.10", 100_000), new("0.05", 50_000), new("0.03", 30_000), new("0.02", 20_000),
    ];

    /// <summary>Chooses the stack for one pad.</summary>
    /// <param name="wantedNm">Thickness wanted, nm. Up to the allowed shortfall no leaf is needed.</param>
    /// <param name="stock">Leaves that are there.</param>
    /// <param name="rules">Null: four leaves, 10 µm.</param>
    /// <exception cref="ArgumentException">A leaf without a name, or the same name twice.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A thickness or a count out of range, too many kinds, rules that cannot be.</exception>
    public static ShimChoice Choose(long wantedNm, IReadOnlyList<ShimLeaf> stock, ShimRules? rules = null)
    {
        rules ??= new ShimRules();
        if (wantedNm is < -LargestNm or > LargestNm)
            Guard.ThrowOutOfRange(wantedNm, nameof(wantedNm), "within ±10⁸");
        var leaves = Sorted(stock, rules);
        if (Refused(wantedNm, leaves) is { } refused)
            return refused;
        for (var count = 0; count <= rules.MostLeaves; count++)
        {
            if (new Search(leaves, wantedNm).Nearest(count, wantedNm - rules.ThinnerNm) is { } found)
                return Laid(wantedNm, found);
        }

        return Without(wantedNm, ShimRefusal.NoStackFits, NoFit(wantedNm, leaves, rules));
    }

    internal static ShimChoice? Refused(long wantedNm, ShimLeaf[] leaves) =>
        wantedNm < 0 ? Without(wantedNm, ShimRefusal.PadIsHigh, $"The pad is {Mm(-wantedNm)} mm higher than wanted; a shim cannot lower it.")
        : leaves.Length == 0 ? Without(wantedNm, ShimRefusal.EmptyStock, "There are no shim leaves in stock.")
        : null;

    /// <summary>The leaves that are there, thickest first; leaves of equal thickness by name.</summary>
    internal static ShimLeaf[] Sorted(IReadOnlyList<ShimLeaf> stock, ShimRules rules)
    {
        ArgumentNullException.ThrowIfNull(stock);
        if (stock.Count > MostKinds)
            Guard.ThrowOutOfRange(stock.Count, nameof(stock), "200 kinds at most");
        if (rules.MostLeaves is < 1 or > 6)
            Guard.ThrowOutOfRange(rules.MostLeaves, nameof(rules.MostLeaves), "from 1 to 6");
        if (rules.ThinnerNm is < 0 or > LargestNm)
            Guard.ThrowOutOfRange(rules.ThinnerNm, nameof(rules.ThinnerNm), "from 0 to 10⁸");
        var seen = new HashSet<string>(StringComparer.Ordinal);
        for (var i = 0; i < stock.Count; i++)
        {
            var place = string.Create(CultureInfo.InvariantCulture, $"stock[{i}]");
            ArgumentException.ThrowIfNullOrWhiteSpace(stock[i].Name, place + ".Name");
            if (stock[i].ThicknessNm is < 1 or > LargestNm)
                Guard.ThrowOutOfRange(stock[i].ThicknessNm, place + ".ThicknessNm", "from 1 to 10⁸");
            if (stock[i].Count is < 0)
                Guard.ThrowOutOfRange(stock[i].Count!.Value, place + ".Count", "0 or more");
            if (!seen.Add(stock[i].Name))
                throw new ArgumentException($"{place}: the leaf {stock[i].Name} stands twice in the stock.", nameof(stock));
        }

        return [.. stock.Where(l => l.Count is not 0).OrderByDescending(l => l.ThicknessNm).ThenBy(l => l.Name, StringComparer.Ordinal)];
    }

    /// <summary>A stack as it is laid: thickest below, the thin ones between, the second thickest above.</summary>
    internal static ShimChoice Laid(long wantedNm, IReadOnlyList<ShimLeaf> thickestFirst)
    {
        var inner = thickestFirst.Skip(2).Reverse();
        ImmutableArray<ShimLeaf> order = thickestFirst.Count < 2 ? [.. thickestFirst] : [thickestFirst[0], .. inner, thickestFirst[1]];
        return new ShimChoice(wantedNm, order, order.Sum(l => l.ThicknessNm), ShimRefusal.None, null);
    }

    internal static ShimChoice Without(long wantedNm, ShimRefusal refusal, string sentence) => new(wantedNm, [], 0, refusal, sentence);

    internal static string NoFit(long wantedNm, ShimLeaf[] leaves, ShimRules rules)
    {
        long nearest = 0;
        for (var count = 1; count <= rules.MostLeaves; count++)
        {
            if (new Search(leaves, wantedNm).Nearest(count, nearest) is { } found)
                nearest = found.Sum(l => l.ThicknessNm);
        }

        var what = nearest == 0 ? "every leaf is thicker" : $"the nearest thinner one has {Mm(nearest)} mm, {Mm(wantedNm - nearest)} mm less";
        return string.Create(CultureInfo.InvariantCulture,
            $"No stack of {rules.MostLeaves} leaves at most is 0 to {Mm(rules.ThinnerNm)} mm thinner than {Mm(wantedNm)} mm; {what}.");
    }

    internal static string Mm(long nanometres) => (nanometres / 1e6).ToString("0.0#####", CultureInfo.InvariantCulture);

    /// <summary>Looks through all stacks of a number of leaves; the last leaf is found by halving.</summary>
    private sealed class Search(ShimLeaf[] leaves, long wanted)
    {
        private readonly List<int> taken = [];
        private List<ShimLeaf>? best;
        private long floor;

        /// <summary>The thickest stack of so many leaves from a least thickness up to the wanted one; null where there is none.</summary>
        public List<ShimLeaf>? Nearest(int count, long leastNm)
        {
            floor = Math.Max(leastNm, 0);
            Add(count, 0, wanted);
            return best;
        }

        private void Add(int count, int from, long left)
        {
            if (count == 0)
            {
                if (left < 0 || wanted - left < floor)
                    return;
                best = [.. taken.Select(i => leaves[i])];
                floor = wanted - left + 1;
                return;
            }

            for (var i = count == 1 ? FirstNotThicker(from, left) : from; i < leaves.Length; i++)
            {
                // Thinner leaves follow: what cannot be reached from here cannot be reached later.
                if (wanted - left + (count * leaves[i].ThicknessNm) < floor)
                    return;
                if (leaves[i].ThicknessNm > left || !IsLeft(i))
                    continue;
                taken.Add(i);
                Add(count - 1, i, left - leaves[i].ThicknessNm);
                taken.RemoveAt(taken.Count - 1);
            }
        }

        private bool IsLeft(int i) => leaves[i].Count is not { } count || taken.Count(t => t == i) < count;

        private int FirstNotThicker(int from, long left)
        {
            int low = from, high = leaves.Length;
            while (low < high)
            {
                var middle = (low + high) / 2;
                (low, high) = leaves[middle].ThicknessNm > left ? (middle + 1, high) : (low, middle);
            }

            return low;
        }
    }
}
