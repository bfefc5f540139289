using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Rows of numbers in groups of four lanes: the same bits on every machine, whatever width its registers have.</summary>
/// <remarks>Every row here has a length that is a multiple of four.</remarks>
internal static class Lanes
{
    /// <summary>target += a · row.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static void Add(Span<double> target, ReadOnlySpan<double> row, double a)
    {
        ref var t = ref MemoryMarshal.GetReference(target);
        ref var r = ref MemoryMarshal.GetReference(row[..target.Length]);
        var factor = Vector256.Create(a);
        for (nuint i = 0; i < (nuint)target.Length; i += 4)
            Vector256.FusedMultiplyAdd(factor, Vector256.LoadUnsafe(ref r, i), Vector256.LoadUnsafe(ref t, i)).StoreUnsafe(ref t, i);
    }

    /// <summary>target += a.0 · row + a.1 · next row + … of four rows that stand a stride apart.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static void Add(Span<double> target, ReadOnlySpan<double> rows, int stride, Vector256<double> a)
    {
        ref var t = ref MemoryMarshal.GetReference(target);
        ref var r0 = ref MemoryMarshal.GetReference(rows[..((3 * stride) + target.Length)]);
        ref var r1 = ref Unsafe.Add(ref r0, stride);
        ref var r2 = ref Unsafe.Add(ref r1, stride);
        ref var r3 = ref Unsafe.Add(ref r2, stride);
        var a0 = Vector256.Create(a.GetElement(0));
        var a1 = Vector256.Create(a.GetElement(1));
        var a2 = Vector256.Create(a.GetElement(2));
        var a3 = Vector256.Create(a.GetElement(3));
        for (nuint i = 0; i < (nuint)target.Length; i += 4)
        {
            var sum = Vector256.FusedMultiplyAdd(a0, Vector256.LoadUnsafe(ref r0, i), Vector256.LoadUnsafe(ref t, i));
            sum = Vector256.FusedMultiplyAdd(a1, Vector256.LoadUnsafe(ref r1, i), sum);
            sum = Vector256.FusedMultiplyAdd(a2, Vector256.LoadUnsafe(ref r2, i), sum);
            Vector256.FusedMultiplyAdd(a3, Vector256.LoadUnsafe(ref r3, i), sum).StoreUnsafe(ref t, i);
        }
    }

    /// <summary>Sum of a row.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static double Sum(ReadOnlySpan<double> row)
    {
        ref var r = ref MemoryMarshal.GetReference(row);
        var sum = Vector256<double>.Zero;
        for (nuint i = 0; i < (nuint)row.Length; i += 4)
            sum += Vector256.LoadUnsafe(ref r, i);
        return Across(sum);
    }

    /// <summary>Sum of the products of two rows.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static double Product(ReadOnlySpan<double> row, ReadOnlySpan<double> other)
    {
        ref var r = ref MemoryMarshal.GetReference(row);
        ref var o = ref MemoryMarshal.GetReference(other[..row.Length]);
        var sum = Vector256<double>.Zero;
        for (nuint i = 0; i < (nuint)row.Length; i += 4)
            sum = Vector256.FusedMultiplyAdd(Vector256.LoadUnsafe(ref r, i), Vector256.LoadUnsafe(ref o, i), sum);
        return Across(sum);
    }

    /// <summary>(high + low) += a · row, each product exact and the sums to twice the digits; gives the sum of all that was added.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static (double High, double Low) AddExactly(Span<double> high, Span<double> low, ReadOnlySpan<double> row, double a)
    {
        ref var h = ref MemoryMarshal.GetReference(high);
        ref var l = ref MemoryMarshal.GetReference(low[..high.Length]);
        ref var r = ref MemoryMarshal.GetReference(row[..high.Length]);
        var factor = Vector256.Create(a);
        Vector256<double> allHigh = Vector256<double>.Zero, allLow = Vector256<double>.Zero;
        for (nuint i = 0; i < (nuint)high.Length; i += 4)
        {
            var value = Vector256.LoadUnsafe(ref r, i);
            var product = factor * value;
            var rest = Vector256.FusedMultiplyAdd(factor, value, -product);

            // Knuth's sum of two: what rounding took from it is kept exactly.
            var old = Vector256.LoadUnsafe(ref h, i);
            var sum = old + product;
            var part = sum - old;
            sum.StoreUnsafe(ref h, i);
            ((old - (sum - part)) + (product - part) + rest + Vector256.LoadUnsafe(ref l, i)).StoreUnsafe(ref l, i);
            sum = allHigh + product;
            part = sum - allHigh;
            allLow += (allHigh - (sum - part)) + (product - part) + rest;
            allHigh = sum;
        }

        (double High, double Low) total = (0, Across(allLow));
        for (var lane = 0; lane < 4; lane++)
            total = Plus(total, allHigh.GetElement(lane));
        return total;
    }

    /// <summary>A sum of two doubles and one more, with what rounding took.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static (double High, double Low) Plus((double High, double Low) to, double value)
    {
        var sum = to.High + value;
        var part = sum - to.High;
        return (sum, to.Low + ((to.High - (sum - part)) + (value - part)));
    }

    private static double Across(Vector256<double> lanes) => (lanes.GetElement(0) + lanes.GetElement(1)) + (lanes.GetElement(2) + lanes.GetElement(3));
}
