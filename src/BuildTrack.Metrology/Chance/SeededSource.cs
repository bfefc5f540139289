using System.Numerics;

namespace BuildTrack.Metrology.Chance;

/// <summary>Random numbers that are the same on every machine for the same seed.</summary>
/// <remarks>
/// <para>Generator xoshiro256** 1.0 (D. Blackman, S. Vigna, 2018), state filled by SplitMix64 from the seed, as its authors advise.
/// Period 2²⁵⁶ − 1. Not for secrets.</para>
/// <para>Normals by the polar method (G. Marsaglia, 1964): only log, sqrt and the four operations, which agree between server and browser;
/// sine and exponential do not.</para>
/// </remarks>
public sealed class SeededSource
{
    private ulong _s0;
    private ulong _s1;
    private ulong _s2;
    private ulong _s3;
    private double _spare;
    private bool _hasSpare;

    public SeededSource(ulong seed)
    {
        _s0 = SplitMix(ref seed);
        _s1 = SplitMix(ref seed);
        _s2 = SplitMix(ref seed);
        _s3 = SplitMix(ref seed);
    }

    /// <summary>64 random bits.</summary>
    public ulong NextBits()
    {
        var result = BitOperations.RotateLeft(_s1 * 5, 7) * 9;
        var t = _s1 << 17;
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= t;
        _s3 = BitOperations.RotateLeft(_s3, 45);
        return result;
    }

    /// <summary>A number from 0 (included) to 1 (excluded), a multiple of 2⁻⁵³; dimensionless.</summary>
    public double NextUniform() => (NextBits() >> 11) * (1.0 / 9007199254740992.0);

    /// <summary>A whole number from 0 (included) to <paramref name="below"/> (excluded), each equally likely.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="below"/> is not above zero.</exception>
    public int NextInt(int below)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(below);
        var refused = (0UL - (ulong)below) % (ulong)below;
        while (true)
        {
            var bits = NextBits();
            if (bits >= refused)
                return (int)(bits % (ulong)below);
        }
    }

    /// <summary>A standard normal number: mean 0, standard deviation 1; dimensionless.</summary>
    public double NextNormal()
    {
        if (_hasSpare)
        {
            _hasSpare = false;
            return _spare;
        }

        while (true)
        {
            var a = (2 * NextUniform()) - 1;
            var b = (2 * NextUniform()) - 1;
            var square = (a * a) + (b * b);
            if (square is >= 1 or 0)
                continue;
            var factor = Math.Sqrt(-2 * Math.Log(square) / square);
            _spare = b * factor;
            _hasSpare = true;
            return a * factor;
        }
    }

    /// <summary>A χ² number: the sum of the squares of that many standard normals.</summary>
    /// <remarks>Up to 100 degrees of freedom by definition; beyond, E. Wilson's and M. Hilferty's cube (1931), whose quantiles are right to
    /// 10⁻⁴ there.</remarks>
    /// <param name="degreesOfFreedom">One or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">Below one.</exception>
    public double NextChiSquare(int degreesOfFreedom)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(degreesOfFreedom, 1);
        if (degreesOfFreedom > 100)
        {
            var spread = 2.0 / (9.0 * degreesOfFreedom);
            var root = 1 - spread + (NextNormal() * Math.Sqrt(spread));
            return degreesOfFreedom * root * root * root;
        }

        double sum = 0;
        for (var k = 0; k < degreesOfFreedom; k++)
        {
            var normal = NextNormal();
            sum += normal * normal;
        }

        return sum;
    }

    private static ulong SplitMix(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15;
        var z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
