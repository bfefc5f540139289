namespace BuildTrack.Metrology.Flatness;

/// <summary>The least width of a set of points in any direction, by trying every direction that can be the best.</summary>
/// <remarks>The width of a convex body with corners is reached where a face meets a corner or an edge meets an edge (M. Houle, G. Toussaint,
/// 1988, "Computing the width of a set", IEEE PAMI 10(5)). So: every plane through three points, and every direction across two pairs.
/// Any direction tried gives a zone that holds all points, so a badly conditioned one can only lose, never mislead.</remarks>
internal static class DirectWidth
{
    /// <summary>Beyond this the number of pairs of pairs (n⁴/8) is no longer a matter of a blink.</summary>
    public const int LargestCount = 60;

    /// <summary>A direction replaces an earlier one only if it is better by more than this: ties go to the lowest indices.</summary>
    private const double Tie = 1e-12;

    public static (Vector3 Normal, double Width) Of(PointSet points)
    {
        var search = new Search(points);
        var n = points.Count;
        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++)
            {
                var one = points.Place(j) - points.Place(i);
                for (var k = j + 1; k < n; k++)
                    search.Try(one, points.Place(k) - points.Place(i));
            }
        }

        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++)
            {
                var one = points.Place(j) - points.Place(i);
                for (var k = i + 1; k < n; k++)
                {
                    if (k == j)
                        continue;
                    for (var l = k + 1; l < n; l++)
                    {
                        if (l != j)
                            search.Try(one, points.Place(l) - points.Place(k));
                    }
                }
            }
        }

        return (search.Best.Upward(), search.Width);
    }

    private sealed class Search(PointSet points)
    {
        public Vector3 Best { get; private set; } = new(0, 0, 1);

        public double Width { get; private set; } = double.PositiveInfinity;

        public void Try(Vector3 one, Vector3 other)
        {
            var normal = one.Cross(other);
            var square = normal.Dot(normal);
            if (square <= 1e-24 * one.Dot(one) * other.Dot(other))
                return;
            var length = Math.Sqrt(square);
            double nx = normal.X / length, ny = normal.Y / length, nz = normal.Z / length;
            double[] x = points.X, y = points.Y, z = points.Z;
            double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
            var enough = Width * (1 - Tie);
            for (var i = 0; i < x.Length; i++)
            {
                var height = (nx * x[i]) + (ny * y[i]) + (nz * z[i]);
                top = Math.Max(top, height);
                bottom = Math.Min(bottom, height);
                if (top - bottom >= enough)
                    return;
            }

            Width = top - bottom;
            Best = new Vector3(nx, ny, nz);
        }
    }
}
