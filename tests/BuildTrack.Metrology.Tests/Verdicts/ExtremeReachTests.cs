using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

public sealed class ExtremeReachTests
{
    [Fact]
    public void One_value_has_the_plain_bands()
    {
        var (accept, alone, again) = ExtremeReach.Of(1, 2, 0.5);
        Assert.Equal(((1.6449 * 2) + 0.5, (1.960 * 2) + 0.5, (1.960 * 2) + 0.5), (accept, alone, again));
    }

    [Theory]
    [InlineData(2)]
    [InlineData(12)]
    [InlineData(60)]
    public void The_largest_of_several_normals_stays_below_the_band_in_39_of_40_cases(int count)
    {
        const int trials = 20_000;
        var source = new SeededSource(51);
        var band = ExtremeReach.Of(count, 1, 0).RejectAlone;
        var beyond = 0;
        for (var t = 0; t < trials; t++)
        {
            var largest = double.NegativeInfinity;
            for (var i = 0; i < count; i++)
                largest = Math.Max(largest, source.NextNormal());
            beyond += largest > band ? 1 : 0;
        }

        Assert.InRange(beyond / (double)trials, 0.0217, 0.0283);
    }

    [Fact]
    public void The_band_is_below_the_published_range_of_as_many_values()
    {
        var file = ReferenceFile.Load("acc-normal-range");
        foreach (var row in file.At("recomputed", "table").EnumerateArray())
        {
            var range = row.GetProperty("quantiles").GetProperty("0.99").GetDouble();
            Assert.InRange(ExtremeReach.Of(row.GetProperty("n").GetInt32(), 1, 0).RejectAlone, 1.960, range);
        }

        // Two values: Φ(q)² = 0.975, q = Φ⁻¹(0.987420882906575).
        Assert.Equal(2.23900, ExtremeReach.Of(2, 1, 0).RejectAlone, 4);
    }

    [Fact]
    public void Few_degrees_of_freedom_widen_every_band()
    {
        var known = ExtremeReach.Of(8, 1, 0);
        var estimated = ExtremeReach.Of(8, 1, 0, 6);
        Assert.True(estimated.Accept > known.Accept && estimated.RejectAlone > known.RejectAlone && estimated.RejectAgain > known.RejectAgain);
        Assert.Throws<ArgumentOutOfRangeException>(() => ExtremeReach.Of(0, 1, 0));
        Assert.Throws<ArgumentException>(() => ExtremeReach.Of(3, double.NaN, 0));
    }
}
