namespace BuildTrack.Metrology.Flatness;

/// <summary>The points of one calculation: all lengths in micrometres, centred, and once more as deviations from the
/// least-squares plane of heights along z.</summary>
internal sealed class PointSet
{
    private PointSet(PlanFrame frame, double[] x, double[] y, double[] z, double[] rest)
    {
        Frame = frame;
        X = x;
        Y = y;
        Z = z;
        Rest = rest;
    }

    public PlanFrame Frame { get; }

    /// <summary>Centred coordinates, µm.</summary>
    public double[] X { get; }

    public double[] Y { get; }

    public double[] Z { get; }

    /// <summary>Deviations from the least-squares plane of heights along z, µm; mean zero.</summary>
    public double[] Rest { get; }

    public int Count => X.Length;

    /// <summary>Slopes of that plane in the frame, µm per unit of u and w.</summary>
    public double SlopeU { get; private init; }

    public double SlopeW { get; private init; }

    /// <summary>Height of that plane at the mean of x and y, µm.</summary>
    public double MeanZ { get; private init; }

    /// <summary>What rounding of the heights themselves can pretend, µm.</summary>
    public double Floor { get; private init; }

    public static PointSet Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)
    {
        var count = xMm.Length;
        var frame = PlanFrame.Of(xMm, yMm);
        double[] x = new double[count], y = new double[count], z = new double[count];
        var rest = heightsUm.ToArray();
        var (slopeU, slopeW, mean) = frame.Level(rest);
        double largest = 0, largestSpread = 0;
        for (var i = 0; i < count; i++)
        {
            x[i] = (xMm[i] - frame.MeanX) * Length.MicrometresPerMillimetre;
            y[i] = (yMm[i] - frame.MeanY) * Length.MicrometresPerMillimetre;
            z[i] = heightsUm[i] - mean;
            largest = Math.Max(largest, Math.Abs(heightsUm[i]));
            largestSpread = Math.Max(largestSpread, Math.Abs(z[i]));
        }

        return new PointSet(frame, x, y, z, rest)
        {
            SlopeU = slopeU,
            SlopeW = slopeW,
            MeanZ = mean,
            Floor = 8 * Rounding.Unit * Math.Max(largestSpread, largest / 8),
        };
    }

    public Vector3 Place(int i) => new(X[i], Y[i], Z[i]);

    /// <summary>Slopes along x and y as pure numbers (µm of height per µm of plan) of a plane given in the frame.</summary>
    public (double AlongX, double AlongY) Slopes(double slopeU, double slopeW)
    {
        var (alongX, alongY) = Frame.Slopes(slopeU, slopeW);
        return (alongX / Length.MicrometresPerMillimetre, alongY / Length.MicrometresPerMillimetre);
    }

    /// <summary>The plane at distance <paramref name="shift"/> (µm, along the normal) from the centre; null where it stands upright.</summary>
    public PlaneFit? Plane(Vector3 normal, double shift)
    {
        const double UmPerM = 1e6;
        if (Math.Abs(normal.Z) < Upright)
            return null;
        double slopeX = -normal.X / normal.Z, slopeY = -normal.Y / normal.Z;
        var offset = MeanZ + (shift / normal.Z)
            - (slopeX * Frame.MeanX * Length.MicrometresPerMillimetre) - (slopeY * Frame.MeanY * Length.MicrometresPerMillimetre);
        return new PlaneFit(slopeX * UmPerM, slopeY * UmPerM, offset);
    }

    /// <summary>A plane whose unit normal rises less than this counts as upright: its slopes mean nothing.</summary>
    public const double Upright = 1e-9;
}
