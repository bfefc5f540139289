using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>Stacks against the worked results of the trade notes and against a search through every set of leaves.</summary>
public sealed class ShimTests
{
    [Fact]
    public void Worked_stacks_come_out_leaf_by_leaf()
    {
        var file = ReferenceFile.Load("corrections-worked");
        Assert.Equal(file.At("shims", "stock").EnumerateArray().Select(s => Nm(s.GetDouble())), ShimStack.UsualStock.Select(l => l.ThicknessNm));
        foreach (var row in file.At("shims", "stacks").EnumerateArray())
        {
            var choice = ShimStack.Choose(Nm(row.GetProperty("wanted").GetDouble()), ShimStack.UsualStock);
            Assert.Equal(row.GetProperty("leaves").EnumerateArray().Select(s => Nm(s.GetDouble())),
                choice.FromBelow.Select(l => l.ThicknessNm).OrderDescending());
            Assert.Equal(Nm(row.GetProperty("thickness").GetDouble()), choice.ThicknessNm);
            Assert.Equal((ShimRefusal.None, null), (choice.Refusal, choice.RefusalSentence));
        }
    }

    [Fact]
    public void The_thickest_leaves_lie_outside() =>
        Assert.Equal(["1.00", "0.02", "0.05", "0.20"], ShimStack.Choose(1_270_000, ShimStack.UsualStock).FromBelow.Select(l => l.Name));

    [Fact]
    public void A_search_through_every_set_of_leaves_finds_no_better_stack()
    {
        var source = new SeededSource(5301);
        var fits = 0;
        for (var trial = 0; trial < 600; trial++)
        {
            var (stock, rules) = (Stock(source, 1 + source.NextInt(6)), new ShimRules(1 + source.NextInt(4)));
            var wanted = 1000L * source.NextInt(600);
            var choice = ShimStack.Choose(wanted, stock, rules);
            var best = Multisets(stock, rules.MostLeaves).Where(s => Sum(s) <= wanted && wanted - Sum(s) <= rules.ThinnerNm)
                .OrderBy(s => s.Length).ThenByDescending(Sum).FirstOrDefault();
            Assert.Equal(best is null, choice.Refusal == ShimRefusal.NoStackFits);
            if (best is null)
                continue;
            Assert.Equal((best.Length, Sum(best)), (choice.FromBelow.Length, choice.ThicknessNm));
            Assert.InRange(choice.ThinnerNm, 0, rules.ThinnerNm);
            Assert.All(choice.FromBelow.GroupBy(l => l), g => Assert.True(g.Count() <= (g.Key.Count ?? 99)));
            fits++;
        }

        Assert.InRange(fits, 100, 590);
    }

    [Fact]
    public void Measured_leaves_are_taken_as_they_are_and_each_once()
    {
        ShimLeaf[] stock = [new("0.10 a", 97_200, 1), new("0.10 b", 104_100, 1), new("0.05", 48_700, 2), new("0.02", 20_300, 1)];
        var choice = ShimStack.Choose(150_000, stock);
        Assert.Equal(["0.10 a", "0.05"], choice.FromBelow.Select(l => l.Name));
        Assert.Equal(4_100, choice.ThinnerNm);
        Assert.Equal(["0.05", "0.02", "0.05"], ShimStack.Choose(120_000, stock[2..]).FromBelow.Select(l => l.Name));
    }

    [Fact]
    public void What_cannot_be_shimmed_is_refused_with_numbers()
    {
        Refused(ShimStack.Choose(100_000, []), ShimRefusal.EmptyStock, "There are no shim leaves in stock.");
        Refused(ShimStack.Choose(100_000, [new("0.1", 100_000, 0)]), ShimRefusal.EmptyStock, "no shim leaves");
        Refused(ShimStack.Choose(-30_000, ShimStack.UsualStock), ShimRefusal.PadIsHigh, "0.03 mm higher");
        Refused(ShimStack.Choose(4_999_000, ShimStack.UsualStock), ShimRefusal.NoStackFits, "the nearest thinner one has 4.0 mm, 0.999 mm less");
        Refused(ShimStack.Choose(15_000, ShimStack.UsualStock), ShimRefusal.NoStackFits, "every leaf is thicker");
        Assert.Empty(ShimStack.Choose(8_000, ShimStack.UsualStock).FromBelow);
        Assert.Equal(ShimRefusal.None, ShimStack.Choose(8_000, ShimStack.UsualStock).Refusal);
        Assert.Throws<ArgumentException>(() => ShimStack.Choose(1, [new("a", 1), new("a", 2)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => ShimStack.Choose(1, [new("a", 0)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => ShimStack.Choose(1, [new("a", 1, -1)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => ShimStack.Choose(1, ShimStack.UsualStock, new ShimRules(0)));
        Assert.Throws<ArgumentOutOfRangeException>(() => ShimStack.Choose(long.MinValue, ShimStack.UsualStock));
    }

    [Fact]
    public void A_large_shelf_of_measured_leaves_is_searched_in_a_moment()
    {
        var source = new SeededSource(5302);
        ShimLeaf[] stock = [.. Enumerable.Range(0, ShimStack.MostKinds).Select(i => new ShimLeaf($"L{i}", 20_000 + source.NextInt(500_000), 1))];
        var choice = ShimStack.Choose(1_700_001, stock);
        Assert.Equal((4, 0), (choice.FromBelow.Length, choice.ThinnerNm));
    }

    [Fact]
    public void A_plan_serves_as_many_pads_as_any_distribution_of_the_stock()
    {
        var source = new SeededSource(5303);
        var (shortOf, contested) = (0, 0);
        for (var trial = 0; trial < 300; trial++)
        {
            var stock = Stock(source, 2 + source.NextInt(3)).Select(l => l with { Count = 1 + source.NextInt(2) }).ToArray();
            ShimPad[] pads = [.. Enumerable.Range(0, 3).Select(i => new ShimPad($"P{i}", 20_000 + (1000L * source.NextInt(300))))];
            var rules = new ShimRules(3, 20_000);
            var plan = ShimPlan.Of(pads, stock, rules);
            var (notServed, leaves, thinner) = Distribute(pads, stock, rules);
            Assert.True(plan.Proved);
            Assert.Equal((notServed, leaves, thinner), (plan.Pads.Count(p => p.Choice.Refusal != ShimRefusal.None), plan.Leaves, plan.ThinnerNm));
            Assert.All(plan.Used, u => Assert.True(u.Count <= stock.First(l => l.Name == u.Name).Count));
            Assert.Equal(stock.Sum(l => l.Count), plan.Used.Sum(l => l.Count) + plan.Left.Sum(l => l.Count));
            shortOf += plan.Pads.Any(p => p.Choice.Refusal == ShimRefusal.StockUsedUp) ? 1 : 0;
            contested += pads.Where((p, i) => plan.Pads[i].Choice.Refusal == ShimRefusal.None
                && ShimStack.Choose(p.WantedNm, stock, rules).ThicknessNm != plan.Pads[i].Choice.ThicknessNm).Any() ? 1 : 0;
        }

        Assert.True(shortOf > 20 && contested > 5, $"{shortOf} plans were short of leaves, {contested} gave a pad its second choice");
    }

    [Fact]
    public void With_enough_leaves_each_pad_has_its_own_best_stack_and_the_heights_follow()
    {
        // Six pads of which two lie low by 0.17 and 0.28 mm; the other four are even.
        double[] low = [0, 170, 0, 0, 280, 0];
        ShimPad[] pads = [.. low.Select((l, i) => new ShimPad($"P{i + 1}", (long)(1000 * l), new PadPlace(1500 * (i % 3), 1600 * (i / 3), -l)))];
        var plan = ShimPlan.Of(pads, ShimStack.UsualStock);
        Assert.True(plan.Proved);
        Assert.Equal((6, 0), (plan.Leaves, plan.ThinnerNm));
        Assert.Equal([0, 0, 0, 0, 0, 0], plan.Pads.Select(p => p.PredictedHeightUm!.Value));
        Assert.True(plan.Before!.IsFlatness && plan.Before.MinimumZoneUm > 100);
        Agreement.Near(0, plan.After!.MinimumZoneUm!.Value, 1e-9, "flatness after");

        var line = ShimPlan.Of([.. pads.Select(p => p with { Place = p.Place! with { YMm = 0, XMm = p.Place.XMm + p.Place.YMm } })], ShimStack.UsualStock);
        Assert.False(line.Before!.IsFlatness);
        Agreement.Near(0, line.After!.MinimumZoneUm!.Value, 1e-9, "straightness after");
    }

    [Fact]
    public void Pads_that_get_nothing_are_named_and_bad_pads_are_refused()
    {
        var plan = ShimPlan.Of([new("P1", 100_000), new("P2", 100_000), new("P3", -20_000), new("P4", 0)], [new("0.1", 100_000, 1)]);
        Assert.Equal([ShimRefusal.None, ShimRefusal.StockUsedUp, ShimRefusal.PadIsHigh, ShimRefusal.None], plan.Pads.Select(p => p.Choice.Refusal));
        Assert.Contains("do not reach", plan.Pads[1].Choice.RefusalSentence, StringComparison.Ordinal);
        Assert.Null(plan.Before);
        Assert.All(ShimPlan.Of([new("P1", 100_000)], []).Pads, p => Assert.Equal(ShimRefusal.EmptyStock, p.Choice.Refusal));
        Assert.Throws<ArgumentException>(() => ShimPlan.Of([new("P1", 1), new("P1", 2)], ShimStack.UsualStock));
        Assert.Throws<ArgumentException>(() => ShimPlan.Of([new("P1", 1), new("P2", 2, new PadPlace(0, 0, 0))], ShimStack.UsualStock));
        Assert.Throws<ArgumentException>(() => ShimPlan.Of([new("P1", 1, new PadPlace(0, double.NaN, 0))], ShimStack.UsualStock));
    }

    private static void Refused(ShimChoice choice, ShimRefusal refusal, string sentence)
    {
        Assert.Equal(refusal, choice.Refusal);
        Assert.Contains(sentence, choice.RefusalSentence, StringComparison.Ordinal);
        Assert.Empty(choice.FromBelow);
    }

    private static ShimLeaf[] Stock(SeededSource source, int kinds) =>
        [.. Enumerable.Range(0, kinds).Select(i => new ShimLeaf($"L{i}", 1000L * (10 + source.NextInt(300)), source.NextInt(2) == 0
            ? null : 1 + source.NextInt(3)))];

    private static long Sum(ShimLeaf[] stack) => stack.Sum(l => l.ThicknessNm);

    private static List<ShimLeaf[]> Multisets(ShimLeaf[] stock, int most)
    {
        List<ShimLeaf[]> all = [[]];
        foreach (var leaf in stock)
        {
            all.AddRange([.. Enumerable.Range(1, Math.Min(most, leaf.Count ?? most))
                .SelectMany(n => all.Where(s => s.Length + n <= most).Select(s => (ShimLeaf[])[.. s, .. Enumerable.Repeat(leaf, n)]))]);
        }

        return all;
    }

    /// <summary>Every stack or none for every pad.</summary>
    private static (int, int, long) Distribute(ShimPad[] pads, ShimLeaf[] stock, ShimRules rules)
    {
        var best = (int.MaxValue, 0, 0L);
        var all = Multisets(stock, rules.MostLeaves);
        void Give(int pad, Dictionary<string, int> left, (int, int, long) cost)
        {
            if (pad == pads.Length)
            {
                best = cost.CompareTo(best) < 0 ? cost : best;
                return;
            }

            Give(pad + 1, left, (cost.Item1 + 1, cost.Item2, cost.Item3));
            foreach (var stack in all.Where(s => pads[pad].WantedNm - Sum(s) is var thinner && thinner >= 0 && thinner <= rules.ThinnerNm))
            {
                var then = new Dictionary<string, int>(left);
                foreach (var leaf in stack)
                    then[leaf.Name]--;
                if (then.Values.All(v => v >= 0))
                    Give(pad + 1, then, (cost.Item1, cost.Item2 + stack.Length, cost.Item3 + pads[pad].WantedNm - Sum(stack)));
            }
        }

        Give(0, stock.ToDictionary(l => l.Name, l => l.Count!.Value), (0, 0, 0));
        return best;
    }

    private static long Nm(double mm) => (long)Math.Round(mm * 1e6);
}
