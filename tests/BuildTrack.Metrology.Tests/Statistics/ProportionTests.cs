using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>Newcombe's table of 1998, and the definition of the interval solved by halving.</summary>
public sealed class ProportionTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("proportion-wilson");

    [Fact]
    public void The_published_intervals_come_out_to_their_printed_decimals()
    {
        var decimals = File.Digits("ends");
        foreach (var row in File.At("cases").EnumerateArray())
        {
            var found = Proportion.Find(row.GetProperty("count").GetInt32(), row.GetProperty("of").GetInt32())!;
            Assert.Equal(row.GetProperty("low").GetDouble(), found.Low, decimals);
            Assert.Equal(row.GetProperty("high").GetDouble(), found.High, decimals);
        }
    }

    [Fact]
    public void The_ends_are_the_shares_from_which_the_count_is_just_1_960_deviations_away()
    {
        for (var of = 1; of <= 60; of++)
        {
            for (var count = 0; count <= of; count++)
            {
                var found = Proportion.Find(count, of)!;
                Assert.Equal(count == 0 ? 0 : Halved(count, of, 0, found.Share, outsideIsLow: true), found.Low, 1e-9);
                Assert.Equal(count == of ? 1 : Halved(count, of, found.Share, 1, outsideIsLow: false), found.High, 1e-9);
                Assert.True(found.Low <= found.Share && found.Share <= found.High && found is { Low: >= 0, High: <= 1 });

                // What is not among them has the mirrored interval.
                var rest = Proportion.Find(of - count, of)!;
                Assert.Equal((1 - found.High, 1 - found.Low), (rest.Low, rest.High), (a, b) => Math.Abs(a.Item1 - b.Item1) < 1e-12 && Math.Abs(a.Item2 - b.Item2) < 1e-12);
            }
        }
    }

    [Fact]
    public void Nothing_has_no_share_and_a_false_count_is_refused()
    {
        Assert.Null(Proportion.Find(0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => Proportion.Find(-1, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => Proportion.Find(6, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => Proportion.Find(0, -1));
    }

    // The one share between two others at which |found − p| = 1.960 √(p(1 − p)/n).
    private static double Halved(int count, int of, double low, double high, bool outsideIsLow)
    {
        var share = (double)count / of;
        bool Outside(double p) => Math.Abs(share - p) > 1.960 * Math.Sqrt(p * (1 - p) / of);
        for (var i = 0; i < 100; i++)
        {
            var middle = (low + high) / 2;
            if (Outside(middle) == outsideIsLow)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }

        return (low + high) / 2;
    }
}
