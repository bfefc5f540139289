namespace BuildTrack.Metrology.Flatness;

/// <summary>The vertical minimum zone of many sets of heights over the same stations.</summary>
internal sealed class NoiseZone
{
    private readonly double[] x;
    private readonly double[] y;
    private readonly (int A, int B, int C) start;

    public NoiseZone(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm)
    {
        var cloud = new Cloud(xMm, yMm, new double[xMm.Length]);
        start = FlatnessCalculation.Spread(cloud.X, cloud.Y) ?? throw new ArgumentException("The stations lie on one line in plan.", nameof(xMm));
        var extent = cloud.X.Concat(cloud.Y).Max(Math.Abs);
        (x, y) = ([.. cloud.X.Select(v => v / extent)], [.. cloud.Y.Select(v => v / extent)]);
    }

    /// <summary>Zone of the heights, in their own unit; they are of about unit size and already without their least-squares plane.</summary>
    public double Of(double[] heights) =>
        VerticalZone.Solve(x, y, heights, start, 1e-9)?.Zone
            // Never smaller than the minimum zone: a safe answer where the steps ran out.
            ?? heights.Max() - heights.Min();
}
