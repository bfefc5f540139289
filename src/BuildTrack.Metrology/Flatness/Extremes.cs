using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The highest and the lowest point above a sloping plane.</summary>
/// <remarks>Four lanes and fused multiplication whatever the processor has, so that every machine finds the same digits.</remarks>
internal static class Extremes
{
    /// <summary>Largest and smallest z − slopeU·u − slopeW·w with their indices; on ties the lowest index.</summary>
    public static (double Top, int TopAt, double Bottom, int BottomAt) Of(
        ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z, double slopeU, double slopeW)
    {
        double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        int topAt = 0, bottomAt = 0;
        var i = 0;
        if (z.Length >= 8)
        {
            ref var firstU = ref MemoryMarshal.GetReference(u);
            ref var firstW = ref MemoryMarshal.GetReference(w);
            ref var firstZ = ref MemoryMarshal.GetReference(z);
            var byU = Vector256.Create(-slopeU);
            var byW = Vector256.Create(-slopeW);
            var step = Vector256.Create(4.0);
            var at = Vector256.Create(0.0, 1, 2, 3);
            var (tops, bottoms) = (Vector256.Create(double.NegativeInfinity), Vector256.Create(double.PositiveInfinity));
            var (topsAt, bottomsAt) = (at, at);
            for (; i <= z.Length - 4; i += 4)
            {
                var rest = Vector256.FusedMultiplyAdd(byU, Vector256.LoadUnsafe(ref firstU, (nuint)i), Vector256.LoadUnsafe(ref firstZ, (nuint)i));
                rest = Vector256.FusedMultiplyAdd(byW, Vector256.LoadUnsafe(ref firstW, (nuint)i), rest);
                var higher = Vector256.GreaterThan(rest, tops);
                var lower = Vector256.LessThan(rest, bottoms);
                tops = Vector256.ConditionalSelect(higher, rest, tops);
                bottoms = Vector256.ConditionalSelect(lower, rest, bottoms);
                topsAt = Vector256.ConditionalSelect(higher, at, topsAt);
                bottomsAt = Vector256.ConditionalSelect(lower, at, bottomsAt);
                at += step;
            }

            // Across the lanes without a branch: which lane holds it is anybody's guess, and a wrong one costs as much as four steps of the loop.
            var highest = Largest(tops);
            var lowest = -Largest(-bottoms);
            (top, topAt) = (highest[0], FirstOf(tops, highest, topsAt));
            (bottom, bottomAt) = (lowest[0], FirstOf(bottoms, lowest, bottomsAt));
        }

        for (; i < z.Length; i++)
        {
            var rest = Rest(u[i], w[i], z[i], slopeU, slopeW);
            if (rest > top)
                (top, topAt) = (rest, i);
            if (rest < bottom)
                (bottom, bottomAt) = (rest, i);
        }

        return (top, topAt, bottom, bottomAt);
    }

    /// <summary>The largest |value|; zero for none.</summary>
    public static double LargestMagnitude(ReadOnlySpan<double> values)
    {
        ref var first = ref MemoryMarshal.GetReference(values);
        var largest = Vector256<double>.Zero;
        var i = 0;
        for (; i <= values.Length - 4; i += 4)
            largest = Vector256.Max(largest, Vector256.Abs(Vector256.LoadUnsafe(ref first, (nuint)i)));
        var found = Math.Max(Math.Max(largest[0], largest[1]), Math.Max(largest[2], largest[3]));
        for (; i < values.Length; i++)
            found = Math.Max(found, Math.Abs(values[i]));
        return found;
    }

    /// <summary>What a point has above the sloping plane, in the arithmetic of the lanes.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Rest(double u, double w, double z, double slopeU, double slopeW) =>
        Math.FusedMultiplyAdd(-slopeW, w, Math.FusedMultiplyAdd(-slopeU, u, z));

    /// <summary>The largest lane, in every lane.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<double> Largest(Vector256<double> lanes)
    {
        var halves = Vector256.Max(lanes, Vector256.Shuffle(lanes, Vector256.Create(2L, 3, 0, 1)));
        return Vector256.Max(halves, Vector256.Shuffle(halves, Vector256.Create(1L, 0, 3, 2)));
    }

    /// <summary>The lowest index of the lanes that hold this value.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int FirstOf(Vector256<double> lanes, Vector256<double> value, Vector256<double> at) =>
        (int)-Largest(Vector256.ConditionalSelect(Vector256.Equals(lanes, value), -at, Vector256.Create(double.NegativeInfinity)))[0];
}
