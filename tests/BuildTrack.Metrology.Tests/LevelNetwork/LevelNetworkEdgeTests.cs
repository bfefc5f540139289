using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

public sealed class LevelNetworkEdgeTests
{
    private static readonly Dictionary<string, double> Nothing = [];

    [Fact]
    public void Parts_that_nothing_joins_are_named()
    {
        LevelObservation[] net = [new("A", "B", 1, 1), new("C", "D", 2, 1)];
        var result = LevelNetworkCalculation.Adjust(net, Nothing, false);
        Assert.Equal(LevelNetworkDefect.Disconnected, result.Defect);
        Assert.Contains("(A, B); (C, D)", result.DefectSentence, StringComparison.Ordinal);

        result = LevelNetworkCalculation.Adjust(net, new Dictionary<string, double> { ["A"] = 5 }, false);
        Assert.Contains("joins (C, D) to a fixed height", result.DefectSentence, StringComparison.Ordinal);

        // A fixed height in each part joins them.
        Assert.Equal([5, 6, 7, 9], LevelNetworkCalculation.Adjust(net, new Dictionary<string, double> { ["A"] = 5, ["C"] = 7 }, false).Values!.Heights.Select(h => h.HeightUm));
    }

    [Fact]
    public void Without_redundancy_there_is_no_sigma0_and_known_uncertainties_speak_for_the_heights()
    {
        LevelObservation[] net = [LevelObservation.WithSigma("A", "B", 1, 3), LevelObservation.WithSigma("B", "C", 1, 4)];
        var known = new Dictionary<string, double> { ["A"] = 0 };
        var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
        Assert.Null(values.Sigma0);
        Assert.Equal(0, values.DegreesOfFreedom);
        Assert.Equal(0, values.Heights[0].SigmaUm);
        Assert.Equal(3, values.Heights[1].SigmaUm!.Value, 12);
        Assert.Equal(5, values.Heights[2].SigmaUm!.Value, 12);
        Assert.Null(LevelNetworkCalculation.Adjust(net, known, false).Values!.Heights[1].SigmaUm);
    }

    [Fact]
    public void Lines_that_do_not_cross_leave_too_much_undetermined()
    {
        // Three lines from one point: height and three tilts; a plane has only two.
        LevelObservation[] star = [.. from line in "abc" from k in Enumerable.Range(0, 3) select new LevelObservation(k == 0 ? "O" : $"{line}{k}", $"{line}{k + 1}", 1, 1, $"{line}")];
        var result = LevelNetworkCalculation.Adjust(star, Nothing, false);
        Assert.Equal(LevelNetworkDefect.Undetermined, result.Defect);
        Assert.Contains("4 heights or tilts", result.DefectSentence, StringComparison.Ordinal);

        result = LevelNetworkCalculation.Adjust(star[..6], new Dictionary<string, double> { ["O"] = 0 }, false);
        Assert.Equal(LevelNetworkDefect.Undetermined, result.Defect);
        Assert.Contains("2 heights or tilts stay undetermined; fix three", result.DefectSentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Rows_and_columns_with_slopes_leave_the_twist_and_a_diagonal_fixes_it(bool diagonal)
    {
        List<LevelObservation> net = [];
        for (var i = 0; i < 4; i++)
        {
            for (var k = 0; k < 3; k++)
            {
                net.Add(new($"{i},{k}", $"{i},{k + 1}", 2 + (i * 0.5), 1, $"row {i}"));
                net.Add(new($"{k},{i}", $"{k + 1},{i}", -3 + (i * 0.5), 1, $"column {i}"));
                if (diagonal && i == 0)
                    net.Add(new($"{k},{k}", $"{k + 1},{k + 1}", 7 + (0.5 * ((2 * k) + 1)), 1, "diagonal"));
            }
        }

        var result = LevelNetworkCalculation.Adjust(net, Nothing, false);
        if (!diagonal)
        {
            Assert.Equal(LevelNetworkDefect.Undetermined, result.Defect);
            return;
        }

        // 0.5 i k less its plane: 0.5 (i − 1.5)(k − 1.5).
        foreach (var height in result.Values!.Heights)
            Agreement.Near(0.5 * (height.Id[0] - '0' - 1.5) * (height.Id[2] - '0' - 1.5), height.HeightUm, 1e-12, height.Id);
    }

    [Fact]
    public void All_heights_fixed_leave_closures_alone()
    {
        var values = LevelNetworkCalculation.Adjust(
            [new("A", "B", 12, 1), new("A", "B", 9, 1)], new Dictionary<string, double> { ["A"] = 0, ["B"] = 10 }, false).Values!;
        Assert.Equal([-2, 1], values.ResidualsUm);
        Assert.Equal(2, values.DegreesOfFreedom);
        Assert.Equal([3, 2], values.Loops.Select(l => l.ClosureUm).OrderDescending());
        Assert.Equal(5, values.SumOfSquares);
    }

    [Fact]
    public void One_gross_error_is_the_doubtful_one_and_good_readings_are_not()
    {
        LevelObservation[] Grid(double gross)
        {
            List<LevelObservation> net = [];
            for (var i = 0; i < 4; i++)
            {
                for (var j = 0; j < 4; j++)
                {
                    if (j < 3)
                        net.Add(LevelObservation.WithSigma($"{i}{j}", $"{i}{j + 1}", (i * j % 3 * 0.4) + (i == 1 && j == 1 ? gross : 0), 0.5));
                    if (i < 3)
                        net.Add(LevelObservation.WithSigma($"{i}{j}", $"{i + 1}{j}", (i + j) % 2 * 0.3, 0.5));
                }
            }

            return [.. net];
        }

        Assert.Empty(LevelNetworkCalculation.Adjust(Grid(0), Nothing, true).Values!.Doubtful);
        var net = Grid(8);
        foreach (var known in (bool[])[true, false])
        {
            var doubtful = LevelNetworkCalculation.Adjust(net, Nothing, known).Values!.Doubtful;
            var worst = doubtful.MaxBy(d => Math.Abs(d.Test))!;
            Assert.Equal(("11", "12"), (net[worst.Index].From, net[worst.Index].To));
            Assert.True(worst.Test < -worst.Critical);
        }
    }

    [Fact]
    public void A_consistent_net_has_no_doubtful_observations_however_small_its_rounding()
    {
        LevelObservation[] net = [new("A", "B", 0.1, 1), new("B", "C", 0.2, 1), new("A", "C", 0.1 + 0.2, 1), new("C", "D", 0.3, 1), new("A", "D", 0.6, 1)];
        Assert.Empty(LevelNetworkCalculation.Adjust(net, Nothing, false).Values!.Doubtful);
    }

    [Fact]
    public void What_is_no_number_or_no_observation_is_refused()
    {
        Assert.Equal(LevelNetworkDefect.Empty, LevelNetworkCalculation.Adjust([], Nothing, false).Defect);
        Assert.Throws<ArgumentException>(() => LevelNetworkCalculation.Adjust([new("A", "B", double.NaN, 1)], Nothing, false));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelNetworkCalculation.Adjust([new("A", "B", 1e300, 1)], Nothing, false));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelNetworkCalculation.Adjust([new("A", "B", 1, 0)], Nothing, false));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelNetworkCalculation.Adjust([new("A", "B", 1, 1e13)], Nothing, false));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelObservation.WithSigma("A", "B", 1, 0));
        Assert.Contains("from 'A' to itself", Assert.Throws<ArgumentException>(() => LevelNetworkCalculation.Adjust([new("A", "A", 1, 1)], Nothing, false)).Message, StringComparison.Ordinal);
        Assert.Contains("'X' is in no observation", Assert.Throws<ArgumentException>(() => LevelNetworkCalculation.Adjust([new("A", "B", 1, 1)], new Dictionary<string, double> { ["X"] = 1 }, false)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_net_beyond_the_size_is_refused_with_a_sentence_and_a_long_chain_with_a_far_datum_keeps_its_digits()
    {
        LevelObservation[] large = [.. Enumerable.Range(0, LevelNetworkCalculation.LargestObservations + 1).Select(i => new LevelObservation($"{i}", $"{i + 1}", 1, 1))];
        Assert.Equal(LevelNetworkDefect.TooLarge, LevelNetworkCalculation.Adjust(large, Nothing, false).Defect);
        var values = LevelNetworkCalculation.Adjust([.. large[..300], new("0", "300", 300.3, 1)], new Dictionary<string, double> { ["0"] = 1e9 }, false).Values!;
        Agreement.Near(0.3 / 301, values.ResidualsUm[0], 1e-10, "shared out evenly");
        Assert.Equal(301, Assert.Single(values.Loops).Steps.Length);
    }

    [Fact]
    public void Points_that_are_all_joined_to_each_other_are_refused_where_that_takes_too_long()
    {
        var source = new SeededSource(5201);
        LevelObservation[] net = [.. Enumerable.Range(0, 22_000).Select(i => new LevelObservation($"{i % 3000}", $"{(i + 1 + source.NextInt(2999)) % 3000}", 1, 1)).Where(o => o.From != o.To)];
        var result = LevelNetworkCalculation.Adjust(net, Nothing, false);
        Assert.Equal(LevelNetworkDefect.TooLarge, result.Defect);
        Assert.Contains("observations of 3000 points are joined too closely", result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Lines_beyond_what_can_be_held_are_refused_by_number()
    {
        LevelObservation[] net = [.. Enumerable.Range(0, 3000).Select(i => new LevelObservation($"{i}", $"{i + 1}", 1, 1, $"line {i}"))];
        var result = LevelNetworkCalculation.Adjust(net, Nothing, false);
        Assert.Equal(LevelNetworkDefect.TooLarge, result.Defect);
        Assert.Contains("3001 points with 3000 lines", result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void The_global_test_tells_stated_uncertainties_that_are_too_small_from_too_large_ones()
    {
        LevelObservation[] Ring(double sigma) => [.. Enumerable.Range(0, 12).SelectMany(i => new[]
        {
            LevelObservation.WithSigma($"{i}", $"{(i + 1) % 12}", i % 2 == 0 ? 1 : -1, sigma),
            LevelObservation.WithSigma($"{i}", $"{(i + 1) % 12}", (i % 2 == 0 ? 1 : -1) + 0.5, sigma),
        })];

        // Each pair differs by 0.5: Σ v² = 12 · 2 · 0.25², and the mean rise around is 12 · 0.25 = 3, shared by 24 observations.
        GlobalTest Of(double sigma) => LevelNetworkCalculation.Adjust(Ring(sigma), Nothing, true).Values!.Global!;
        Agreement.Near(Math.Sqrt((1.5 + (24 * 0.25 * 0.25)) / 13), Of(1).Sigma0, 1e-12, "sigma0");
        Assert.True(Of(0.5).Agrees);
        Assert.True(Of(0.1) is { Agrees: false } small && small.Sigma0 > small.Upper);
        Assert.True(Of(5) is { Agrees: false } large && large.Sigma0 < large.Lower);
        Assert.Null(LevelNetworkCalculation.Adjust(Ring(1), Nothing, false).Values!.Global);
        Assert.Null(LevelNetworkCalculation.Adjust(Ring(1)[..1], Nothing, true).Values!.Global);
    }

    [Fact]
    public void So_many_loops_that_no_shortest_set_is_sought_are_still_independent_and_close()
    {
        LevelObservation[] net = [.. Enumerable.Range(0, 800).Select(i => new LevelObservation(i % 2 == 0 ? "A" : "C", "B", i % 2 == 0 ? 5 : 3, 1)), new("A", "C", 2, 1)];
        var loops = LevelNetworkCalculation.Adjust(net, Nothing, false).Values!.Loops;
        Assert.Equal(799, loops.Length);
        Assert.Equal(LoopBasis.Grown, LevelNetworkCalculation.Adjust(net, Nothing, false).Values!.Basis);
        Assert.All(loops, l => Agreement.Near(0, l.ClosureUm, 1e-12, "closure"));
        Assert.Equal(799, loops.Select(l => string.Join(' ', l.Steps.Select(s => s.Index).Order())).Distinct().Count());
    }
}
