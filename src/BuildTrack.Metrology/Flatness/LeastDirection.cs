namespace BuildTrack.Metrology.Flatness;

/// <summary>Singular values and right singular vectors of a 3 × 3 matrix, by one-sided Jacobi rotations.</summary>
/// <remarks>Keeps the small singular value to full relative accuracy where the columns differ in size (J. Demmel, K. Veselić, 1992,
/// "Jacobi's method is more accurate than QR"): a bed of 10 m with 10 µm of unevenness has values 10⁶ apart, their squares 10¹².</remarks>
internal static class LeastDirection
{
    /// <summary>The direction in which the rows are smallest, with the two smallest singular values.</summary>
    public static (Vector3 Direction, double Smallest, double Next) Of(Vector3 columnX, Vector3 columnY, Vector3 columnZ)
    {
        Span<Vector3> a = [columnX, columnY, columnZ];
        Span<Vector3> v = [new(1, 0, 0), new(0, 1, 0), new(0, 0, 1)];
        for (var sweep = 0; sweep < 60; sweep++)
        {
            var turned = false;
            for (var p = 0; p < 2; p++)
            {
                for (var q = p + 1; q < 3; q++)
                {
                    double pp = a[p].Dot(a[p]), qq = a[q].Dot(a[q]), pq = a[p].Dot(a[q]);
                    if (Math.Abs(pq) <= 1e-16 * Math.Sqrt(pp * qq) || pq == 0)
                        continue;
                    turned = true;
                    var zeta = (qq - pp) / (2 * pq);
                    var t = (zeta >= 0 ? 1 : -1) / (Math.Abs(zeta) + Math.Sqrt(1 + (zeta * zeta)));
                    var c = 1 / Math.Sqrt(1 + (t * t));
                    var s = c * t;
                    (a[p], a[q]) = ((c * a[p]) - (s * a[q]), (s * a[p]) + (c * a[q]));
                    (v[p], v[q]) = ((c * v[p]) - (s * v[q]), (s * v[p]) + (c * v[q]));
                }
            }

            if (!turned)
                break;
        }

        Span<double> size = [a[0].Length, a[1].Length, a[2].Length];
        var least = size[0] < size[1] ? (size[0] < size[2] ? 0 : 2) : (size[1] < size[2] ? 1 : 2);
        var next = Math.Min(size[(least + 1) % 3], size[(least + 2) % 3]);
        return (v[least], size[least], next);
    }
}
