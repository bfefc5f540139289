namespace BuildTrack.Metrology.Flatness;

/// <summary>What a set of points is at least wide in plan.</summary>
internal static class PlanWidth
{
    /// <summary>The least width of those points that stand out most in twelve directions: never more than that of all points.</summary>
    /// <param name="u">Plan positions scaled to about −1…1, in which the directions are taken.</param>
    /// <param name="w">The other axis of the same.</param>
    /// <param name="along">Plan positions, µm.</param>
    /// <param name="across">The other axis of the same.</param>
    public static double AtLeast(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> along, ReadOnlySpan<double> across)
    {
        ReadOnlySpan<(int U, int W)> directions = [(1, 0), (0, 1), (1, 1), (1, -1), (2, 1), (1, 2), (2, -1), (1, -2), (4, 1), (1, 4), (4, -1), (1, -4)];
        Span<int> chosen = stackalloc int[24];
        for (var d = 0; d < directions.Length; d++)
        {
            var (a, b) = directions[d];
            double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
            for (var i = 0; i < u.Length; i++)
            {
                var place = (a * u[i]) + (b * w[i]);
                if (place > top)
                {
                    top = place;
                    chosen[2 * d] = i;
                }

                if (place < bottom)
                {
                    bottom = place;
                    chosen[(2 * d) + 1] = i;
                }
            }
        }

        // The least width of a polygon is across one of its edges; every other pair only gives a larger one.
        var least = double.PositiveInfinity;
        for (var i = 0; i < chosen.Length; i++)
        {
            for (var j = i + 1; j < chosen.Length; j++)
            {
                double dx = along[chosen[j]] - along[chosen[i]], dy = across[chosen[j]] - across[chosen[i]];
                var length = Math.Sqrt((dx * dx) + (dy * dy));
                if (length == 0)
                    continue;
                double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
                foreach (var k in chosen)
                {
                    var distance = ((dx * across[k]) - (dy * along[k])) / length;
                    top = Math.Max(top, distance);
                    bottom = Math.Min(bottom, distance);
                }

                least = Math.Min(least, top - bottom);
            }
        }

        return least;
    }
}
