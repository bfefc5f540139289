using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Metrology.Tests.Thermal;

/// <summary>Probes on one block: a table of two ways without interaction.</summary>
public sealed class ProbeComparisonTests
{
    private static Temperature[][] Celsius(IEnumerable<IEnumerable<double>> readings) => [.. readings.Select(r => r.Select(Temperature.FromDegreesCelsius).ToArray())];

    [Fact]
    public void A_published_table_of_two_ways_has_its_printed_means_and_residual()
    {
        var file = ReferenceFile.Load("probe-comparison");
        double[][] table = [.. file.At("readings").EnumerateArray().Select(r => r.EnumerateArray().Select(x => x.GetDouble()).ToArray())];
        var result = ProbeComparison.Of(Celsius(table), 0.01);
        var mean = file.At("grand_mean").GetDouble();
        Assert.Equal(file.At("means").EnumerateArray().Select(m => m.GetDouble() - mean), result.OffsetsK.Select(o => Math.Round(o, 9)));
        Assert.Equal(file.At("residual_degrees").GetInt32(), result.DegreesOfFreedom);
        Assert.Equal(file.At("residual_mean_square").GetDouble(), Math.Round(result.ScatterK * result.ScatterK, 2));
    }

    [Fact]
    public void Readings_that_agree_leave_the_step_of_the_display()
    {
        // d = 0.1 K: 2 · 0.1/√12 · √(2 (1 + 1/3)) = 0.0943 K; k of 95.45 % in the normal distribution is 2.0000.
        var result = ProbeComparison.Of(Celsius([[20.4, 20.4, 20.4], [20.3, 20.3, 20.3]]), 0.1);
        Assert.Equal((0.0, 0.05, -0.05), (Math.Round(result.ScatterK, 9), Math.Round(result.OffsetsK[0], 9), Math.Round(result.OffsetsK[1], 9)));
        Agreement.Near(2, result.CoverageFactor, 5e-5, "k");
        Agreement.Near(0.0943, result.DifferenceExpandedK, 5e-5, "U");
        Agreement.Near(0.0471, result.DifferenceStandardK, 5e-5, "u");
    }

    [Fact]
    public void Few_degrees_of_freedom_raise_the_factor()
    {
        // Two probes, two repeats: one degree of freedom. GUM table G.2: 13.97 for 95.45 % and ν = 1.
        var result = ProbeComparison.Of(Celsius([[20, 30], [24, 28]]), 1e-6);
        Assert.Equal(13.97, Math.Round(result.CoverageFactor, 2));
    }

    /// <summary>A slow twin: means of rows and columns are swept out in turn until nothing is left of them.</summary>
    [Fact]
    public void Sweeping_rows_and_columns_leaves_the_same_scatter_and_drift_of_the_block_changes_nothing()
    {
        var source = new SeededSource(0x7E3);
        for (var trial = 0; trial < 50; trial++)
        {
            var (probes, repeats) = (2 + source.NextInt(5), 2 + source.NextInt(4));
            double[][] table = [.. Enumerable.Range(0, probes).Select(_ => Enumerable.Range(0, repeats).Select(_ => 20 + (0.1 * source.NextNormal())).ToArray())];
            var result = ProbeComparison.Of(Celsius(table), 0.01);
            var rest = table.Select(r => (double[])r.Clone()).ToArray();
            for (var sweep = 0; sweep < 3; sweep++)
            {
                foreach (var row in rest)
                {
                    var mean = row.Average();
                    for (var j = 0; j < repeats; j++)
                        row[j] -= mean;
                }

                for (var j = 0; j < repeats; j++)
                {
                    var mean = rest.Average(r => r[j]);
                    foreach (var row in rest)
                        row[j] -= mean;
                }
            }

            Assert.Equal(Math.Sqrt(rest.Sum(r => r.Sum(x => x * x)) / ((probes - 1) * (repeats - 1))), result.ScatterK, 10);
            Assert.Equal(0, result.OffsetsK.Sum(), 10);

            var drifted = ProbeComparison.Of(Celsius(table.Select((r, i) => r.Select((t, j) => t + (0.3 * j) + (i == 1 ? 0.5 : 0)))), 0.01);
            Assert.Equal(result.DifferenceExpandedK, drifted.DifferenceExpandedK, 9);
            Assert.Equal(result.OffsetsK[1] - result.OffsetsK[0] + 0.5, drifted.OffsetsK[1] - drifted.OffsetsK[0], 9);
        }
    }

    [Fact]
    public void A_later_difference_of_two_probes_is_within_U_as_often_as_it_says()
    {
        var source = new SeededSource(0x7E4);
        double[] offsets = [0.1, -0.05, 0.02, 0.2];
        var (within, trials) = (0, 4000);
        for (var trial = 0; trial < trials; trial++)
        {
            var result = ProbeComparison.Of(Celsius(offsets.Select(o => Enumerable.Range(0, 3).Select(_ => 20 + o + (0.01 * source.NextNormal())).ToArray())), 1e-4);
            double Later(int i) => offsets[i] + (0.01 * source.NextNormal()) - result.OffsetsK[i];
            within += Math.Abs(Later(0) - Later(1)) <= result.DifferenceExpandedK ? 1 : 0;
        }

        // Binomial: 0.9545 ± 3 · √(0.9545 · 0.0455/4000) = ± 0.0099.
        Agreement.Near(0.9545, (double)within / trials, 0.0099, "coverage");
    }

    [Fact]
    public void Bad_tables_are_refused_by_name()
    {
        Assert.Contains("readings", Assert.Throws<ArgumentOutOfRangeException>(() => ProbeComparison.Of(Celsius([[20, 20]]), 0.01)).Message, StringComparison.Ordinal);
        Assert.Contains("readings", Assert.Throws<ArgumentOutOfRangeException>(() => ProbeComparison.Of(Celsius([[20], [20]]), 0.01)).Message, StringComparison.Ordinal);
        Assert.Contains("readings[1]", Assert.Throws<ArgumentException>(() => ProbeComparison.Of(Celsius([[20, 20], [20]]), 0.01)).Message, StringComparison.Ordinal);
        Assert.Contains("readings[1][0]", Assert.Throws<ArgumentOutOfRangeException>(() => ProbeComparison.Of(Celsius([[20, 20], [293, 293]]), 0.01)).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => ProbeComparison.Of(Celsius([[20, 20], [20, 20]]), 0));
        Assert.Throws<ArgumentException>(() => ProbeComparison.Of(Celsius([[20, 20], [20, 20]]), double.NaN));
    }
}
