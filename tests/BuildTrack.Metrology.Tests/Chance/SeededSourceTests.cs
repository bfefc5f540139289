using BuildTrack.Metrology.Chance;

namespace BuildTrack.Metrology.Tests.Chance;

public sealed class SeededSourceTests
{
    [Fact]
    public void The_state_filled_from_seed_zero_is_that_of_the_published_filling_generator()
    {
        // SplitMix64 from 0 gives e220a8397b1dcdaf 6e789e6aa1b965f4 06c45d188009454f f88bb8a8724c81ec (published test vector);
        // the first output of xoshiro256** is rotl(s1 · 5, 7) · 9.
        var expected = System.Numerics.BitOperations.RotateLeft(unchecked(0x6E789E6AA1B965F4 * 5), 7);
        expected = unchecked(expected * 9);
        Assert.Equal(expected, new SeededSource(0).NextBits());
    }

    [Fact]
    public void The_same_seed_gives_the_same_numbers_and_another_seed_others()
    {
        SeededSource one = new(7), same = new(7), other = new(8);
        Assert.Equal(Enumerable.Range(0, 100).Select(_ => one.NextNormal()), Enumerable.Range(0, 100).Select(_ => same.NextNormal()));
        Assert.NotEqual(one.NextBits(), other.NextBits());
    }

    [Fact]
    public void Normals_have_the_moments_of_the_normal_distribution()
    {
        const int count = 200_000;
        var source = new SeededSource(11);
        double first = 0, second = 0, fourth = 0, beyond = 0;
        for (var i = 0; i < count; i++)
        {
            var value = source.NextNormal();
            first += value;
            second += value * value;
            fourth += value * value * value * value;
            beyond += Math.Abs(value) > 1.959964 ? 1 : 0;
        }

        Assert.InRange(first / count, -0.009, 0.009);
        Assert.InRange(second / count, 0.987, 1.013);
        Assert.InRange(fourth / count, 2.91, 3.09);
        Assert.InRange(beyond / count, 0.0480, 0.0520);
    }

    [Theory]
    [InlineData(3)]
    [InlineData(400)]
    public void Chi_square_has_its_mean_and_its_variance(int degrees)
    {
        const int count = 40_000;
        var source = new SeededSource(12);
        var values = Enumerable.Range(0, count).Select(_ => source.NextChiSquare(degrees) / degrees).ToArray();
        var mean = values.Average();
        var variance = values.Sum(v => (v - mean) * (v - mean)) / count;
        Assert.InRange(mean, 1 - (4 * Math.Sqrt(2.0 / degrees / count)), 1 + (4 * Math.Sqrt(2.0 / degrees / count)));
        Assert.InRange(variance * degrees / 2, 0.94, 1.06);
    }
}
