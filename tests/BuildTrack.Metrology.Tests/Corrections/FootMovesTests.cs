using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>Moves of feet against the worked example, their rules, and the bounded least squares against every state of its bounds.</summary>
public sealed class FootMovesTests
{
    [Fact]
    public void The_worked_example_moves_four_feet_and_leaves_two()
    {
        var file = ReferenceFile.Load("corrections-worked");
        var heights = file.At("feet", "heights").EnumerateArray().Select(h => h.GetDouble()).ToArray();
        var pitch = file.Number("feet", "mm_per_turn");
        var plan = FootMoves.Of(Feet([.. heights.Select(h => 1000 * h)], pitch));
        var moves = file.At("feet", "moves").EnumerateArray().Select(m => m.GetDouble()).ToArray();
        var degrees = file.At("feet", "degrees").EnumerateArray().Select(d => d.GetDouble()).ToArray();
        for (var i = 0; i < moves.Length; i++)
        {
            Agreement.Near(moves[i], plan.Moves[i].MoveUm / 1000, 1e-12, $"move of F{i + 1}");
            Assert.Equal(degrees[i], Math.Round(plan.Moves[i].TurnDegrees!.Value));
        }

        Assert.Equal([2], plan.Moves.Select((m, i) => (m, i)).Where(o => o.m.Held == FootHeld.TooSmall).Select(o => o.i));
        Agreement.Near(10, plan.Moves[2].WantedUm, 1e-9, "wanted at the foot that is left");
        Assert.Equal((FootRefusal.None, null), (plan.Refusal, plan.RefusalSentence));
        Agreement.Near(270, plan.RangeUm, 1e-9, "range before");
        Agreement.Near(10, plan.PredictedRangeUm, 1e-9, "range after");
        Assert.True(plan.Before!.MinimumZoneUm > plan.After!.MinimumZoneUm && plan.After.MinimumZoneUm <= 10);
        foreach (var row in file.At("feet", "degrees_of_a_move").EnumerateArray())
        {
            var turn = FootMoves.Of(Feet([-1000 * row.GetProperty("move").GetDouble(), 0, 0, 0, 0, 0], pitch)).Moves[0].TurnDegrees;
            Agreement.Near(row.GetProperty("degrees").GetDouble(), turn!.Value, 1e-9, "degrees");
        }
    }

    [Fact]
    public void Corners_come_first_then_the_feet_between_across_the_bed_in_small_passes()
    {
        // Eight feet, four on a side: F1 F4 F5 F8 are the corners.
        FootPlace[] feet = [.. Enumerable.Range(0, 8).Select(i => new FootPlace($"F{i + 1}", 1500 * (i % 4), 1600 * (i / 4), i is 6 ? 0 : -50 - (10 * i)))];
        var plan = FootMoves.Of(feet);
        Assert.Equal(["F8", "F1", "F5", "F4", "F6", "F3", "F2"], plan.Order.Where(s => s.Pass == 1).Select(s => s.Foot));
        Assert.All(plan.Order, s => Assert.True(Math.Abs(s.MoveUm) <= 40 + 1e-9));
        foreach (var move in plan.Moves)
        {
            var steps = plan.Order.Where(s => s.Foot == move.Name).ToArray();
            Assert.Equal(move.Passes, steps.Length);
            Agreement.Near(move.MoveUm, steps.Sum(s => s.MoveUm), 1e-9, move.Name);
            Assert.True(steps.Length == 0 || Math.Abs(steps[^1].TotalUm - move.MoveUm) < 1e-9);
        }

        Assert.Equal(plan.Order.Select(s => s.Pass).Order(), plan.Order.Select(s => s.Pass));
        Assert.True(FootMoves.Of(feet, rules: new FootRules(StepUm: 25)).Moves[0].Passes == 2 && plan.Moves[7].Passes == 3);
    }

    [Fact]
    public void A_tilted_bed_is_compared_with_its_own_plane_where_it_may_stay_tilted()
    {
        // A plane with one foot of eight 0.08 mm low: about the plane of least squares the others keep their residuals.
        double[] low = [0, 0, -80, 0, 0, 0, 0, 0];
        FootPlace[] feet = [.. Enumerable.Range(0, 8)
            .Select(i => new FootPlace($"F{i + 1}", 1500 * (i % 4), 1600 * (i / 4), low[i] + (0.3 * 1500 * (i % 4)) - (0.2 * 1600 * (i / 4))))];
        var plan = FootMoves.Of(feet, FootGoal.MeanPlane, FootReference.Plane);
        Agreement.Near(0, plan.Moves.Sum(m => m.DeviationUm), 1e-9, "sum of residuals");
        Agreement.Near(0, plan.Moves.Select((m, i) => m.DeviationUm * feet[i].XMm).Sum(), 1e-6, "moment of residuals along X");
        Assert.All(plan.Moves, m => Agreement.Near(-m.DeviationUm, m.WantedUm, 1e-9, m.Name));
        Assert.True(FootMoves.Of(feet).RangeUm > 1500 && plan.RangeUm < 90);
        var raised = FootMoves.Of(feet, FootGoal.RaiseToHighest, FootReference.Plane);
        Assert.All(raised.Moves, m => Assert.True(m.MoveUm >= 0));
        Assert.InRange(raised.PredictedRangeUm, 0, 30);
    }

    [Fact]
    public void Travel_rounds_and_small_moves_are_refused_with_numbers()
    {
        FootPlace[] feet = Feet([-110, 40, 100, -160, 20, 110], null);
        feet[0] = feet[0] with { RiseLeftUm = 50 };
        var plan = FootMoves.Of(feet);
        Assert.Equal(FootRefusal.TravelUsedUp, plan.Refusal);
        Assert.Equal("The travel is used up: F1 wants 0.220 mm and has 0.050 mm left.", plan.RefusalSentence);
        Assert.Equal((50.0, FootHeld.TravelUsedUp), (plan.Moves[0].MoveUm, plan.Moves[0].Held));
        Agreement.Near(170, plan.PredictedRangeUm, 1e-9, "range that is left");
        Assert.Null(plan.Moves[0].TurnDegrees);
        feet[0] = feet[0] with { RiseLeftUm = 10 };
        Assert.Equal((0.0, FootHeld.TravelUsedUp), (FootMoves.Of(feet).Moves[0].MoveUm, FootMoves.Of(feet).Moves[0].Held));
        Assert.Contains("F6 wants -0.110 mm and has -0.030 mm left",
            FootMoves.Of([.. feet[..5], feet[5] with { FallLeftUm = 30 }], FootGoal.MeanPlane).RefusalSentence, StringComparison.Ordinal);

        Assert.Equal(FootRefusal.NothingToMove, FootMoves.Of(Feet([0, 5, 10, 15, 0, 19], null)).Refusal);
        var fourth = FootMoves.Of(feet, round: 4);
        Assert.Equal((FootRefusal.RoundsUsedUp, 0), (fourth.Refusal, fourth.Moves.Length));
        Assert.Contains("engineer", fourth.RefusalSentence, StringComparison.Ordinal);
        Assert.Equal(FootRefusal.NoPlane, FootMoves.Of(feet[..2]).Refusal);
        Assert.Equal(FootRefusal.NoPlane, FootMoves.Of(feet[..3], reference: FootReference.Plane).Refusal);
        Assert.Equal(FootRefusal.TravelUsedUp, FootMoves.Of(feet[..3]).Refusal);
    }

    [Fact]
    public void Bad_numbers_are_refused_by_name()
    {
        var feet = Feet([0, 1, 2, 3, 4, 5], 2);
        Assert.Contains("F1.HeightUm", Assert.Throws<ArgumentException>(() => FootMoves.Of([feet[0] with { HeightUm = double.NaN }, .. feet[1..]])).Message,
            StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => FootMoves.Of([feet[1], .. feet[1..]]));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootMoves.Of([feet[0] with { RiseLeftUm = -1 }, .. feet[1..]]));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootMoves.Of([feet[0] with { MmPerTurn = 0 }, .. feet[1..]]));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootMoves.Of(feet, rules: new FootRules(StepUm: 0)));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootMoves.Of(feet, round: 0));
        var prior = FootInfluence.Prior(feet);
        Assert.Throws<ArgumentException>(() => FootInfluence.Plan(feet[..5], prior, 1));
        Assert.Throws<ArgumentException>(() => FootInfluence.Learn(prior, [new FootRound([0, 0], [0, 0])], [0, 0, 0, 0, 0, 0], 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootInfluence.Learn(prior, [], [0, 0, 0, 0, 0, 0], 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => FootInfluence.Prior(feet, sigma: 0));
        var learned = FootInfluence.Learn(prior, [new FootRound([0, 0, 0, 0, 0, 0], [100, 0, 0, 0, 0, 0])], [100, 45, 0, 0, 0, 0], 1);
        Assert.Throws<ArgumentException>(() => FootInfluence.Learn(learned, [new FootRound([0, 0, 0, 0, 0, 0], [100, 0, 0, 0, 0, 0])], [100, 45, 0, 0, 0, 0],
            1));
    }

    [Fact]
    public void Feet_that_move_nothing_but_themselves_are_planned_as_by_the_plain_rule()
    {
        var source = new SeededSource(5101);
        for (var trial = 0; trial < 60; trial++)
        {
            var feet = Feet([.. Enumerable.Range(0, 6).Select(_ => 100 * source.NextNormal())], 2);
            var goal = (FootGoal)(trial % 2);
            var plain = FootMoves.Of(feet, goal, rules: new FootRules(0));
            var alone = FootInfluence.Plan(feet, FootInfluence.Prior(feet, neighbour: 0, sigma: 1e-3), 1, goal, rules: new FootRules(0));
            for (var i = 0; i < 6; i++)
                Agreement.Near(plain.Moves[i].MoveUm, alone.Moves[i].MoveUm, 0.02, $"trial {trial}, {goal}, foot {i}");
        }
    }

    [Fact]
    public void Known_influences_are_used_within_raise_only_and_travel()
    {
        var source = new SeededSource(5102);
        var limited = 0;
        for (var trial = 0; trial < 60; trial++)
        {
            var bed = new SprungPlate(source, 3);
            var feet = bed.Feet.Select(f => f with { RiseLeftUm = 80 }).ToArray();
            var plan = FootInfluence.Plan(feet, FootInfluence.Prior(feet), 2);
            Assert.All(plan.Moves, m => Assert.True(m.MoveUm is >= 0 and <= 80 && (m.MoveUm == 0 || m.MoveUm >= 20) && m.PredictedSigmaUm > 0));
            Assert.True(plan.PredictedRangeUm <= plan.RangeUm);
            limited += plan.Refusal == FootRefusal.TravelUsedUp ? 1 : 0;
        }

        Assert.InRange(limited, 5, 55);
    }

    [Fact]
    public void The_bounded_least_squares_is_the_best_of_all_states_of_its_bounds()
    {
        var source = new SeededSource(5103);
        for (var trial = 0; trial < 300; trial++)
        {
            var count = 1 + source.NextInt(5);
            var root = new double[count, count];
            for (var k = 0; k < count * count; k++)
                root[k / count, k % count] = source.NextNormal();
            var matrix = new double[count, count];
            for (var i = 0; i < count; i++)
            {
                for (var j = 0; j < count; j++)
                    matrix[i, j] = Enumerable.Range(0, count).Sum(k => root[k, i] * root[k, j]) + (i == j ? 0.01 : 0);
            }

            double[] linear = [.. Enumerable.Range(0, count).Select(_ => 3 * source.NextNormal())],
                low = [.. linear.Select(_ => -source.NextInt(2) * source.NextUniform())], high = [.. linear.Select(_ => 2 * source.NextUniform())];
            var best = double.PositiveInfinity;
            for (var state = 0; state < (int)Math.Round(Math.Pow(3, count)); state++)
                best = Math.Min(best, At(state));
            Agreement.Near(best, Value(BoundedQuadratic.Solve(matrix, linear, low, high)), 1e-9 * (1 + Math.Abs(best)), $"trial {trial}");

            double Value(double[] x) => Enumerable.Range(0, count)
                .Sum(i => x[i] * (linear[i] + (0.5 * Enumerable.Range(0, count).Sum(j => matrix[i, j] * x[j]))));

            // Digit 0: at the lower bound, 1: at the upper one, 2: free.
            double At(int state)
            {
                int[] digit = [.. Enumerable.Range(0, count).Select(i => state / (int)Math.Round(Math.Pow(3, i)) % 3)];
                int[] free = [.. Enumerable.Range(0, count).Where(i => digit[i] == 2)];
                double[] x = [.. Enumerable.Range(0, count).Select(i => digit[i] == 0 ? low[i] : digit[i] == 1 ? high[i] : 0)];
                if (free.Length > 0)
                {
                    var a = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(free.Length, free.Length, (i, j) => matrix[free[i], free[j]]);
                    var b = MathNet.Numerics.LinearAlgebra.Vector<double>.Build.Dense(free.Length,
                        i => -linear[free[i]] - Enumerable.Range(0, count).Sum(j => matrix[free[i], j] * x[j]));
                    var solved = a.Solve(b);
                    for (var k = 0; k < free.Length; k++)
                        x[free[k]] = solved[k];
                }

                return Enumerable.Range(0, count).All(i => x[i] >= low[i] - 1e-12 && x[i] <= high[i] + 1e-12) ? Value(x) : double.PositiveInfinity;
            }
        }
    }

    private static FootPlace[] Feet(double[] heights, double? pitch) =>
        [.. heights.Select((h, i) => new FootPlace($"F{i + 1}", 1500 * (i % 3), 1600 * (i / 3), h, MmPerTurn: pitch))];
}
