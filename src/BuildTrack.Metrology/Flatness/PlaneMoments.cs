using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.Flatness;

/// <summary>Sums of a set of points about their mean, from one pass over the data, and the plane of least squared heights they give.</summary>
/// <remarks>
/// <para>The mean of a few points is taken off first: 10⁶ mm away from the origin the raw sums would lose every digit of a micrometre. Blocks of
/// some thousand points are summed in four lanes and added with compensation (Neumaier 1974), so that the error does not grow with the number
/// of points.</para>
/// <para>Nothing is checked: a NaN or an infinite number makes a sum that is not finite.</para>
/// </remarks>
internal readonly record struct PlaneMoments
{
    private const int Block = 4096;
    private const int Sums = 9;

    /// <summary>Number of points.</summary>
    public int Count { get; private init; }

    /// <summary>Means, in the units of the input.</summary>
    public double MeanX { get; private init; }

    public double MeanY { get; private init; }

    public double MeanZ { get; private init; }

    /// <summary>Σ(x − MeanX)² and so on.</summary>
    public double XX { get; private init; }

    public double YY { get; private init; }

    public double XY { get; private init; }

    public double XZ { get; private init; }

    public double YZ { get; private init; }

    public double ZZ { get; private init; }

    /// <summary>Whether every sum is a finite number: if so, every coordinate is.</summary>
    public bool IsFinite => double.IsFinite(XX + YY + ZZ + XY + XZ + YZ + MeanX + MeanY + MeanZ);

    /// <summary>Slopes along x and y of the plane of least squared heights, units of z per unit of x; the plane passes through the means.</summary>
    /// <remarks>Elimination with the longer axis first: a long narrow bed is as well conditioned as a square one.</remarks>
    public (double AlongX, double AlongY) Slopes() => Slopes(XZ, YZ);

    /// <summary>The slopes that have these moments with z.</summary>
    public (double AlongX, double AlongY) Slopes(double xz, double yz)
    {
        if (XX >= YY)
        {
            var shear = XY / XX;
            var second = (yz - (shear * xz)) / (YY - (shear * XY));
            return ((xz / XX) - (shear * second), second);
        }
        else
        {
            var shear = XY / YY;
            var first = (xz - (shear * yz)) / (XX - (shear * XY));
            return (first, (yz / YY) - (shear * first));
        }
    }

    /// <summary>What the shorter axis spreads beside its part along the longer one, relative to the longer one; zero for points on one line.</summary>
    public double Breadth
    {
        get
        {
            var (longer, shorter) = XX >= YY ? (XX, YY) : (YY, XX);
            var rest = shorter - (XY * XY / longer);
            return longer > 0 && rest > 0 ? Math.Sqrt(rest / longer) : 0;
        }
    }

    /// <summary>What the points are at least wide in plan in any direction, in the unit of x and y: the range of a series is never less than twice its
    /// standard deviation.</summary>
    public double PlanWidth
    {
        get
        {
            var half = (XX - YY) / 2;
            var least = ((XX + YY) / 2) - Math.Sqrt((half * half) + (XY * XY));
            return least > 0 ? 2 * Math.Sqrt(least / Count) : 0;
        }
    }

    [SkipLocalsInit]
    public static PlaneMoments Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z)
    {
        var (shiftX, shiftY, shiftZ) = Sample(x, y, z);
        Span<double> block = stackalloc double[Sums], total = stackalloc double[Sums], lost = stackalloc double[Sums];
        total.Clear();
        lost.Clear();
        for (var begin = 0; begin < x.Length; begin += Block)
        {
            var count = Math.Min(Block, x.Length - begin);
            OfBlock(x.Slice(begin, count), y.Slice(begin, count), z.Slice(begin, count), shiftX, shiftY, shiftZ, block);
            for (var k = 0; k < Sums; k++)
            {
                var sum = total[k] + block[k];
                lost[k] += Math.Abs(total[k]) >= Math.Abs(block[k]) ? total[k] - sum + block[k] : block[k] - sum + total[k];
                total[k] = sum;
            }
        }

        for (var k = 0; k < Sums; k++)
            total[k] += lost[k];
        double n = x.Length, mx = total[0] / n, my = total[1] / n, mz = total[2] / n;
        return new PlaneMoments
        {
            Count = x.Length,
            MeanX = shiftX + mx,
            MeanY = shiftY + my,
            MeanZ = shiftZ + mz,
            XX = total[3] - (mx * total[0]),
            YY = total[4] - (my * total[1]),
            ZZ = total[5] - (mz * total[2]),
            XY = total[6] - (mx * total[1]),
            XZ = total[7] - (mx * total[2]),
            YZ = total[8] - (my * total[2]),
        };
    }

    /// <summary>About the mean: of some points spread over the series.</summary>
    private static (double X, double Y, double Z) Sample(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z)
    {
        var taken = x.Length > Block ? 32 : 8;
        var step = Math.Max(1, x.Length / taken);
        double firstX = x[0], firstY = y[0], firstZ = z[0], sumX = 0, sumY = 0, sumZ = 0;
        var count = 0;
        for (var i = 0; i < x.Length; i += step, count++)
        {
            sumX += x[i] - firstX;
            sumY += y[i] - firstY;
            sumZ += z[i] - firstZ;
        }

        return (firstX + (sumX / count), firstY + (sumY / count), firstZ + (sumZ / count));
    }

    // In an order of our own: every machine adds the lanes alike.
    private static double Sum(Vector256<double> lanes) => lanes[0] + lanes[1] + (lanes[2] + lanes[3]);

    // One loop without a call: all sums stay in registers.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void OfBlock(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, double shiftX, double shiftY, double shiftZ, Span<double> sums)
    {
        ref var firstX = ref MemoryMarshal.GetReference(x);
        ref var firstY = ref MemoryMarshal.GetReference(y);
        ref var firstZ = ref MemoryMarshal.GetReference(z);
        Vector256<double> byX = Vector256.Create(shiftX), byY = Vector256.Create(shiftY), byZ = Vector256.Create(shiftZ);
        Vector256<double> sx = default, sy = default, sz = default, xx = default, yy = default, zz = default, xy = default, xz = default, yz = default;
        nuint i = 0;
        var whole = (nuint)(x.Length & ~3);
        for (; i < whole; i += 4)
        {
            var dx = Vector256.LoadUnsafe(ref firstX, i) - byX;
            var dy = Vector256.LoadUnsafe(ref firstY, i) - byY;
            var dz = Vector256.LoadUnsafe(ref firstZ, i) - byZ;
            sx += dx;
            sy += dy;
            sz += dz;
            xx = Vector256.FusedMultiplyAdd(dx, dx, xx);
            yy = Vector256.FusedMultiplyAdd(dy, dy, yy);
            zz = Vector256.FusedMultiplyAdd(dz, dz, zz);
            xy = Vector256.FusedMultiplyAdd(dx, dy, xy);
            xz = Vector256.FusedMultiplyAdd(dx, dz, xz);
            yz = Vector256.FusedMultiplyAdd(dy, dz, yz);
        }

        sums[0] = Sum(sx);
        sums[1] = Sum(sy);
        sums[2] = Sum(sz);
        sums[3] = Sum(xx);
        sums[4] = Sum(yy);
        sums[5] = Sum(zz);
        sums[6] = Sum(xy);
        sums[7] = Sum(xz);
        sums[8] = Sum(yz);
        for (var k = (int)whole; k < x.Length; k++)
        {
            double dx = x[k] - shiftX, dy = y[k] - shiftY, dz = z[k] - shiftZ;
            sums[0] += dx;
            sums[1] += dy;
            sums[2] += dz;
            sums[3] += dx * dx;
            sums[4] += dy * dy;
            sums[5] += dz * dz;
            sums[6] += dx * dy;
            sums[7] += dx * dz;
            sums[8] += dy * dz;
        }
    }
}
