namespace BuildTrack.Metrology.Flatness;

/// <summary>Where more points touch the zone than are needed to fix it, the contacts with the lowest indices.</summary>
internal static class LowestContacts
{
    private const double Touching = 1e-10;

    /// <summary>More touching points than this are not sorted out: the contacts stay as they were found.</summary>
    private const int Most = 20;

    /// <summary>Contacts with weights for points scaled to about unit size.</summary>
    public static List<ContactPlace> Of(
        double[] x, double[] y, double[] z, List<ContactPlace> found, double slopeX, double slopeY, double middle, double zone)
    {
        var touching = new List<(int Index, bool High)>();
        for (var i = 0; i < x.Length && touching.Count <= Most; i++)
        {
            var d = z[i] - (slopeX * x[i]) - (slopeY * y[i]) - middle;
            if (Math.Abs(Math.Abs(d) - (zone / 2)) <= Touching)
            {
                touching.Add((i, d > 0));
            }
        }

        if (touching.Count <= found.Count || touching.Count > Most)
        {
            return found;
        }

        // Subsets in the order of their indices, compared place by place; a shorter one before the longer ones that begin with it.
        return Search(x, y, touching, 0, []) ?? found;
    }

    private static List<ContactPlace>? Search(double[] x, double[] y, List<(int Index, bool High)> touching, int next, List<(int Index, bool High)> chosen)
    {
        if (chosen.Count >= 2 && Weights(x, y, chosen) is { } weights)
        {
            return weights;
        }

        for (var k = next; k < touching.Count && chosen.Count < 4; k++)
        {
            chosen.Add(touching[k]);
            if (Search(x, y, touching, k + 1, chosen) is { } answer)
            {
                return answer;
            }

            chosen.RemoveAt(chosen.Count - 1);
        }

        return null;
    }

    /// <summary>Weights of a set of two to four points, all different from zero, that balance in plan; null where there are none or more than one.</summary>
    private static List<ContactPlace>? Weights(double[] x, double[] y, List<(int Index, bool High)> chosen)
    {
        var n = chosen.Count;
        var a = new double[4, n];
        for (var k = 0; k < n; k++)
        {
            var (i, high) = chosen[k];
            a[0, k] = high ? 1 : 0;
            a[1, k] = high ? 0 : 1;
            a[2, k] = high ? x[i] : -x[i];
            a[3, k] = high ? y[i] : -y[i];
        }

        // Least squares by normal equations: the sets are tiny and scaled, and the fit is checked below.
        double[] right = [1, 1, 0, 0];
        var m = new double[n, n + 1];
        for (var r = 0; r < n; r++)
        {
            for (var c = 0; c < n; c++)
            {
                for (var k = 0; k < 4; k++)
                {
                    m[r, c] += a[k, r] * a[k, c];
                }
            }

            for (var k = 0; k < 4; k++)
            {
                m[r, n] += a[k, r] * right[k];
            }
        }

        for (var i = 0; i < n; i++)
        {
            var pivot = i;
            for (var r = i + 1; r < n; r++)
            {
                pivot = Math.Abs(m[r, i]) > Math.Abs(m[pivot, i]) ? r : pivot;
            }

            if (Math.Abs(m[pivot, i]) < 1e-12)
            {
                return null;
            }

            for (var c = 0; c <= n; c++)
            {
                (m[i, c], m[pivot, c]) = (m[pivot, c], m[i, c]);
            }

            for (var r = 0; r < n; r++)
            {
                var factor = m[r, i] / m[i, i];
                for (var c = i; r != i && c <= n; c++)
                {
                    m[r, c] -= factor * m[i, c];
                }
            }
        }

        var weights = new List<ContactPlace>(n);
        for (var k = 0; k < n; k++)
        {
            var weight = m[k, n] / m[k, k];
            if (weight < 1e-9)
            {
                return null;
            }

            weights.Add(new ContactPlace(chosen[k].Index, chosen[k].High ? weight : -weight));
        }

        for (var row = 0; row < 4; row++)
        {
            var sum = -right[row];
            for (var k = 0; k < n; k++)
            {
                sum += a[row, k] * Math.Abs(weights[k].Weight);
            }

            if (Math.Abs(sum) > 1e-10)
            {
                return null;
            }
        }

        return weights;
    }
}
