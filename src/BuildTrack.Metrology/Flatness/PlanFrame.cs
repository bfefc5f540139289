namespace BuildTrack.Metrology.Flatness;

/// <summary>How stations lie in plan.</summary>
internal enum PlanShape
{
    Plane,
    OneLine,
    OnePlace,
}

/// <summary>Plan positions in coordinates made for calculation: centred, uncorrelated, each scaled to the extent −1…1.</summary>
/// <remarks>
/// <para>u runs along the axis with the larger spread; w is the other axis with its part along u taken out. Both have mean zero and
/// Σuw = 0, so a least-squares plane is two separate quotients, and a long narrow bed is as well conditioned as a square one. The map is
/// affine, therefore the weights of a zone are the same in both frames.</para>
/// <para>Centre first: 10⁶ mm away from the origin the raw sums lose every digit of a micrometre.</para>
/// </remarks>
internal sealed class PlanFrame
{
    /// <summary>Stations whose lateral spread is below this part of their length count as lying on one line.</summary>
    public const double LineTolerance = 1e-9;

    private PlanFrame(int count)
    {
        U = new double[count];
        W = new double[count];
    }

    public double[] U { get; }

    public double[] W { get; }

    public PlanShape Shape { get; private set; }

    /// <summary>Σu² and Σw².</summary>
    public double SumUU { get; private set; }

    public double SumWW { get; private set; }

    /// <summary>Extent of u and w in the unit of the input.</summary>
    public double ScaleU { get; private set; }

    public double ScaleW { get; private set; }

    /// <summary>Whether u runs along x (else along y).</summary>
    public bool UAlongX { get; private set; }

    /// <summary>w = (secondary − mean) − Shear·(primary − mean), before scaling.</summary>
    public double Shear { get; private set; }

    public double MeanX { get; private set; }

    public double MeanY { get; private set; }

    public static PlanFrame Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        var frame = new PlanFrame(x.Length);
        frame.Fill(x, y);
        return frame;
    }

    /// <summary>Slopes along x and y (unit of height over unit of plan) of the plane slopeU·u + slopeW·w.</summary>
    public (double AlongX, double AlongY) Slopes(double slopeU, double slopeW)
    {
        var secondary = Shape == PlanShape.Plane ? slopeW / ScaleW : 0.0;
        var primary = (slopeU / ScaleU) - (Shear * secondary);
        return UAlongX ? (primary, secondary) : (secondary, primary);
    }

    /// <summary>Least-squares plane taken out of heights along z; heights become the deviations, with mean zero.</summary>
    /// <returns>Slopes in the frame and the mean height taken out.</returns>
    public (double SlopeU, double SlopeW, double Mean) Level(Span<double> heights)
    {
        double[] u = U, w = W;
        double slopeU = 0, slopeW = 0, mean = heights.Length > 0 ? heights[0] : 0;

        // The first height first: equal heights then give exact zeros, whatever their size.
        for (var i = 0; i < heights.Length; i++)
            heights[i] -= mean;

        // Twice: the second pass takes out what rounding left of the first.
        for (var pass = 0; pass < 2; pass++)
        {
            double sum = 0;
            for (var i = 0; i < heights.Length; i++)
                sum += heights[i];
            var shift = sum / heights.Length;
            double su = 0, sw = 0;
            for (var i = 0; i < heights.Length; i++)
            {
                var height = heights[i] - shift;
                su += u[i] * height;
                sw += w[i] * height;
            }

            var a = SumUU > 0 ? su / SumUU : 0;
            var b = SumWW > 0 ? sw / SumWW : 0;
            for (var i = 0; i < heights.Length; i++)
                heights[i] = heights[i] - shift - (a * u[i]) - (b * w[i]);
            mean += shift;
            slopeU += a;
            slopeW += b;
        }

        return (slopeU, slopeW, mean);
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        var first = values[0];
        double sum = 0;
        foreach (var value in values)
            sum += value - first;
        return first + (sum / values.Length);
    }

    private static double LargestMagnitude(ReadOnlySpan<double> values)
    {
        double largest = 0;
        foreach (var value in values)
            largest = Math.Max(largest, Math.Abs(value));
        return largest;
    }

    private void Fill(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        MeanX = Mean(x);
        MeanY = Mean(y);
        double sumXX = 0, sumYY = 0;
        for (var i = 0; i < x.Length; i++)
        {
            sumXX += (x[i] - MeanX) * (x[i] - MeanX);
            sumYY += (y[i] - MeanY) * (y[i] - MeanY);
        }

        UAlongX = sumXX >= sumYY;
        var primary = UAlongX ? x : y;
        var secondary = UAlongX ? y : x;
        var meanPrimary = UAlongX ? MeanX : MeanY;
        var meanSecondary = UAlongX ? MeanY : MeanX;

        // What rounding of the coordinates themselves can pretend: some units in the last place of the largest.
        var floor = 8 * Rounding.Unit * Math.Max(LargestMagnitude(x), LargestMagnitude(y));
        for (var i = 0; i < U.Length; i++)
        {
            U[i] = primary[i] - meanPrimary;
            W[i] = secondary[i] - meanSecondary;
        }

        ScaleU = LargestMagnitude(U);
        if (ScaleU <= floor)
        {
            Shape = PlanShape.OnePlace;
            Array.Clear(U);
            Array.Clear(W);
            ScaleU = 1;
            return;
        }

        SumUU = Scale(U, ScaleU);
        for (var pass = 0; pass < 2; pass++)
        {
            double sum = 0;
            for (var i = 0; i < U.Length; i++)
                sum += U[i] * W[i];
            var shear = sum / SumUU;
            for (var i = 0; i < W.Length; i++)
                W[i] -= shear * U[i];
            Shear += shear / ScaleU;
        }

        ScaleW = LargestMagnitude(W);
        if (ScaleW <= Math.Max(floor, LineTolerance * ScaleU))
        {
            Shape = PlanShape.OneLine;
            Array.Clear(W);
            ScaleW = 0;
            return;
        }

        Shape = PlanShape.Plane;
        SumWW = Scale(W, ScaleW);
    }

    private static double Scale(double[] values, double scale)
    {
        double sum = 0;
        for (var i = 0; i < values.Length; i++)
        {
            values[i] /= scale;
            sum += values[i] * values[i];
        }

        return sum;
    }
}
