namespace BuildTrack.Metrology.Flatness;

/// <summary>A zone in one direction: the normal, and every point's distance from the mid plane.</summary>
internal sealed class TiltedZone
{
    private TiltedZone(Vector3 normal, double[] heights, double shift, double width, PointSet points)
    {
        Normal = normal;
        Heights = heights;
        Shift = shift;
        Width = width;
        (First, Second) = normal.Across();
        var along = new double[points.Count];
        var across = new double[points.Count];
        for (var i = 0; i < along.Length; i++)
        {
            var place = points.Place(i);
            along[i] = place.Dot(First);
            across[i] = place.Dot(Second);
        }

        (Along, AcrossPlan) = (along, across);
        Frame = PlanFrame.Of(along, across);
    }

    public Vector3 Normal { get; }

    public Vector3 First { get; }

    public Vector3 Second { get; }

    /// <summary>Signed distances from the mid plane, µm.</summary>
    public double[] Heights { get; }

    /// <summary>Distance of the mid plane from the centre of the points along the normal, µm.</summary>
    public double Shift { get; }

    public double Width { get; }

    /// <summary>Plan positions seen along the normal, µm.</summary>
    public double[] Along { get; }

    public double[] AcrossPlan { get; }

    public PlanFrame Frame { get; }

    /// <summary>From the zone of heights along z: the same two planes, measured across.</summary>
    public static TiltedZone Of(PointSet points, VerticalZone vertical, Vector3 slopes)
    {
        var normal = slopes.Unit();
        var heights = new double[points.Count];
        for (var i = 0; i < heights.Length; i++)
        {
            heights[i] = normal.Z
                * (points.Rest[i] - (vertical.SlopeU * points.Frame.U[i]) - (vertical.SlopeW * points.Frame.W[i]));
        }

        return Centred(points, normal, heights, 0);
    }

    public static TiltedZone Of(PointSet points, Vector3 normal)
    {
        var heights = new double[points.Count];
        for (var i = 0; i < heights.Length; i++)
            heights[i] = points.Place(i).Dot(normal);
        return Centred(points, normal, heights, 0);
    }

    /// <summary>The zone turned by the slopes that a solution in this zone's own frame found.</summary>
    public TiltedZone Turned(PointSet points, VerticalZone inFrame)
    {
        var (alongFirst, alongSecond) = Frame.Slopes(inFrame.SlopeU, inFrame.SlopeW);
        var slopes = new Vector3(-alongFirst, -alongSecond, 1);
        var scale = 1 / slopes.Length;
        var normal = ((slopes.X * First) + (slopes.Y * Second) + Normal).Unit();
        var heights = new double[points.Count];
        for (var i = 0; i < heights.Length; i++)
            heights[i] = scale * (Heights[i] - (inFrame.SlopeU * Frame.U[i]) - (inFrame.SlopeW * Frame.W[i]));
        if (normal.Upward() != normal)
        {
            normal = -1 * normal;
            for (var i = 0; i < heights.Length; i++)
                heights[i] = -heights[i];
            return Centred(points, normal, heights, -scale * Shift);
        }

        return Centred(points, normal, heights, scale * Shift);
    }

    /// <summary>The most by which a zone in any other direction could be narrower, µm; infinite where the bound says nothing.</summary>
    /// <remarks>
    /// <para>With ω the least width of the points in plan and k = width/ω &lt; 1: a direction tilted by the slope s has, across, at least
    /// (sω − width)/√(1+s²), so a better one has s ≤ 2k/(1−k²), where its width is at least width/√(1+s²) = width·(1−k²)/(1+k²).</para>
    /// <para>ω is bounded from below by the width of the points that stand out most in twelve directions of the plan.</para>
    /// </remarks>
    public double LargestGain(PointSet points)
    {
        if (Frame.Shape != PlanShape.Plane)
            return double.PositiveInfinity;
        return LargestGain(Width, PlanWidth.AtLeast(Frame.U, Frame.W, Along, AcrossPlan));
    }

    /// <summary>The same for a width and what the points are at least wide in plan, µm.</summary>
    public static double LargestGain(double width, double planWidth)
    {
        var k = width / planWidth;
        return k < 1 ? width * (2 * k * k / (1 + (k * k))) : double.PositiveInfinity;
    }

    private static TiltedZone Centred(PointSet points, Vector3 normal, double[] heights, double shift)
    {
        double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        foreach (var height in heights)
        {
            top = Math.Max(top, height);
            bottom = Math.Min(bottom, height);
        }

        var middle = bottom + ((top - bottom) / 2);
        for (var i = 0; i < heights.Length; i++)
            heights[i] -= middle;
        return new TiltedZone(normal, heights, shift + middle, top - bottom, points);
    }
}
