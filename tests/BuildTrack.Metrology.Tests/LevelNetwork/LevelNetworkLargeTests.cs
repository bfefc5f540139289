using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>Networks too large for a dense solution, held by what must be true of any least-squares solution.</summary>
public sealed class LevelNetworkLargeTests
{
    private static readonly Dictionary<string, double> Nothing = [];

    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    public void A_grid_of_five_thousand_stations_is_adjusted_and_its_loops_are_its_cells(int heights)
    {
        var net = Grid(50, 100, 5301);
        var known = Enumerable.Range(0, heights).ToDictionary(k => $"{10 * k},{30 * k}", k => 100.0 * k);
        var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;

        Assert.Equal(9850 - 5000 + Math.Max(heights, 1), values.DegreesOfFreedom);
        Agreement.Near(values.DegreesOfFreedom, values.Redundancy.Sum(), 1e-8, "sum of the redundancy numbers");
        Balanced(net, known, values, 1e-8);
        if (heights == 0)
            Agreement.Near(0, values.Heights.Sum(h => h.HeightUm), 1e-7, "sum of the heights");

        Assert.Equal(LoopBasis.Grown, values.Basis);
        Assert.Equal(values.DegreesOfFreedom, values.Loops.Length);
        var cells = values.Loops.Where(l => l.Steps.Length == l.Points.Length).ToArray();

        // Where heights are fixed, the net grows from several places, and a few loops lie around two cells where it meets.
        Assert.All(cells, l => Assert.InRange(l.Steps.Length, 4, heights > 0 ? 6 : 4));
        Assert.InRange(cells.Count(l => l.Steps.Length == 4), (49 * 99) - (5 * heights), 49 * 99);
        Assert.Equal(49 * 99, cells.Select(l => string.Join(' ', l.Steps.Select(s => s.Index).Order())).Distinct().Count());
        Closed(net, values);
    }

    [Fact]
    public void Changing_one_rise_moves_its_residual_by_its_redundancy_number_and_its_test_by_the_detectable_share()
    {
        var net = Grid(30, 40, 5302);
        var before = LevelNetworkCalculation.Adjust(net, Nothing, true).Values!;
        var source = new SeededSource(5303);
        for (var trial = 0; trial < 12; trial++)
        {
            var i = source.NextInt(net.Length);
            var error = before.SmallestDetectableUm[i]!.Value;
            var after = LevelNetworkCalculation.Adjust([.. net[..i], net[i] with { RiseUm = net[i].RiseUm + error }, .. net[(i + 1)..]], Nothing, true).Values!;
            Agreement.Near(-before.Redundancy[i] * error, after.ResidualsUm[i] - before.ResidualsUm[i], 1e-10, $"residual {i}");
            var root = Math.Sqrt(net[i].Weight / before.Redundancy[i]);
            Agreement.Near(-DoubtfulTest.Detected, root * (after.ResidualsUm[i] - before.ResidualsUm[i]), 1e-9, $"w of {i}");
        }
    }

    [Fact]
    public void What_nothing_checks_has_no_smallest_detectable_error()
    {
        LevelObservation[] net = [new("A", "B", 1, 4), new("B", "C", 1, 4), new("A", "C", 2.5, 4), new("C", "D", 1, 4)];
        var known = LevelNetworkCalculation.Adjust(net, Nothing, true).Values!.SmallestDetectableUm;
        Assert.Null(known[3]);
        Agreement.Near(DoubtfulTest.Detected * 0.5 * Math.Sqrt(3), known[0]!.Value, 1e-12, "a third of the redundancy each");
        var relative = LevelNetworkCalculation.Adjust(net, Nothing, false).Values!;
        Agreement.Near(relative.Sigma0!.Value * known[0]!.Value, relative.SmallestDetectableUm[0]!.Value, 1e-12, "by the estimated sigma");
        Assert.Null(LevelNetworkCalculation.Adjust(net[..2], Nothing, false).Values!.SmallestDetectableUm[0]);
    }

    [Fact]
    public void Long_rails_with_bridges_and_a_long_chain_keep_their_digits()
    {
        var source = new SeededSource(5304);
        List<LevelObservation> net = [new("L0", "R0", source.NextNormal(), 1)];
        for (var k = 0; k < 20_000; k++)
        {
            net.Add(new LevelObservation($"L{k}", $"L{k + 1}", source.NextNormal(), 1));
            net.Add(new LevelObservation($"R{k + 1}", $"R{k}", source.NextNormal(), 1));
            if (k % 10 == 9)
                net.Add(new LevelObservation($"L{k + 1}", $"R{k + 1}", source.NextNormal(), 0.25));
        }

        var known = new Dictionary<string, double> { ["L0"] = 0 };
        var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
        Assert.Equal(2000, values.DegreesOfFreedom);
        Agreement.Near(2000, values.Redundancy.Sum(), 1e-7, "sum of the redundancy numbers");
        Balanced(net, known, values, 1e-7);
        Assert.All(values.Loops, l => Assert.Equal(22, l.Steps.Length));
        Closed(net, values);
    }

    [Fact]
    public void Loops_of_a_large_net_are_independent()
    {
        foreach (var shape in new[] { "random", "close" })
        {
            var (net, known) = new RandomNets(5305).Next(shape, shape == "close" ? 150 : 700, 0, 2);
            var values = LevelNetworkCalculation.Adjust(RandomNets.WithoutLines(net), known, true).Values!;
            Assert.Equal(LoopBasis.Grown, values.Basis);
            Assert.Equal(values.DegreesOfFreedom, values.Loops.Length);
            Closed(net, values);

            // Modulo 2 over the observations, no loop is a sum of others; the step between the two fixed points is one more.
            var rows = new Dictionary<int, HashSet<int>>();
            foreach (var loop in values.Loops)
            {
                var row = loop.Steps.Select(s => s.Index).ToHashSet();
                if (loop.Steps.Length < loop.Points.Length)
                    row.Add(net.Length);
                while (row.Count > 0 && rows.TryGetValue(row.Max(), out var other))
                    row.SymmetricExceptWith(other);
                Assert.True(row.Count > 0, "a loop is the sum of others");
                rows.Add(row.Max(), row);
            }
        }
    }

    [Fact]
    public void Two_points_joined_by_thousands_of_others_have_their_loops_though_searching_them_all_would_take_too_long()
    {
        LevelObservation[] net = [.. Enumerable.Range(0, 9000).Select(i => new LevelObservation("A", $"{i}", i, 1)), .. Enumerable.Range(0, 9000).Select(i => new LevelObservation("B", $"{i}", i + (i % 3), 1))];
        var values = LevelNetworkCalculation.Adjust(net, Nothing, true).Values!;
        Assert.Equal(8999, values.Loops.Length);
        Assert.All(values.Loops, l => Assert.Equal(4, l.Steps.Length));
        Assert.Equal(8999, values.Loops.Select(l => string.Join(' ', l.Steps.Select(s => s.Index).Order())).Distinct().Count());
        Closed(net, values);
        Balanced(net, Nothing, values, 1e-8);
    }

    [Fact]
    public void Names_order_direction_datum_and_scale_change_what_they_must_and_nothing_else()
    {
        var nets = new RandomNets(5306);
        var source = new SeededSource(5307);
        foreach (var shape in RandomNets.Shapes)
        {
            var (net, known) = nets.Next(shape, 300, 3, 2);
            net = RandomNets.WithoutLines(net);
            var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
            var order = Points.Shuffled(source, net.Length);
            Same(values, LevelNetworkCalculation.Adjust([.. order.Select(i => net[i])], known, true).Values!, order, 1, 0, n => n, "order");
            var plain = Enumerable.Range(0, net.Length).ToArray();
            string Named(string name) => $"{name[^1]}-{name}";
            Same(values, LevelNetworkCalculation.Adjust([.. net.Select(o => o with { From = Named(o.From), To = Named(o.To) })], known.ToDictionary(k => Named(k.Key), k => k.Value), true).Values!, plain, 1, 0, Named, "names");
            Same(values, LevelNetworkCalculation.Adjust(net, known.ToDictionary(k => k.Key, k => k.Value + 1e6), true).Values!, plain, 1, 1e6, n => n, "datum");
            Same(values, LevelNetworkCalculation.Adjust([.. net.Select(o => o with { RiseUm = 8 * o.RiseUm })], known.ToDictionary(k => k.Key, k => 8 * k.Value), true).Values!, plain, 8, 0, n => n, "scale");
            var turned = LevelNetworkCalculation.Adjust([.. net.Select(o => new LevelObservation(o.To, o.From, -o.RiseUm, o.Weight))], known, true).Values!;
            Same(values, turned with { ResidualsUm = [.. turned.ResidualsUm.Select(v => -v)] }, plain, 1, 0, n => n, "direction");
        }

        void Same(LevelNetworkValues a, LevelNetworkValues b, int[] order, double scale, double lift, Func<string, string> named, string what)
        {
            var heights = b.Heights.ToDictionary(h => h.Id);
            foreach (var height in a.Heights)
            {
                Agreement.Near((scale * height.HeightUm) + lift, heights[named(height.Id)].HeightUm, 1e-8, $"{what}: {height.Id}");
                Agreement.Near(height.Cofactor, heights[named(height.Id)].Cofactor, 1e-11 * height.Cofactor, $"{what}: cofactor of {height.Id}");
            }

            for (var i = 0; i < order.Length; i++)
            {
                Agreement.Near(scale * a.ResidualsUm[order[i]], b.ResidualsUm[i], 1e-8, $"{what}: residual {i}");
                Agreement.Near(a.Redundancy[order[i]], b.Redundancy[i], 1e-12, $"{what}: redundancy {i}");
            }
        }
    }

    private static LevelObservation[] Grid(int rows, int columns, ulong seed)
    {
        var source = new SeededSource(seed);
        List<LevelObservation> net = [];
        for (var i = 0; i < rows; i++)
        {
            for (var j = 0; j < columns; j++)
            {
                if (j + 1 < columns)
                    net.Add(LevelObservation.WithSigma($"{i},{j}", $"{i},{j + 1}", source.NextNormal(), 0.5 + source.NextUniform()));
                if (i + 1 < rows)
                    net.Add(LevelObservation.WithSigma($"{i + 1},{j}", $"{i},{j}", source.NextNormal(), 0.5 + source.NextUniform()));
            }
        }

        return [.. net];
    }

    /// <summary>At every free point the weighted residuals balance: that, and residuals that belong to heights, is what least squares means.</summary>
    private static void Balanced(IReadOnlyList<LevelObservation> net, Dictionary<string, double> known, LevelNetworkValues values, double within)
    {
        var heights = values.Heights.ToDictionary(h => h.Id, h => h.HeightUm);
        var pulls = heights.Keys.ToDictionary(k => k, _ => 0.0);
        for (var i = 0; i < net.Count; i++)
        {
            Agreement.Near(heights[net[i].To] - heights[net[i].From] - net[i].RiseUm, values.ResidualsUm[i], within, $"residual {i}");
            pulls[net[i].To] += net[i].Weight * values.ResidualsUm[i];
            pulls[net[i].From] -= net[i].Weight * values.ResidualsUm[i];
        }

        foreach (var (point, height) in known)
        {
            Assert.Equal(height, heights[point]);
            pulls.Remove(point);
        }

        Assert.All(pulls, p => Agreement.Near(0, p.Value, within, p.Key));
    }

    private static void Closed(IReadOnlyList<LevelObservation> net, LevelNetworkValues values)
    {
        foreach (var loop in values.Loops.Where(l => l.Steps.Length == l.Points.Length))
        {
            Agreement.Near(loop.Steps.Sum(s => s.Sign * net[s.Index].RiseUm), loop.ClosureUm, 1e-10, "closure");
            for (var k = 0; k < loop.Steps.Length; k++)
            {
                var (step, next) = (net[loop.Steps[k].Index], loop.Points[(k + 1) % loop.Points.Length]);
                Assert.Equal((loop.Points[k], next), loop.Steps[k].Sign > 0 ? (step.From, step.To) : (step.To, step.From));
            }
        }
    }
}
