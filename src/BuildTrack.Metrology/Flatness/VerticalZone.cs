namespace BuildTrack.Metrology.Flatness;

/// <summary>The smallest zone of heights about a plane, measured along the height axis, by the simplex method on its dual.</summary>
/// <remarks>
/// <para>Dual: weights u ≥ 0 (high) and v ≥ 0 (low) with Σu = Σv = 1 and Σ(u − v)x = Σ(u − v)y = 0 that make Σ(u − v)z largest. That largest
/// value is the zone, the points with weight are its contacts, and the multipliers are its two planes. Each step reads every point once.</para>
/// <para>Many stations lie on one straight seat, so steps without gain do occur; after some of them the least-index rule (Bland, Math. Oper.
/// Res. 2, 1977) is used, under which the method cannot run in a circle.</para>
/// </remarks>
internal sealed class VerticalZone
{
    /// <summary>Steps without gain before the least-index rule takes over.</summary>
    private const int Patience = 20;

    private readonly double[] x;
    private readonly double[] y;
    private readonly double[] z;
    private readonly double tolerance;
    private readonly int[] basis = new int[4];
    private readonly double[,] inverse = new double[4, 4];
    private readonly double[] weights = new double[4];
    private readonly double[] multipliers = new double[4];

    private VerticalZone(double[] x, double[] y, double[] z, double tolerance)
    {
        (this.x, this.y, this.z, this.tolerance) = (x, y, z, tolerance);
    }

    /// <summary>Solves for centred points scaled to about unit size: x, y and z each within ±1.</summary>
    /// <param name="start">Three points not on one line in plan.</param>
    /// <returns>Zone, contacts with weights (high positive, low negative), slopes and the middle height of the zone's planes; null if the steps ran out.</returns>
    public static (double Zone, List<ContactPlace> Contacts, double SlopeX, double SlopeY, double Middle)? Solve(
        double[] x, double[] y, double[] z, (int A, int B, int C) start, double tolerance = 1e-13)
    {
        var zone = new VerticalZone(x, y, z, tolerance);
        // The first point high and low at once: weight 1 each, zone 0; two more columns only make the matrix regular.
        (zone.basis[0], zone.basis[1], zone.basis[2], zone.basis[3]) = (2 * start.A, (2 * start.A) + 1, 2 * start.B, 2 * start.C);
        return zone.Run() ? zone.Answer() : null;
    }

    private bool Run()
    {
        var n = x.Length;
        var idle = 0;
        Span<double> column = stackalloc double[4];
        Span<double> direction = stackalloc double[4];
        for (var step = 0; step < 200 + (20 * Math.Min(n, 5000)); step++)
        {
            if (!Factor())
            {
                return false;
            }

            var entering = idle < Patience ? Steepest() : First();
            if (entering < 0)
            {
                return true;
            }

            Column(entering, column);
            for (var i = 0; i < 4; i++)
            {
                direction[i] = (inverse[i, 0] * column[0]) + (inverse[i, 1] * column[1]) + (inverse[i, 2] * column[2]) + (inverse[i, 3] * column[3]);
            }

            var leaving = -1;
            var least = double.PositiveInfinity;
            for (var i = 0; i < 4; i++)
            {
                if (direction[i] > 1e-11)
                {
                    var ratio = Math.Max(0, weights[i]) / direction[i];
                    if (ratio < least - 1e-14 || (ratio <= least + 1e-14 && leaving >= 0 && basis[i] < basis[leaving]))
                    {
                        (least, leaving) = (Math.Min(ratio, least), i);
                    }
                }
            }

            if (leaving < 0)
            {
                return false;
            }

            idle = least > 1e-13 ? 0 : idle + 1;
            basis[leaving] = entering;
        }

        return false;
    }

    // Even index 2i: point i high; odd 2i + 1: point i low.
    private void Column(int index, Span<double> column)
    {
        var i = index >> 1;
        var high = (index & 1) == 0;
        column[0] = high ? 1 : 0;
        column[1] = high ? 0 : 1;
        column[2] = high ? x[i] : -x[i];
        column[3] = high ? y[i] : -y[i];
    }

    private bool Factor()
    {
        Span<double> m = stackalloc double[32];
        Span<double> column = stackalloc double[4];
        for (var k = 0; k < 4; k++)
        {
            Column(basis[k], column);
            for (var r = 0; r < 4; r++)
            {
                m[(r * 8) + k] = column[r];
                m[(r * 8) + 4 + k] = r == k ? 1 : 0;
            }
        }

        for (var i = 0; i < 4; i++)
        {
            var pivot = i;
            for (var r = i + 1; r < 4; r++)
            {
                pivot = Math.Abs(m[(r * 8) + i]) > Math.Abs(m[(pivot * 8) + i]) ? r : pivot;
            }

            if (Math.Abs(m[(pivot * 8) + i]) < 1e-14)
            {
                return false;
            }

            for (var c = 0; c < 8; c++)
            {
                (m[(i * 8) + c], m[(pivot * 8) + c]) = (m[(pivot * 8) + c], m[(i * 8) + c]);
            }

            var by = m[(i * 8) + i];
            for (var c = 0; c < 8; c++)
            {
                m[(i * 8) + c] /= by;
            }

            for (var r = 0; r < 4; r++)
            {
                var factor = m[(r * 8) + i];
                if (r != i && factor != 0)
                {
                    for (var c = 0; c < 8; c++)
                    {
                        m[(r * 8) + c] -= factor * m[(i * 8) + c];
                    }
                }
            }
        }

        for (var r = 0; r < 4; r++)
        {
            for (var c = 0; c < 4; c++)
            {
                inverse[r, c] = m[(r * 8) + 4 + c];
            }
        }

        for (var i = 0; i < 4; i++)
        {
            weights[i] = inverse[i, 0] + inverse[i, 1];
        }

        for (var c = 0; c < 4; c++)
        {
            multipliers[c] = 0;
            for (var i = 0; i < 4; i++)
            {
                var value = (basis[i] & 1) == 0 ? z[basis[i] >> 1] : -z[basis[i] >> 1];
                multipliers[c] += value * inverse[i, c];
            }
        }

        return true;
    }

    private int Steepest()
    {
        var (upper, lower, a, b) = (multipliers[0], -multipliers[1], multipliers[2], multipliers[3]);
        var (best, index) = (tolerance, -1);
        for (var i = 0; i < x.Length; i++)
        {
            var residual = z[i] - (a * x[i]) - (b * y[i]);
            if (residual - upper > best)
            {
                (best, index) = (residual - upper, 2 * i);
            }

            if (lower - residual > best)
            {
                (best, index) = (lower - residual, (2 * i) + 1);
            }
        }

        return index;
    }

    private int First()
    {
        var (upper, lower, a, b) = (multipliers[0], -multipliers[1], multipliers[2], multipliers[3]);
        for (var i = 0; i < x.Length; i++)
        {
            var residual = z[i] - (a * x[i]) - (b * y[i]);
            if (residual - upper > tolerance)
            {
                return 2 * i;
            }

            if (lower - residual > tolerance)
            {
                return (2 * i) + 1;
            }
        }

        return -1;
    }

    private (double Zone, List<ContactPlace> Contacts, double SlopeX, double SlopeY, double Middle) Answer()
    {
        var contacts = new List<ContactPlace>(4);
        for (var i = 0; i < 4; i++)
        {
            if (weights[i] > 1e-12)
            {
                contacts.Add(new ContactPlace(basis[i] >> 1, (basis[i] & 1) == 0 ? weights[i] : -weights[i]));
            }
        }

        return (multipliers[0] + multipliers[1], contacts, multipliers[2], multipliers[3], (multipliers[0] - multipliers[1]) / 2);
    }
}
