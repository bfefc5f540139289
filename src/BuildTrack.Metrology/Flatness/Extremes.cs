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

            Take(tops[0], topsAt[0], ref top, ref topAt, 1);
            Take(tops[1], topsAt[1], ref top, ref topAt, 1);
            Take(tops[2], topsAt[2], ref top, ref topAt, 1);
            Take(tops[3], topsAt[3], ref top, ref topAt, 1);
            Take(bottoms[0], bottomsAt[0], ref bottom, ref bottomAt, -1);
            Take(bottoms[1], bottomsAt[1], ref bottom, ref bottomAt, -1);
            Take(bottoms[2], bottomsAt[2], ref bottom, ref bottomAt, -1);
            Take(bottoms[3], bottomsAt[3], ref bottom, ref bottomAt, -1);
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

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Take(double value, double at, ref double best, ref int bestAt, int sign)
    {
        if (sign * value > sign * best || (value == best && at < bestAt))
            (best, bestAt) = (value, (int)at);
    }
}
