using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

/// <summary>The short way of some thousand points against the way of all heights, which shares only the exchange with it.</summary>
public sealed class SomePointsTests
{
    public static TheoryData<string> Shapes => [.. MadeSets.Names];

    [Theory]
    [MemberData(nameof(Shapes))]
    public void The_short_way_is_taken_as_a_rule_and_finds_what_all_heights_find(string shape)
    {
        const ulong seed = 1201;
        var source = new SeededSource(seed);
        var (taken, all) = (0, 0);
        foreach (var count in new[] { 61, 62, 63, 64, 67, 100, 257, 1000, 1001, SomePoints.MostPoints })
        {
            for (var trial = 0; trial < 8; trial++, all++)
            {
                var (x, y, z) = MadeSets.Of(shape, count, source);
                var moments = PlaneMoments.Of(x, y, z);
                var (alongX, alongY) = moments.Slopes();
                if (SomePoints.Of(x, y, z, moments, new PlanePlace(moments.MeanX, moments.MeanY, moments.MeanZ, alongX, alongY)) is not { } found)
                    continue;
                taken++;
                var where = $"seed {seed}, {shape}, {count} points, trial {trial}";
                var expected = MinimumZoneFit.Of(PointSet.Of(x, y, z));
                Agreement.Near(expected.VerticalUm, found.Top - found.Bottom, 1e-11 * expected.VerticalUm, where);
                Assert.True(expected.Contacts.Select(c => c.Index).SequenceEqual(found.Proof.Contacts.Select(c => c.Index)), where);
                foreach (var (one, other) in expected.Contacts.Zip(found.Proof.Contacts))
                    Agreement.Near(one.Weight, other.Weight, 1e-9, where);

                // The proof by hand: every point lies between the planes.
                for (var i = 0; i < count; i++)
                    Assert.InRange(found.Plane.Above(x[i], y[i], z[i]), found.Bottom - 1e-10, found.Top + 1e-10);
            }
        }

        Assert.InRange(taken, all * 3 / 4, all);
    }

    [Fact]
    public void Digits_that_rounding_takes_and_contacts_without_end_are_left_to_the_careful_way()
    {
        var (x, y, z) = MadeSets.Of("noise", 1000, new SeededSource(1202));
        double[] flat = [.. x.Select(v => 0.25 * v)], ties = [.. z.Select(v => (double)Math.Sign(v))], tiny = [.. z.Select(v => 1e6 + (1e-9 * v))];
        foreach (var heights in new[] { flat, ties, tiny })
        {
            var moments = PlaneMoments.Of(x, y, heights);
            Assert.Null(SomePoints.Of(x, y, heights, moments, new PlanePlace(moments.MeanX, moments.MeanY, moments.MeanZ, moments.Slopes().AlongX, moments.Slopes().AlongY)));
        }

        Agreement.Near(2, FlatnessCalculation.Of(x, y, ties).MinimumZone!.VerticalUm, 1e-9, "ties");
        Agreement.Near(0, FlatnessCalculation.Of(x, y, flat).MinimumZone!.VerticalUm, 1e-9, "flat");
    }

    [Theory]
    [InlineData(4)]
    [InlineData(1001)]
    public void A_number_beyond_all_measure_is_refused_by_name(int count)
    {
        for (var series = 0; series < 3; series++)
        {
            var (x, y, z) = MadeSets.Of("saddle", count, new SeededSource(1204));
            (series == 0 ? x : series == 1 ? y : z)[2] = 1e300;
            Assert.Contains("[2] is 1E+300; it must be within", Assert.Throws<ArgumentOutOfRangeException>(() => FlatnessCalculation.Of(x, y, z)).Message, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_number_that_is_none_is_refused_wherever_it_stands(double none)
    {
        foreach (var at in new[] { 0, 1, 499, 996, 997, 1000 })
        {
            for (var series = 0; series < 3; series++)
            {
                var (x, y, z) = MadeSets.Of("saddle", 1001, new SeededSource(1203));
                (series == 0 ? x : series == 1 ? y : z)[at] = none;
                Assert.Contains($"[{at}] is ", Assert.Throws<ArgumentException>(() => FlatnessCalculation.Of(x, y, z, deviations: false)).Message, StringComparison.Ordinal);
            }
        }
    }
}
