namespace BuildTrack.Metrology.Flatness;

/// <summary>The least width of points in plan: the narrowest strip between two parallel lines that holds them.</summary>
internal static class PlanWidth
{
    /// <summary>Least width, in the unit of the coordinates; 0 when all points are on a line.</summary>
    public static double Of(double[] x, double[] y)
    {
        var hull = Hull(x, y);
        if (hull.Count < 3)
        {
            return 0;
        }

        // The strip rests on one side of the hull: for each side the farthest corner, which only moves on.
        var least = double.PositiveInfinity;
        var far = 1;
        for (var i = 0; i < hull.Count; i++)
        {
            var (a, b) = (hull[i], hull[(i + 1) % hull.Count]);
            double Distance(int k) => ((x[b] - x[a]) * (y[hull[k % hull.Count]] - y[a])) - ((y[b] - y[a]) * (x[hull[k % hull.Count]] - x[a]));
            while (Distance(far + 1) > Distance(far))
            {
                far++;
            }

            var length = Math.Sqrt(((x[b] - x[a]) * (x[b] - x[a])) + ((y[b] - y[a]) * (y[b] - y[a])));
            least = Math.Min(least, Distance(far) / length);
        }

        return least;
    }

    /// <summary>Corners of the convex hull, anticlockwise (Andrew, Inf. Process. Lett. 9(5), 1979).</summary>
    private static List<int> Hull(double[] x, double[] y)
    {
        var order = new int[x.Length];
        for (var i = 0; i < order.Length; i++)
        {
            order[i] = i;
        }

        Array.Sort(order, (i, j) => x[i] != x[j] ? x[i].CompareTo(x[j]) : y[i].CompareTo(y[j]));
        var hull = new List<int>();
        foreach (var half in new[] { order, [.. order.Reverse()] })
        {
            var begin = hull.Count;
            foreach (var i in half)
            {
                while (hull.Count >= begin + 2 && Turn(x, y, hull[^2], hull[^1], i) <= 0)
                {
                    hull.RemoveAt(hull.Count - 1);
                }

                hull.Add(i);
            }

            hull.RemoveAt(hull.Count - 1);
        }

        return hull;
    }

    private static double Turn(double[] x, double[] y, int o, int a, int b) => ((x[a] - x[o]) * (y[b] - y[o])) - ((y[a] - y[o]) * (x[b] - x[o]));
}
