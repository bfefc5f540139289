using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>The sparse elimination against a dense solution and against fractions, on seeded random networks.</summary>
public sealed class LevelNetworkDenseTests
{
    public static TheoryData<string> Shapes => [.. RandomNets.Shapes];

    [Theory]
    [MemberData(nameof(Shapes))]
    public void The_dense_solution_is_the_same(string shape)
    {
        var nets = new RandomNets(5101);
        for (var trial = 0; trial < 40; trial++)
        {
            var (net, known) = nets.Next(shape, 4 + (trial * trial / 16), decades: trial % 3, heights: trial % 4);
            Same(RandomNets.WithoutLines(net), known, $"{shape} {trial}", 1e-9);
        }
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void With_a_slope_for_each_line_the_dense_solution_is_the_same(string shape)
    {
        var nets = new RandomNets(5102);
        var determined = 0;
        for (var trial = 0; trial < 40; trial++)
        {
            var (net, known) = nets.Next(shape, 6 + trial, decades: trial % 3 / 2.0, heights: trial % 3 * 2);
            determined += Same(net, known, $"{shape} {trial}", 1e-8) ? 1 : 0;
        }

        Assert.True(determined > 5, $"{determined} of 40 nets were determined");
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void However_far_the_weights_lie_apart_the_result_is_that_of_fractions(string shape)
    {
        var nets = new RandomNets(5103);
        for (var trial = 0; trial < 24; trial++)
        {
            // Pulls are kept to 32 digits: between weights 24 decades apart some nine are left.
            var (decades, within) = trial % 2 == 0 ? (12, 1e-9) : (6, 1e-12);
            var (net, known) = nets.Next(shape, 4 + (trial % 7), decades, heights: trial % 3);
            net = RandomNets.WithoutLines(net);
            var exact = new ExactNetwork(net, known);
            var values = LevelNetworkCalculation.Adjust(net, known, true).Values!;
            var name = $"{shape} {trial}";
            for (var i = 0; i < net.Length; i++)
            {
                Agreement.Near(exact.ResidualsUm[i], values.ResidualsUm[i], within, $"{name}, residual {i}");
                Agreement.Near(exact.Redundancy[i], values.Redundancy[i], 1e-13, $"{name}, redundancy {i}");
            }

            for (var p = 0; p < values.Heights.Length; p++)
            {
                Agreement.Near(exact.HeightsUm[p], values.Heights[p].HeightUm, within, $"{name}, {values.Heights[p].Id}");
                Agreement.Near(exact.Cofactors[p], values.Heights[p].Cofactor, 1e-11 * exact.Cofactors[p], $"{name}, cofactor of {values.Heights[p].Id}");
            }
        }
    }

    private static bool Same(LevelObservation[] net, Dictionary<string, double> known, string name, double within)
    {
        var dense = new DenseNetwork(net, known);
        var result = LevelNetworkCalculation.Adjust(net, known, true);
        if (dense.Defect > (known.Count == 0 ? 3 : 0))
        {
            Assert.True(result.Defect == LevelNetworkDefect.Undetermined, name);
            Assert.Contains($", {dense.Defect} heights or tilts", result.DefectSentence, StringComparison.Ordinal);
            return false;
        }

        Assert.True(result.Values is not null, $"{name}: {result.DefectSentence}");
        var values = result.Values;
        Assert.Equal(dense.Points, values.Heights.Select(h => h.Id));
        Assert.Equal(dense.DegreesOfFreedom, values.DegreesOfFreedom);
        Agreement.Near(dense.DegreesOfFreedom, values.Redundancy.Sum(), within, name);
        Near(dense.HeightsUm, [.. values.Heights.Select(h => h.HeightUm)], 100, "height");
        Near(dense.Cofactors, [.. values.Heights.Select(h => h.Cofactor)], Math.Max(1, dense.Cofactors.Max()), "cofactor");
        Near(dense.LineRisesUm, [.. values.Lines.Select(l => l.RiseUm)], 100, "slope");
        Near(dense.ResidualsUm, [.. values.ResidualsUm], 100, "residual");
        Near(dense.Redundancy, [.. values.Redundancy], 1, "redundancy");
        return true;

        void Near(double[] expected, double[] found, double scale, string what)
        {
            Assert.Equal(expected.Length, found.Length);
            for (var i = 0; i < found.Length; i++)
                Agreement.Near(expected[i], found[i], within * scale, $"{name}, {what} {i}");
        }
    }
}
