using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Support;

/// <summary>The same quantities again, slow and obvious.</summary>
internal static class SlowTwins
{
    /// <summary>Vertical minimum zone: the smallest range over every slope at which three points, or two and two, lie level.</summary>
    public static double VerticalZoneUm(Points p)
    {
        var best = double.PositiveInfinity;
        var n = p.Count;
        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++)
            {
                for (var k = i; k < n; k++)
                {
                    for (var l = k + 1; l < n; l++)
                        best = Math.Min(best, RangeAt(p, i, j, k, l));
                }
            }
        }

        return best;
    }

    private static double RangeAt(Points p, int i, int j, int k, int l)
    {
        double ax = p.X[j] - p.X[i], ay = p.Y[j] - p.Y[i], az = p.Z[j] - p.Z[i];
        double bx = p.X[l] - p.X[k], by = p.Y[l] - p.Y[k], bz = p.Z[l] - p.Z[k];
        var det = (ax * by) - (ay * bx);
        if (Math.Abs(det) <= 1e-12 * (Math.Abs(ax * by) + Math.Abs(ay * bx)))
            return double.PositiveInfinity;
        double slopeX = ((az * by) - (ay * bz)) / det, slopeY = ((ax * bz) - (az * bx)) / det;
        double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        for (var m = 0; m < p.Count; m++)
        {
            var rest = p.Z[m] - (slopeX * (p.X[m] - p.X[0])) - (slopeY * (p.Y[m] - p.Y[0]));
            top = Math.Max(top, rest);
            bottom = Math.Min(bottom, rest);
        }

        return top - bottom;
    }

    /// <summary>True width, mm in, µm out: every direction across three points or two pairs, no shortcut.</summary>
    public static double WidthUm(Points p)
    {
        var v = Vector<double>.Build;
        var points = Enumerable.Range(0, p.Count).Select(i => v.Dense([1000 * p.X[i], 1000 * p.Y[i], p.Z[i]])).ToArray();
        var best = double.PositiveInfinity;
        for (var i = 0; i < p.Count; i++)
        {
            for (var j = i + 1; j < p.Count; j++)
            {
                for (var k = i; k < p.Count; k++)
                {
                    for (var l = k + 1; l < p.Count; l++)
                    {
                        Vector<double> a = points[j] - points[i], b = points[l] - points[k];
                        var normal = v.Dense([(a[1] * b[2]) - (a[2] * b[1]), (a[2] * b[0]) - (a[0] * b[2]), (a[0] * b[1]) - (a[1] * b[0])]);
                        var length = normal.L2Norm();
                        if (length <= 1e-10 * a.L2Norm() * b.L2Norm())
                            continue;
                        var heights = points.Select(q => normal.DotProduct(q - points[0]) / length).ToArray();
                        best = Math.Min(best, heights.Max() - heights.Min());
                    }
                }
            }
        }

        return best;
    }

    /// <summary>Perpendicular least-squares range, µm, by the singular vectors of the whole centred matrix.</summary>
    public static double LeastSquaresRangeUm(Points p)
    {
        double mx = p.X.Average(), my = p.Y.Average(), mz = p.Z.Average();
        var matrix = Matrix<double>.Build.Dense(p.Count, 3, (i, c) => c == 0 ? 1000 * (p.X[i] - mx) : c == 1 ? 1000 * (p.Y[i] - my) : p.Z[i] - mz);
        var normal = matrix.Svd().VT.Row(2);
        var heights = matrix * normal;
        return heights.Maximum() - heights.Minimum();
    }
}
