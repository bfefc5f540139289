using System.Collections.Immutable;

namespace BuildTrack.Metrology.Corrections;

/// <summary>A pad that is to be shimmed.</summary>
/// <param name="Name">Its name; once in a plan.</param>
/// <param name="WantedNm">Thickness wanted under it, nm; 0 for a pad that only shows how the bed lies.</param>
/// <param name="Place">Where it lies and how high; null where that is not known. Heights after the shims need it for every pad.</param>
public sealed record ShimPad(string Name, long WantedNm, PadPlace? Place = null);

/// <summary>Place and height of a pad.</summary>
/// <param name="XMm">Along X, mm.</param>
/// <param name="YMm">Across, mm.</param>
/// <param name="HeightUm">Measured height, µm.</param>
public sealed record PadPlace(double XMm, double YMm, double HeightUm);

/// <summary>What one pad gets.</summary>
/// <param name="Name">Name of the pad.</param>
/// <param name="Choice">Its stack, or why it gets none.</param>
/// <param name="PredictedHeightUm">Measured height and the stack, µm; null where the pad has no place.</param>
public sealed record PadShims(string Name, ShimChoice Choice, double? PredictedHeightUm);

/// <summary>Shims for all pads out of one stock.</summary>
/// <param name="Pads">In the order given.</param>
/// <param name="Used">Leaves that are used, each with how many, thickest first.</param>
/// <param name="Left">Leaves of a limited stock that are left, thickest first.</param>
/// <param name="Leaves">Leaves used in all.</param>
/// <param name="ThinnerNm">Wanted less laid, added over the pads that get a stack, nm.</param>
/// <param name="Proved">False where the search was cut short: another use of the stock might serve more pads or need fewer leaves.</param>
/// <param name="Before">Flatness or straightness of the pads as measured; null without places.</param>
/// <param name="After">The same as predicted with the shims; null without places.</param>
public sealed record ShimPlanResult(
    ImmutableArray<PadShims> Pads, ImmutableArray<ShimLeaf> Used, ImmutableArray<ShimLeaf> Left, int Leaves, long ThinnerNm, bool Proved, BedForm? Before,
    BedForm? After);

/// <summary>The joint use of a limited stock: as many pads as can be, then fewest leaves, then nearest in sum.</summary>
/// <remarks>Method: docs/method/corrections.md. Exact where <see cref="ShimPlanResult.Proved"/>: a search that takes each pad's best stack, finds a
/// kind of leaf that is used too often, and tries every stack of one pad that uses it.</remarks>
public static class ShimPlan
{
    /// <summary>Pads in a plan at most.</summary>
    public const int MostPads = 500;

    private const int MostNodes = 20_000;
    private const int MostStacks = 2_000;

    /// <summary>Plans.</summary>
    /// <param name="pads">Pads with the thickness each wants.</param>
    /// <param name="stock">Leaves that are there.</param>
    /// <param name="rules">Null: four leaves, 10 µm.</param>
    /// <exception cref="ArgumentException">A pad or a leaf without a name or twice; a place that is NaN or infinite; places for some pads only.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Too many pads, a thickness or a count out of range.</exception>
    public static ShimPlanResult Of(IReadOnlyList<ShimPad> pads, IReadOnlyList<ShimLeaf> stock, ShimRules? rules = null)
    {
        rules ??= new ShimRules();
        ArgumentNullException.ThrowIfNull(pads);
        Check(pads);
        var leaves = ShimStack.Sorted(stock, rules);
        var choices = new ShimChoice?[pads.Count];
        List<(int Pad, Stack[] Stacks)> open = [];
        var whole = true;
        for (var i = 0; i < pads.Count; i++)
        {
            if (pads[i].WantedNm >= 0 && pads[i].WantedNm <= rules.ThinnerNm)
                choices[i] = ShimStack.Laid(pads[i].WantedNm, []);
            else if (ShimStack.Refused(pads[i].WantedNm, leaves) is { } refused)
                choices[i] = refused;
            else if (Stacks(pads[i].WantedNm, leaves, rules, ref whole) is { Length: > 0 } stacks)
                open.Add((i, stacks));
            else
                choices[i] = ShimStack.Without(pads[i].WantedNm, ShimRefusal.NoStackFits, ShimStack.NoFit(pads[i].WantedNm, leaves, rules));
        }

        var search = new Search([.. open.Select(o => o.Stacks)], [.. leaves.Select(l => l.Count ?? int.MaxValue)]);
        search.Run();
        for (var k = 0; k < open.Count; k++)
        {
            var wanted = pads[open[k].Pad].WantedNm;
            choices[open[k].Pad] = search.Best[k] is { } stack
                ? ShimStack.Laid(wanted, [.. stack.Kinds.Select(i => leaves[i])])
                : ShimStack.Without(wanted, ShimRefusal.StockUsedUp,
                    $"Stacks for {ShimStack.Mm(wanted)} mm exist, but the leaves in stock do not reach for all pads; this one is left.");
        }

        return Result(pads, [.. choices.Select(c => c!)], leaves, search.Proved && (whole || search.IsBound));
    }

    private static void Check(IReadOnlyList<ShimPad> pads)
    {
        if (pads.Count > MostPads)
            Guard.ThrowOutOfRange(pads.Count, nameof(pads), "500 pads at most");
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var pad in pads)
        {
            ArgumentException.ThrowIfNullOrWhiteSpace(pad.Name, nameof(pads));
            if (!seen.Add(pad.Name))
                throw new ArgumentException($"The pad {pad.Name} stands twice.", nameof(pads));
            if (Math.Abs(pad.WantedNm) > ShimStack.LargestNm)
                Guard.ThrowOutOfRange(pad.WantedNm, pad.Name + ".WantedNm", "within ±10⁸");
            if (pad.Place is null != pads[0].Place is null)
                throw new ArgumentException($"Pad {pad.Name}: places are needed for all pads or for none.", nameof(pads));
            if (pad.Place is { } place)
                BedForm.Measurable(place.XMm, place.YMm, place.HeightUm, pad.Name);
        }
    }

    private static ShimPlanResult Result(IReadOnlyList<ShimPad> pads, ShimChoice[] choices, ShimLeaf[] leaves, bool proved)
    {
        var used = choices.SelectMany(c => c.FromBelow).GroupBy(l => l.Name).ToDictionary(g => g.Key, g => g.Count());
        ImmutableArray<PadShims> each = [.. pads.Select((p, i) =>
            new PadShims(p.Name, choices[i], p.Place is { } at ? at.HeightUm + (choices[i].ThicknessNm / 1000.0) : null))];
        var places = pads.Count > 0 && pads[0].Place is not null;
        double[] x = places ? [.. pads.Select(p => p.Place!.XMm)] : [], y = places ? [.. pads.Select(p => p.Place!.YMm)] : [];
        return new ShimPlanResult(
            each,
            [.. leaves.Where(l => used.ContainsKey(l.Name)).Select(l => l with { Count = used[l.Name] })],
            [.. leaves.Where(l => l.Count is not null).Select(l => l with { Count = l.Count - used.GetValueOrDefault(l.Name) }).Where(l => l.Count > 0)],
            used.Values.Sum(),
            choices.Where(c => c.Refusal == ShimRefusal.None).Sum(c => c.ThinnerNm),
            proved,
            places ? BedForm.Of(x, y, [.. pads.Select(p => p.Place!.HeightUm)]) : null,
            places ? BedForm.Of(x, y, [.. each.Select(p => p.PredictedHeightUm!.Value)]) : null);
    }

    /// <summary>Every stack that serves a pad, best first: fewest leaves, then nearest, then thickest leaves.</summary>
    private static Stack[] Stacks(long wanted, ShimLeaf[] leaves, ShimRules rules, ref bool whole)
    {
        List<Stack> found = [];
        var taken = new List<int>();
        var cut = false;
        for (var count = 1; count <= rules.MostLeaves && !cut; count++)
            Add(count, 0, wanted);
        whole &= !cut;
        return [.. found.OrderBy(s => s.Kinds.Length).ThenBy(s => s.ThinnerNm)];

        void Add(int count, int from, long left)
        {
            for (var i = from; i < leaves.Length && !cut; i++)
            {
                var thickness = leaves[i].ThicknessNm;
                if ((count * thickness) < left - rules.ThinnerNm)
                    return;
                if (thickness > left || taken.Count(t => t == i) >= (leaves[i].Count ?? int.MaxValue))
                    continue;
                taken.Add(i);
                if (count > 1)
                    Add(count - 1, i, left - thickness);
                else
                    found.Add(new Stack([.. taken], left - thickness));
                cut |= found.Count >= MostStacks;
                taken.RemoveAt(taken.Count - 1);
            }
        }
    }

    private sealed record Stack(int[] Kinds, long ThinnerNm);

    /// <summary>Cost of a plan, compared from left to right.</summary>
    private readonly record struct Cost(int NotServed, int Leaves, long ThinnerNm) : IComparable<Cost>
    {
        public int CompareTo(Cost other) => (NotServed, Leaves, ThinnerNm).CompareTo((other.NotServed, other.Leaves, other.ThinnerNm));

        public Cost With(Stack? stack) =>
            stack is null ? this with { NotServed = NotServed + 1 } : new Cost(NotServed, Leaves + stack.Kinds.Length, ThinnerNm + stack.ThinnerNm);
    }

    private sealed class Search(Stack[][] stacks, int[] counts)
    {
        private readonly bool[] decided = new bool[stacks.Length];
        private readonly Stack?[] chosen = new Stack?[stacks.Length];
        private readonly int[] left = [.. counts];
        private Cost best = new(int.MaxValue, 0, 0);
        private Cost? bound;
        private int nodes;

        public Stack?[] Best { get; private set; } = new Stack?[stacks.Length];

        /// <summary>The whole tree was looked through.</summary>
        public bool Proved => nodes < MostNodes;

        /// <summary>The plan costs what the best stacks cost that each pad could have alone: nothing can be better.</summary>
        public bool IsBound => bound is { } b && b == best;

        public void Run() => Look(default);

        private void Look(Cost cost)
        {
            if (++nodes >= MostNodes && best.NotServed < int.MaxValue)
                return;

            // Each undecided pad by itself: its first stack that the stock still allows. No plan below this node is cheaper.
            var alone = new Stack?[stacks.Length];
            var least = cost;
            var demand = new int[left.Length];
            for (var p = 0; p < stacks.Length; p++)
            {
                if (decided[p])
                    continue;
                alone[p] = Array.Find(stacks[p], Fits);
                least = least.With(alone[p]);
                foreach (var kind in alone[p]?.Kinds ?? [])
                    demand[kind]++;
            }

            bound ??= least;
            if (least.CompareTo(best) >= 0)
                return;
            var pad = Contested(alone, demand);
            if (pad < 0)
            {
                best = least;
                Best = [.. Enumerable.Range(0, stacks.Length).Select(p => decided[p] ? chosen[p] : alone[p])];
                return;
            }

            decided[pad] = true;
            foreach (var stack in stacks[pad])
            {
                if (Fits(stack))
                    Try(pad, stack, cost);
            }

            Try(pad, null, cost);
            decided[pad] = false;
        }

        private void Try(int pad, Stack? stack, Cost cost)
        {
            chosen[pad] = stack;
            foreach (var kind in stack?.Kinds ?? [])
                left[kind]--;
            Look(cost.With(stack));
            foreach (var kind in stack?.Kinds ?? [])
                left[kind]++;
        }

        /// <summary>The pad with the fewest stacks among those whose stack asks for a leaf that is asked for too often; −1 where all fit together.</summary>
        private int Contested(Stack?[] alone, int[] demand)
        {
            var found = -1;
            for (var p = 0; p < alone.Length; p++)
            {
                if (alone[p] is { } stack && Array.Exists(stack.Kinds, k => demand[k] > left[k]) && (found < 0 || stacks[p].Length < stacks[found].Length))
                    found = p;
            }

            return found;
        }

        private bool Fits(Stack stack)
        {
            var kinds = stack.Kinds;
            for (var i = 0; i < kinds.Length;)
            {
                // Kinds are sorted: equal ones stand together.
                var next = i + 1;
                while (next < kinds.Length && kinds[next] == kinds[i])
                    next++;
                if (next - i > left[kinds[i]])
                    return false;
                i = next;
            }

            return true;
        }
    }
}
