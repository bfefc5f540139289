using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>
/// Signals and average run lengths of C. W. Champ and W. H. Woodall (1987), by an exact Markov chain whose steps the rules themselves decide.
/// </summary>
public sealed class RunRuleTests
{
    // One value of each zone, centre ± 1, 2, 3 standard deviations.
    private static readonly double[] Zones = [-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5];

    private static readonly double[] Bounds = [double.NegativeInfinity, -3, -2, -1, 0, 1, 2, 3, double.PositiveInfinity];

    private static readonly RunRule[] Four = [.. IndividualsChart.UsualRules];

    private static readonly ReferenceFile File = ReferenceFile.Load("acc-control-chart-rules");

    [Fact]
    public void The_sixty_four_published_run_lengths_come_out_exactly()
    {
        var rows = File.At("average_run_length", "rows").EnumerateArray().ToArray();
        Assert.Equal(16, rows.Length);
        RunRule[][] columns = [[Four[0]], [Four[0], Four[1]], [Four[0], Four[2]], [Four[0], Four[3]]];
        for (var c = 0; c < columns.Length; c++)
        {
            var chain = new Chain(columns[c]);
            foreach (var row in rows)
            {
                var shift = row.GetProperty("shift_sigma").GetDouble();
                var found = chain.AverageRunLength(shift);
                var what = $"column {c}, shift {shift}";
                Assert.True(Agreement.Digits(row.GetProperty("recomputed")[c].GetDouble(), found) >= File.Digits("run_length") - 1, $"{what}: {found}");
                Agreement.Near(row.GetProperty("published")[c].GetDouble(), found, 0.00501, what + " as printed");
            }
        }
    }

    [Fact]
    public void The_run_lengths_of_combined_rules_come_out()
    {
        foreach (var (name, rules) in new (string, RunRule[])[]
        {
            ("1+2+3", [Four[0], Four[1], Four[2]]), ("1+2+4", [Four[0], Four[1], Four[3]]), ("1+3+4", [Four[0], Four[2], Four[3]]), ("1+2+3+4", Four),
        })
        {
            var found = new Chain(rules).AverageRunLength(0);
            Assert.True(Agreement.Digits(File.Number("average_run_length", "combined_in_control_recomputed", name), found) >= 6, $"{name}: {found}");
            Agreement.Near(File.Number("average_run_length", "combined_in_control_recalled", name), found, 0.00501, name);
        }
    }

    [Fact]
    public void What_the_chain_remembers_decides_as_the_whole_history_does()
    {
        // The chain's own histories are the shortest; here the rules look back over everything since the last signal.
        const ulong seed = 7404;
        var source = new SeededSource(seed);
        foreach (var rules in new RunRule[][] { [Four[0], Four[1]], [Four[0], Four[2]], [Four[0], Four[3]], Four })
        {
            var chain = new Chain(rules);
            Assert.True(chain.FollowsTheRules(rules, source, 20_000) > 500, $"seed {seed}");
        }
    }

    [Fact]
    public void Drawn_values_signal_after_as_many_values_as_the_chain_says()
    {
        const ulong seed = 7401;
        var source = new SeededSource(seed);
        const int runs = 4000;
        double sum = 0;
        for (var run = 0; run < runs; run++)
        {
            var z = new List<double>();
            do
            {
                z.Add(1 + source.NextNormal());
            }
            while (RunRules.Signals(z.ToArray().AsSpan(Math.Max(0, z.Count - 8)), Four).Length == 0);
            sum += z.Count;
        }

        var expected = new Chain(Four).AverageRunLength(1);
        Agreement.Near(expected, sum / runs, 4 * expected / Math.Sqrt(runs), $"seed {seed}");
    }

    [Fact]
    public void The_piston_rings_signal_where_the_reference_says()
    {
        var recomputed = File.At("recomputed");
        var z = recomputed.GetProperty("z_of_means").EnumerateArray().Select(v => v.GetDouble()).ToArray();
        var chart = IndividualsChart.OfKnown(z, 0, 1, IndividualsChart.AllRules);
        var expected = recomputed.GetProperty("signals");
        Assert.Equal(Points(expected, "rule_1_beyond_3_sigma"), Of(chart, RunRule.BeyondThreeSigma));
        Assert.Equal(Points(expected, "rule_2_two_of_three_beyond_2_sigma_same_side"), Of(chart, RunRule.TwoOfThreeBeyondTwoSigma));
        Assert.Equal(Points(expected, "rule_3_four_of_five_beyond_1_sigma_same_side"), Of(chart, RunRule.FourOfFiveBeyondOneSigma));
        Assert.Equal(Points(expected, "rule_4_eight_on_one_side"), Of(chart, RunRule.EightOnOneSide));
        Assert.All(chart.Signals, s => Assert.NotEqual(false, s.Above));

        // The means themselves, with the sigma of the ranges, give the same.
        double[] means = [.. File.At("samples").EnumerateArray().Select(s => s.EnumerateArray().Average(v => v.GetDouble()))];
        var ofMeans = IndividualsChart.OfKnown(
            means, File.Number("recomputed", "centre"), File.Number("published", "sigma_from_Rbar") / Math.Sqrt(5), IndividualsChart.AllRules);
        Assert.Equal(chart.Signals, ofMeans.Signals);
        Agreement.Near(File.At("published", "limits_3s")[0].GetDouble(), ofMeans.LowerLimit, 5.1e-6, "lower limit");
        Agreement.Near(File.At("published", "limits_3s")[1].GetDouble(), ofMeans.UpperLimit, 5.1e-6, "upper limit");
    }

    [Fact]
    public void Each_rule_notices_its_pattern_and_nothing_one_value_short_of_it()
    {
        Check(RunRule.BeyondThreeSigma, [0, 3.1], [0, 3]);
        Check(RunRule.TwoOfThreeBeyondTwoSigma, [2.1, 0, 2.1], [2.1, 0, -2.1]);
        Check(RunRule.TwoOfThreeBeyondTwoSigma, [-2.1, -3.5], [2.1, 0, 0, 2.1]);
        Check(RunRule.FourOfFiveBeyondOneSigma, [1.1, 1.1, 0, 1.1, 1.1], [1.1, 1.1, 0, 1.1, 1]);
        Check(RunRule.EightOnOneSide, [-1, -1, -1, -1, -1, -1, -1, -0.1], [1, 1, 1, 1, 0, 1, 1, 1]);
        Check(RunRule.SixRisingOrFalling, [-1, -0.5, 0, 0.1, 0.2, 0.3], [-1, -0.5, 0, 0, 0.2, 0.3]);
        Check(RunRule.SixRisingOrFalling, [2, 1, 0, -1, -2, -3], [1, 0, -1, -2, -3]);
        Check(RunRule.FourteenUpAndDown, [0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1], [0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 2, 1]);
        Check(RunRule.FifteenWithinOneSigma, [.. Enumerable.Repeat(0.9, 15)], [.. Enumerable.Repeat(0.9, 14), 1]);
        Check(RunRule.EightBeyondOneSigma, [1.1, -1.1, 1.1, -1.1, 1.1, -1.1, 1.1, -3.1], [1.1, -1.1, 1.1, -1.1, 1.1, -1.1, 1.1, 1]);

        static void Check(RunRule rule, double[] pattern, double[] none)
        {
            Assert.Equal(pattern.Length, Assert.Single(RunRules.Signals(pattern, [rule])).Point);
            Assert.Empty(RunRules.Signals(none, [rule]));
        }
    }

    [Fact]
    public void Patterns_of_order_come_by_chance_as_often_as_permutations_say()
    {
        // Of n! orders 2 rise or fall throughout; 2 E_n go up and down by turns, E_14 = 199 360 981 (D. André, 1879; OEIS A000111). Within one sigma
        // fifteen times: 0.6827^15.
        const ulong seed = 7402;
        var source = new SeededSource(seed);
        const int draws = 300_000;
        int rising = 0, alternating = 0, quiet = 0;
        var z = new double[15];
        for (var i = 0; i < draws; i++)
        {
            for (var k = 0; k < z.Length; k++)
                z[k] = source.NextNormal();
            rising += RunRules.Signals(z.AsSpan(0, 6), [RunRule.SixRisingOrFalling]).Length;
            alternating += RunRules.Signals(z.AsSpan(0, 14), [RunRule.FourteenUpAndDown]).Length;
            quiet += RunRules.Signals(z, [RunRule.FifteenWithinOneSigma]).Length;
        }

        foreach (var (expected, count) in new[] { (2 / 720.0, rising), (2 * 199360981 / 87178291200.0, alternating), (Math.Pow(0.682689492, 15), quiet) })
            Agreement.Near(expected, (double)count / draws, 4.5 * Math.Sqrt(expected / draws), $"seed {seed}");
    }

    [Fact]
    public void Mirrored_values_signal_at_the_same_points_on_the_other_side()
    {
        const ulong seed = 7403;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            double[] z = [.. Enumerable.Range(0, 60).Select(_ => (source.NextNormal() * 1.3) + 0.4)];
            var up = RunRules.Signals(z, RunRules.All);
            var down = RunRules.Signals(z.Select(v => -v).ToArray(), RunRules.All);
            Assert.Equal(up.Select(s => s with { Above = s.Above is { } above ? !above : null }), down);
        }
    }

    private static int[] Points(JsonElement signals, string name) => [.. signals.GetProperty(name).EnumerateArray().Select(v => v.GetInt32())];

    private static int[] Of(IndividualsChartResult chart, RunRule rule) => [.. chart.Signals.Where(s => s.Rule == rule).Select(s => s.Point)];

    /// <summary>
    /// States are what the rules can remember: the sides beyond 2 and beyond 1 of the last values, and the run on one side. A representative history stands
    /// for each.
    /// </summary>
    private sealed class Chain
    {
        private readonly List<double[]> _histories = [[]];
        private readonly List<int[]> _next = [];

        public Chain(RunRule[] rules)
        {
            var places = new Dictionary<string, int> { [Key([], rules)] = 0 };
            for (var state = 0; state < _histories.Count; state++)
            {
                var next = new int[Zones.Length];
                for (var zone = 0; zone < Zones.Length; zone++)
                {
                    double[] history = [.. _histories[state], Zones[zone]];
                    if (RunRules.Signals(history, rules).Any(s => s.Point == history.Length))
                    {
                        next[zone] = -1;
                        continue;
                    }

                    var key = Key(history, rules);
                    if (!places.TryGetValue(key, out next[zone]))
                    {
                        next[zone] = places[key] = _histories.Count;
                        _histories.Add(history[^Math.Min(history.Length, 8)..]);
                    }
                }

                _next.Add(next);
            }
        }

        public double AverageRunLength(double shift)
        {
            var probability = Enumerable.Range(0, Zones.Length).Select(z => Normal.CDF(shift, 1, Bounds[z + 1]) - Normal.CDF(shift, 1, Bounds[z])).ToArray();
            var matrix = Matrix<double>.Build.DenseIdentity(_next.Count);
            for (var state = 0; state < _next.Count; state++)
            {
                for (var zone = 0; zone < Zones.Length; zone++)
                {
                    if (_next[state][zone] >= 0)
                        matrix[state, _next[state][zone]] -= probability[zone];
                }
            }

            return matrix.Solve(Vector<double>.Build.Dense(_next.Count, 1))[0];
        }

        /// <summary>Walks by drawn zones and compares; how many signals there were.</summary>
        public int FollowsTheRules(RunRule[] rules, SeededSource source, int steps)
        {
            var (history, state, signals) = (new List<double>(), 0, 0);
            for (var step = 0; step < steps; step++)
            {
                // Most values in the middle zones, some far out.
                var zone = Math.Clamp((int)Math.Floor(4 + (1.5 * source.NextNormal()) + 0.3), 0, Zones.Length - 1);
                history.Add(Zones[zone]);
                var signal = RunRules.Signals(history.ToArray(), rules).Any(s => s.Point == history.Count);
                Assert.Equal(signal, _next[state][zone] < 0);
                state = signal ? 0 : _next[state][zone];
                signals += signal ? 1 : 0;
                if (signal)
                    history.Clear();
            }

            return signals;
        }

        private static string Key(double[] history, RunRule[] rules)
        {
            var two = rules.Contains(RunRule.TwoOfThreeBeyondTwoSigma) ? Sides(history, 2, 2) : "";
            var one = rules.Contains(RunRule.FourOfFiveBeyondOneSigma) ? Sides(history, 4, 1) : "";
            var run = "";
            if (rules.Contains(RunRule.EightOnOneSide) && history.Length > 0)
            {
                var length = history.Reverse().TakeWhile(v => v * history[^1] > 0).Count();
                run = $"{Math.Sign(history[^1])}x{length}";
            }

            return $"{two}|{one}|{run}";
        }

        private static string Sides(double[] history, int last, double line) =>
            string.Concat(history.TakeLast(last).Select(v => v > line ? '+' : v < -line ? '-' : '0')).PadLeft(last, '0');
    }
}
