using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The heights of many points above one plane, kept only as the highest and the lowest of each block of neighbours in the input.</summary>
/// <remarks>What a later plane can change is bounded by its tilt against this one, so that only few blocks need a second look.</remarks>
internal sealed class BlockScan
{
    /// <summary>About as many blocks, whatever the number of points.</summary>
    private const int Blocks = 2048;

    private const int SmallestBlock = 64;

    private BlockScan(PlanePlace plane, int size, int blocks)
    {
        Plane = plane;
        Size = size;
        Tops = new double[blocks];
        Bottoms = new double[blocks];
    }

    public PlanePlace Plane { get; }

    /// <summary>Points in a block; the last one may be shorter.</summary>
    public int Size { get; }

    /// <summary>Highest and lowest height of each block above the plane, in the unit of z.</summary>
    public double[] Tops { get; }

    public double[] Bottoms { get; }

    public double Top { get; private set; } = double.NegativeInfinity;

    public double Bottom { get; private set; } = double.PositiveInfinity;

    /// <summary>Σ of the squared heights above the plane.</summary>
    public double SumOfSquares { get; private set; }

    /// <summary>Largest |x − plane's x| and |y − plane's y|, in the unit of x and y.</summary>
    public double ExtentX { get; private set; }

    public double ExtentY { get; private set; }

    public static BlockScan Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, PlanePlace plane)
    {
        var size = Math.Max(SmallestBlock, ((x.Length / Blocks) + 7) & ~7);
        var blocks = (x.Length + size - 1) / size;
        var scan = new BlockScan(plane, size, blocks);
        Span<double> found = stackalloc double[5];
        for (var block = 0; block < blocks; block++)
        {
            var (begin, count) = scan.Range(block, x.Length);
            OfBlock(x.Slice(begin, count), y.Slice(begin, count), z.Slice(begin, count), plane, found);
            (scan.Tops[block], scan.Bottoms[block]) = (found[0], found[1]);
            scan.Top = Math.Max(scan.Top, found[0]);
            scan.Bottom = Math.Min(scan.Bottom, found[1]);
            scan.SumOfSquares += found[2];
            scan.ExtentX = Math.Max(scan.ExtentX, found[3]);
            scan.ExtentY = Math.Max(scan.ExtentY, found[4]);
        }

        return scan;
    }

    /// <summary>First point of a block and how many it has.</summary>
    public (int Begin, int Count) Range(int block, int points)
    {
        var begin = block * Size;
        return (begin, Math.Min(Size, points - begin));
    }

    /// <summary>The most by which a height above another plane can differ from that above this one, the base place being the same.</summary>
    public double Reach(in PlanePlace other) =>
        (Math.Abs(other.AlongX - Plane.AlongX) * ExtentX) + (Math.Abs(other.AlongY - Plane.AlongY) * ExtentY);

    /// <summary>How many blocks have a point above one level or below the other.</summary>
    public int Beyond(double high, double low)
    {
        var count = 0;
        for (var block = 0; block < Tops.Length; block++)
            count += Tops[block] > high || Bottoms[block] < low ? 1 : 0;
        return count;
    }

    /// <summary>The highest or the lowest point of a block above a plane; on ties the lowest index.</summary>
    public (double Height, int At) OutermostIn(int block, ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, bool high)
    {
        var (begin, count) = Range(block, x.Length);
        ref var firstX = ref MemoryMarshal.GetReference(x);
        ref var firstY = ref MemoryMarshal.GetReference(y);
        ref var firstZ = ref MemoryMarshal.GetReference(z);
        Vector256<double> atX = Vector256.Create(plane.X), atY = Vector256.Create(plane.Y), atZ = Vector256.Create(plane.Z);
        Vector256<double> byX = Vector256.Create(-plane.AlongX), byY = Vector256.Create(-plane.AlongY), sign = Vector256.Create(high ? 1.0 : -1.0);
        Vector256<double> best = Vector256.Create(double.NegativeInfinity), index = Vector256.Create(0.0, 1, 2, 3), step = Vector256.Create(4.0), bestAt = index;
        var whole = begin + (count & ~3);
        for (var i = begin; i < whole; i += 4)
        {
            var rest = Vector256.FusedMultiplyAdd(byX, Vector256.LoadUnsafe(ref firstX, (nuint)i) - atX, Vector256.LoadUnsafe(ref firstZ, (nuint)i) - atZ);
            rest = sign * Vector256.FusedMultiplyAdd(byY, Vector256.LoadUnsafe(ref firstY, (nuint)i) - atY, rest);
            var better = Vector256.GreaterThan(rest, best);
            best = Vector256.ConditionalSelect(better, rest, best);
            bestAt = Vector256.ConditionalSelect(better, index, bestAt);
            index += step;
        }

        var (found, at) = (double.NegativeInfinity, begin);
        for (var lane = 0; lane < 4; lane++)
        {
            var here = begin + (int)bestAt[lane];
            if (best[lane] > found || (best[lane] == found && here < at))
                (found, at) = (best[lane], here);
        }

        for (var i = whole; i < begin + count; i++)
        {
            var rest = sign[0] * plane.Above(x[i], y[i], z[i]);
            if (rest > found)
                (found, at) = (rest, i);
        }

        return (sign[0] * found, at);
    }

    /// <summary>The blocks with the highest tops, or the lowest bottoms: at most so many, in no order.</summary>
    public int[] Outermost(int most, bool high)
    {
        var blocks = new int[Tops.Length];
        var keys = new double[Tops.Length];
        for (var i = 0; i < blocks.Length; i++)
            (blocks[i], keys[i]) = (i, high ? -Tops[i] : Bottoms[i]);
        if (blocks.Length <= most)
            return blocks;

        // Selection by partition (Hoare 1961): the first `most` are the smallest, unsorted.
        int low = 0, up = blocks.Length - 1;
        while (low < up)
        {
            var pivot = keys[(low + up) / 2];
            int i = low, j = up;
            while (i <= j)
            {
                while (keys[i] < pivot)
                    i++;
                while (keys[j] > pivot)
                    j--;
                if (i > j)
                    continue;
                (keys[i], keys[j]) = (keys[j], keys[i]);
                (blocks[i], blocks[j]) = (blocks[j], blocks[i]);
                i++;
                j--;
            }

            if (most - 1 <= j)
                up = j;
            else if (most - 1 >= i)
                low = i;
            else
                break;
        }

        return blocks[..most];
    }

    // One loop without a call: everything stays in registers.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void OfBlock(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, Span<double> found)
    {
        ref var firstX = ref MemoryMarshal.GetReference(x);
        ref var firstY = ref MemoryMarshal.GetReference(y);
        ref var firstZ = ref MemoryMarshal.GetReference(z);
        Vector256<double> atX = Vector256.Create(plane.X), atY = Vector256.Create(plane.Y), atZ = Vector256.Create(plane.Z);
        Vector256<double> byX = Vector256.Create(-plane.AlongX), byY = Vector256.Create(-plane.AlongY);
        Vector256<double> tops = Vector256.Create(double.NegativeInfinity), bottoms = Vector256.Create(double.PositiveInfinity);
        Vector256<double> squares = default, farX = default, farY = default;
        nuint i = 0;
        var whole = (nuint)(x.Length & ~3);
        for (; i < whole; i += 4)
        {
            var dx = Vector256.LoadUnsafe(ref firstX, i) - atX;
            var dy = Vector256.LoadUnsafe(ref firstY, i) - atY;
            var rest = Vector256.FusedMultiplyAdd(byX, dx, Vector256.LoadUnsafe(ref firstZ, i) - atZ);
            rest = Vector256.FusedMultiplyAdd(byY, dy, rest);
            tops = Vector256.MaxNative(rest, tops);
            bottoms = Vector256.MinNative(rest, bottoms);
            squares = Vector256.FusedMultiplyAdd(rest, rest, squares);
            farX = Vector256.MaxNative(Vector256.Abs(dx), farX);
            farY = Vector256.MaxNative(Vector256.Abs(dy), farY);
        }

        double top = double.NegativeInfinity, bottom = double.PositiveInfinity, mostX = 0, mostY = 0, sum = squares[0] + squares[1] + (squares[2] + squares[3]);
        for (var lane = 0; lane < 4; lane++)
        {
            top = Math.Max(top, tops[lane]);
            bottom = Math.Min(bottom, bottoms[lane]);
            mostX = Math.Max(mostX, farX[lane]);
            mostY = Math.Max(mostY, farY[lane]);
        }

        for (var k = (int)whole; k < x.Length; k++)
        {
            var rest = plane.Above(x[k], y[k], z[k]);
            top = Math.Max(top, rest);
            bottom = Math.Min(bottom, rest);
            sum += rest * rest;
            mostX = Math.Max(mostX, Math.Abs(x[k] - plane.X));
            mostY = Math.Max(mostY, Math.Abs(y[k] - plane.Y));
        }

        (found[0], found[1], found[2], found[3], found[4]) = (top, bottom, sum, mostX, mostY);
    }
}

/// <summary>A plane through a place, with its slopes in units of z per unit of x and y.</summary>
internal readonly record struct PlanePlace(double X, double Y, double Z, double AlongX, double AlongY)
{
    /// <summary>Its height where x and y are zero.</summary>
    public double Level => Z - (AlongX * X) - (AlongY * Y);

    /// <summary>Height of a point above the plane along z, in the arithmetic of the lanes.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public double Above(double x, double y, double z) =>
        Math.FusedMultiplyAdd(-AlongY, y - Y, Math.FusedMultiplyAdd(-AlongX, x - X, z - Z));

    /// <summary>Heights of four points.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector256<double> Above(Vector256<double> x, Vector256<double> y, Vector256<double> z) => Vector256.FusedMultiplyAdd(
        Vector256.Create(-AlongY), y - Vector256.Create(Y), Vector256.FusedMultiplyAdd(Vector256.Create(-AlongX), x - Vector256.Create(X), z - Vector256.Create(Z)));
}
