namespace BuildTrack.Metrology.Flatness;

/// <summary>Points about their centroid, all three coordinates in µm: over a long bed, or far from the origin, raw sums lose digits.</summary>
internal sealed class Cloud
{
    public Cloud(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)
    {
        Count = xMm.Length;
        (MeanX, X) = Centre(xMm, 1000);
        (MeanY, Y) = Centre(yMm, 1000);
        (MeanZ, Z) = Centre(heightsUm, 1);
    }

    public int Count { get; }

    public double[] X { get; }

    public double[] Y { get; }

    public double[] Z { get; }

    public double MeanX { get; }

    public double MeanY { get; }

    public double MeanZ { get; }

    /// <summary>Coordinates along the axes of a frame.</summary>
    public double[] Along(Vector3 axis)
    {
        var values = new double[Count];
        for (var i = 0; i < Count; i++)
        {
            values[i] = (axis.X * X[i]) + (axis.Y * Y[i]) + (axis.Z * Z[i]);
        }

        return values;
    }

    /// <summary>Two passes: the second takes out what the rounding of the first left in.</summary>
    private static (double Mean, double[] Values) Centre(ReadOnlySpan<double> values, double factor)
    {
        var first = values.Length == 0 ? 0 : values[0];
        var sum = 0.0;
        foreach (var value in values)
        {
            sum += value - first;
        }

        var shift = values.Length == 0 ? 0 : sum / values.Length;
        var centred = new double[values.Length];
        for (var i = 0; i < values.Length; i++)
        {
            centred[i] = ((values[i] - first) - shift) * factor;
        }

        return ((first + shift) * factor, centred);
    }
}

/// <summary>A direction or point in space.</summary>
internal readonly record struct Vector3(double X, double Y, double Z)
{
    public double Length => Math.Sqrt((X * X) + (Y * Y) + (Z * Z));

    public Vector3 Unit()
    {
        var length = Length;
        return new Vector3(X / length, Y / length, Z / length);
    }

    public Vector3 Cross(Vector3 o) => new((Y * o.Z) - (Z * o.Y), (Z * o.X) - (X * o.Z), (X * o.Y) - (Y * o.X));

    /// <summary>The same direction with z (else y, else x) upward.</summary>
    public Vector3 Upward() =>
        Z < 0 || (Z == 0 && (Y < 0 || (Y == 0 && X < 0))) ? new Vector3(-X, -Y, -Z) : this;

    /// <summary>Two unit vectors square to this unit vector and to each other. For the z axis they are the x and y axes.</summary>
    public (Vector3 U, Vector3 V) Across()
    {
        // After Duff et al., Building an orthonormal basis, revisited, J. Computer Graphics Techniques 6(1), 2017.
        var sign = Z >= 0 ? 1.0 : -1.0;
        var a = -1.0 / (sign + Z);
        var b = X * Y * a;
        return (new Vector3(1 + (sign * X * X * a), sign * b, -sign * X), new Vector3(b, sign + (Y * Y * a), -Y));
    }
}

/// <summary>Eigenvectors of a symmetric 3 × 3 matrix by Jacobi rotations: only square roots, so that every machine gives the same bits.</summary>
internal static class Symmetric3
{
    /// <summary>Eigenvalues ascending, with their unit eigenvectors.</summary>
    public static (double[] Values, Vector3[] Vectors) Solve(double xx, double xy, double xz, double yy, double yz, double zz)
    {
        double[,] a = { { xx, xy, xz }, { xy, yy, yz }, { xz, yz, zz } };
        double[,] v = { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } };
        for (var sweep = 0; sweep < 60; sweep++)
        {
            var off = Math.Abs(a[0, 1]) + Math.Abs(a[0, 2]) + Math.Abs(a[1, 2]);
            if (off == 0)
            {
                break;
            }

            Rotate(a, v, 0, 1);
            Rotate(a, v, 0, 2);
            Rotate(a, v, 1, 2);
        }

        var order = new[] { 0, 1, 2 };
        Array.Sort(order, (i, j) => a[i, i].CompareTo(a[j, j]));
        return ([a[order[0], order[0]], a[order[1], order[1]], a[order[2], order[2]]],
            [.. order.Select(k => new Vector3(v[0, k], v[1, k], v[2, k]).Unit())]);
    }

    private static void Rotate(double[,] a, double[,] v, int p, int q)
    {
        if (a[p, q] == 0)
        {
            return;
        }

        var theta = (a[q, q] - a[p, p]) / (2 * a[p, q]);
        var t = (theta >= 0 ? 1 : -1) / (Math.Abs(theta) + Math.Sqrt((theta * theta) + 1));
        if (!double.IsFinite(theta))
        {
            t = 0;
        }

        var c = 1 / Math.Sqrt((t * t) + 1);
        var s = t * c;
        for (var k = 0; k < 3; k++)
        {
            (a[k, p], a[k, q]) = ((c * a[k, p]) - (s * a[k, q]), (s * a[k, p]) + (c * a[k, q]));
        }

        for (var k = 0; k < 3; k++)
        {
            (a[p, k], a[q, k]) = ((c * a[p, k]) - (s * a[q, k]), (s * a[p, k]) + (c * a[q, k]));
        }

        for (var k = 0; k < 3; k++)
        {
            (v[k, p], v[k, q]) = ((c * v[k, p]) - (s * v[k, q]), (s * v[k, p]) + (c * v[k, q]));
        }

        (a[p, q], a[q, p]) = (0, 0);
    }
}
