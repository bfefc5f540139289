using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>The same adjustment by other ways, on seeded random networks.</summary>
public sealed class LevelNetworkTwinTests
{
    private static readonly Dictionary<string, double> Nothing = [];

    private static IEnumerable<(string Name, LevelObservation[] Net, Dictionary<string, double> Fixed)> Nets(ulong seed, int lines = 0)
    {
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 60; trial++)
        {
            var points = 3 + source.NextInt(12);
            List<LevelObservation> net = [];
            for (var p = 1; p < points; p++)
                Add(p, source.NextInt(p));
            for (var extra = source.NextInt(points) + 1 + (3 * lines); extra > 0; extra--)
            {
                var a = source.NextInt(points);
                Add(a, (a + 1 + source.NextInt(points - 1)) % points);
            }

            Dictionary<string, double> known = [];
            for (var k = lines > 0 ? 3 : trial % 3; k > 0; k--)
                known[$"P{source.NextInt(points)}"] = 50 * source.NextNormal();
            yield return ($"seed {seed}, net {trial}", [.. net], known);

            void Add(int a, int b) => net.Add(new LevelObservation(
                $"P{a}", $"P{b}", 20 * source.NextNormal(), 0.1 + source.NextUniform(), lines > 0 && net.Count % 2 == 0 ? $"L{source.NextInt(lines)}" : null));
        }
    }

    [Fact]
    public void Adjusting_by_the_conditions_of_the_loops_gives_the_same_residuals()
    {
        foreach (var (name, net, known) in Nets(5001))
        {
            var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
            var seen = net.SelectMany(o => new[] { o.From, o.To }).Distinct().Count();
            Assert.Equal(net.Length - seen + Math.Max(known.Count, 1), values.DegreesOfFreedom);
            Assert.Equal(values.DegreesOfFreedom, values.Loops.Length);
            if (values.Loops.IsEmpty)
                continue;

            // B v + w = 0 with least vᵀPv: v = −P⁻¹Bᵀ (B P⁻¹ Bᵀ)⁻¹ w. The loops alone, no heights.
            var conditions = Matrix<double>.Build.Dense(values.Loops.Length, net.Length);
            for (var l = 0; l < values.Loops.Length; l++)
            {
                foreach (var step in values.Loops[l].Steps)
                    conditions[l, step.Index] = step.Sign;
            }

            var closures = Vector<double>.Build.Dense([.. values.Loops.Select(l => l.ClosureUm)]);
            var inverse = Matrix<double>.Build.DenseOfDiagonalArray([.. net.Select(o => 1 / o.Weight)]);
            var residuals = -(inverse * conditions.Transpose() * (conditions * inverse * conditions.Transpose()).Solve(closures));
            for (var i = 0; i < net.Length; i++)
                Agreement.Near(residuals[i], values.ResidualsUm[i], 1e-9, name);
        }
    }

    [Fact]
    public void The_pseudo_inverse_of_all_unknowns_gives_the_same_heights_cofactors_and_redundancy_of_a_free_net()
    {
        foreach (var (name, net, _) in Nets(5002))
        {
            var values = LevelNetworkCalculation.Adjust(net, Nothing, true).Values!;
            var ids = values.Heights.Select(h => h.Id).ToList();
            var matrix = Matrix<double>.Build.Dense(net.Length, ids.Count);
            for (var i = 0; i < net.Length; i++)
            {
                matrix[i, ids.IndexOf(net[i].To)] = 1;
                matrix[i, ids.IndexOf(net[i].From)] = -1;
            }

            var weights = Matrix<double>.Build.DenseOfDiagonalArray([.. net.Select(o => o.Weight)]);
            var cofactors = (matrix.Transpose() * weights * matrix).PseudoInverse();
            var heights = cofactors * matrix.Transpose() * weights * Vector<double>.Build.Dense([.. net.Select(o => o.RiseUm)]);
            var residualCofactors = weights.Inverse() - (matrix * cofactors * matrix.Transpose());
            for (var p = 0; p < ids.Count; p++)
            {
                Agreement.Near(heights[p], values.Heights[p].HeightUm, 1e-9, name);
                Agreement.Near(cofactors[p, p], values.Heights[p].Cofactor, 1e-9, name);
            }

            for (var i = 0; i < net.Length; i++)
                Agreement.Near(residualCofactors[i, i] * net[i].Weight, values.Redundancy[i], 1e-9, name);
            Agreement.Near(0, values.Heights.Sum(h => h.HeightUm), 1e-9, name);
            Agreement.Near(values.DegreesOfFreedom, values.Redundancy.Sum(), 1e-9, name);
        }
    }

    [Fact]
    public void With_lines_no_change_of_any_unknown_makes_the_sum_smaller()
    {
        var adjusted = 0;
        var source = new SeededSource(5003);
        foreach (var (name, net, known) in Nets(5003, 2))
        {
            var result = LevelNetworkCalculation.Adjust(net, known, false);
            if (result.Values is not { } values)
            {
                Assert.Equal(LevelNetworkDefect.Undetermined, result.Defect);
                continue;
            }

            adjusted++;
            var heights = values.Heights.ToDictionary(h => h.Id, h => h.HeightUm);
            var lines = values.Lines.ToDictionary(l => l.Line, l => l.RiseUm);
            Agreement.Near(values.SumOfSquares, Sum(heights, lines), 1e-8 * Math.Max(1, values.SumOfSquares), name);
            for (var change = 0; change < 10; change++)
            {
                var moved = heights.ToDictionary(h => h.Key, h => h.Value + (known.ContainsKey(h.Key) ? 0 : 1e-3 * source.NextNormal()));
                Assert.True(Sum(moved, lines.ToDictionary(l => l.Key, l => l.Value + (1e-3 * source.NextNormal()))) >= values.SumOfSquares * (1 - 1e-12), name);
            }

            double Sum(Dictionary<string, double> h, Dictionary<string, double> l) => net.Sum(o =>
                o.Weight * Math.Pow(h[o.To] - h[o.From] + (o.Line is null ? 0 : l[o.Line]) - o.RiseUm, 2));
        }

        Assert.True(adjusted > 30, $"{adjusted} of 60 nets were determined");
    }

    [Fact]
    public void Datum_scale_order_and_direction_change_what_they_must_and_nothing_else()
    {
        var source = new SeededSource(5004);
        foreach (var (name, net, known) in Nets(5004))
        {
            var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
            var order = Points.Shuffled(source, net.Length);
            var mixed = LevelNetworkCalculation.Adjust([.. order.Select(i => net[i])], known, true).Values!;
            var turned = LevelNetworkCalculation.Adjust([.. net.Select(o => o with { From = o.To, To = o.From, RiseUm = -o.RiseUm })], known, true).Values!;
            var lifted = LevelNetworkCalculation.Adjust(net, known.ToDictionary(k => k.Key, k => k.Value + 1e7), true).Values!;
            var heavier = LevelNetworkCalculation.Adjust([.. net.Select(o => o with { Weight = 100 * o.Weight })], known, true).Values!;
            for (var i = 0; i < net.Length; i++)
            {
                Agreement.Near(values.ResidualsUm[order[i]], mixed.ResidualsUm[i], 1e-9, name);
                Agreement.Near(values.ResidualsUm[i], -turned.ResidualsUm[i], 1e-9, name);
                Agreement.Near(values.ResidualsUm[i], lifted.ResidualsUm[i], 1e-8, name);
            }

            foreach (var (height, other) in values.Heights.Zip(lifted.Heights))
                Agreement.Near(height.HeightUm + (known.Count > 0 ? 1e7 : 0), other.HeightUm, 1e-8, name);
            foreach (var (height, other) in values.Heights.Zip(heavier.Heights))
                Agreement.Near(height.SigmaUm ?? 0, values.Sigma0 is null ? 10 * (other.SigmaUm ?? 0) : other.SigmaUm!.Value, 1e-9, name);
            Agreement.Near(100 * values.SumOfSquares, heavier.SumOfSquares, 1e-8 * Math.Max(1, heavier.SumOfSquares), name);
        }
    }
}
