namespace BuildTrack.Metrology.Random;

/// <summary>Normal deviates with mean 0 and standard deviation 1 from a seed; the same bits on every machine.</summary>
/// <remarks>Generator: xoshiro256** 1.0 (Blackman and Vigna, ACM Trans. Math. Softw. 47(4), 2021), seeded by splitmix64. Normals by Marsaglia's polar
/// method, which needs only logarithm and square root.</remarks>
internal sealed class NormalNoise
{
    private ulong a;
    private ulong b;
    private ulong c;
    private ulong d;
    private double spare;
    private bool hasSpare;

    public NormalNoise(ulong seed)
    {
        (a, b, c, d) = (Split(ref seed), Split(ref seed), Split(ref seed), Split(ref seed));
    }

    /// <summary>The next deviate, dimensionless.</summary>
    public double Next()
    {
        if (hasSpare)
        {
            hasSpare = false;
            return spare;
        }

        while (true)
        {
            var (u, v) = ((2 * Uniform()) - 1, (2 * Uniform()) - 1);
            var s = (u * u) + (v * v);
            if (s is > 0 and < 1)
            {
                var factor = Math.Sqrt(-2 * Math.Log(s) / s);
                (spare, hasSpare) = (v * factor, true);
                return u * factor;
            }
        }
    }

    /// <summary>The next number from 0 up to but not including 1, in steps of 2⁻⁵³.</summary>
    private double Uniform()
    {
        var result = ulong.RotateLeft(b * 5, 7) * 9;
        var t = b << 17;
        c ^= a;
        d ^= b;
        b ^= c;
        a ^= d;
        c ^= t;
        d = ulong.RotateLeft(d, 45);
        return (result >> 11) * (1.0 / (1UL << 53));
    }

    private static ulong Split(ref ulong state)
    {
        var z = state += 0x9E3779B97F4A7C15;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
