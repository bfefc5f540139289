using System.Numerics;
using BuildTrack.Metrology.LevelNetwork;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>The same adjustment in fractions, without any rounding: the normal equations, eliminated as at school. No lines.</summary>
internal sealed class ExactNetwork
{
    public ExactNetwork(IReadOnlyList<LevelObservation> net, Dictionary<string, double> known)
    {
        string[] points = [.. net.SelectMany(o => new[] { o.From, o.To }).Distinct()];
        string[] unknown = [.. points.Where((p, i) => known.Count == 0 ? i > 0 : !known.ContainsKey(p))];
        var n = unknown.Length;
        var normal = new Fraction[n, (2 * n) + 1];
        for (var i = 0; i < n; i++)
        {
            for (var j = 0; j < (2 * n) + 1; j++)
                normal[i, j] = j == n + 1 + i ? Fraction.One : Fraction.Zero;
        }

        Fraction Given(string point) => known.TryGetValue(point, out var height) ? Fraction.Of(height) : Fraction.Zero;
        foreach (var o in net)
        {
            int to = Array.IndexOf(unknown, o.To), from = Array.IndexOf(unknown, o.From);
            var weight = Fraction.Of(o.Weight);
            var pull = weight * (Fraction.Of(o.RiseUm) - Given(o.To) + Given(o.From));
            foreach (var (at, other, signed) in new[] { (to, from, pull), (from, to, Fraction.Zero - pull) })
            {
                if (at < 0)
                    continue;
                normal[at, at] += weight;
                normal[at, n] += signed;
                if (other >= 0)
                    normal[at, other] -= weight;
            }
        }

        Eliminate(normal, n);
        Fraction Height(int p) => Array.IndexOf(unknown, points[p]) is var k and >= 0 ? normal[k, n] : Given(points[p]);
        Fraction Cofactor(int p, int q) => Array.IndexOf(unknown, points[p]) is var k and >= 0 && Array.IndexOf(unknown, points[q]) is var l and >= 0 ? normal[k, n + 1 + l] : Fraction.Zero;
        var all = Enumerable.Range(0, points.Length).ToArray();
        var heights = all.Select(Height).ToArray();
        var own = all.Select(p => Cofactor(p, p)).ToArray();
        ResidualsUm = [.. net.Select(o => (heights[Array.IndexOf(points, o.To)] - heights[Array.IndexOf(points, o.From)] - Fraction.Of(o.RiseUm)).ToDouble())];
        Redundancy = [.. net.Select(o =>
        {
            int a = Array.IndexOf(points, o.To), b = Array.IndexOf(points, o.From);
            return (Fraction.One - (Fraction.Of(o.Weight) * (own[a] + own[b] - Cofactor(a, b) - Cofactor(a, b)))).ToDouble();
        })];
        if (known.Count == 0)
        {
            // The least heights add to zero; their cofactors are those over the mean.
            var count = Fraction.Of(points.Length);
            var mean = Sum(heights) / count;
            heights = [.. heights.Select(h => h - mean)];
            var rows = all.Select(p => Sum(all.Select(q => Cofactor(p, q))) / count).ToArray();
            var whole = Sum(rows) / count;
            own = [.. all.Select(p => own[p] - rows[p] - rows[p] + whole)];
        }

        HeightsUm = [.. heights.Select(h => h.ToDouble())];
        Cofactors = [.. own.Select(q => q.ToDouble())];
    }

    public double[] HeightsUm { get; }

    public double[] Cofactors { get; }

    public double[] ResidualsUm { get; }

    public double[] Redundancy { get; }

    private static Fraction Sum(IEnumerable<Fraction> all) => all.Aggregate(Fraction.Zero, (a, b) => a + b);

    private static void Eliminate(Fraction[,] rows, int n)
    {
        var width = rows.GetLength(1);
        for (var k = 0; k < n; k++)
        {
            // The matrix is positive definite: the pivots never vanish.
            var pivot = rows[k, k];
            for (var j = 0; j < width; j++)
                rows[k, j] /= pivot;
            for (var i = 0; i < n; i++)
            {
                var factor = rows[i, k];
                for (var j = 0; j < width && i != k; j++)
                    rows[i, j] -= factor * rows[k, j];
            }
        }
    }

    private readonly record struct Fraction(BigInteger Above, BigInteger Below)
    {
        public static Fraction Zero { get; } = new(0, 1);

        public static Fraction One { get; } = new(1, 1);

        /// <summary>The double itself: a whole number over a power of two.</summary>
        public static Fraction Of(double value)
        {
            var bits = BitConverter.DoubleToInt64Bits(value);
            var exponent = (int)((bits >> 52) & 0x7FF);
            if (exponent == 0)
                return Zero;
            BigInteger digits = (bits & 0xFFFFFFFFFFFFF) | 0x10000000000000;
            var power = exponent - 1075;
            return new Fraction(bits < 0 ? -digits : digits, 1) * (power >= 0 ? new Fraction(BigInteger.One << power, 1) : new Fraction(1, BigInteger.One << -power));
        }

        public double ToDouble()
        {
            var shift = 80 - (int)(Above.IsZero ? 0 : BigInteger.Abs(Above).GetBitLength() - Below.GetBitLength());
            var whole = shift >= 0 ? (Above << shift) / Below : Above / (Below << -shift);
            return Math.ScaleB((double)whole, -shift);
        }

        public static Fraction operator +(Fraction a, Fraction b) => Least((a.Above * b.Below) + (b.Above * a.Below), a.Below * b.Below);

        public static Fraction operator -(Fraction a, Fraction b) => Least((a.Above * b.Below) - (b.Above * a.Below), a.Below * b.Below);

        public static Fraction operator *(Fraction a, Fraction b) => Least(a.Above * b.Above, a.Below * b.Below);

        public static Fraction operator /(Fraction a, Fraction b) => Least(a.Above * b.Below, a.Below * b.Above);

        private static Fraction Least(BigInteger above, BigInteger below)
        {
            var divisor = BigInteger.GreatestCommonDivisor(above, below);
            return below.Sign < 0 ? new Fraction(-above / divisor, -below / divisor) : new Fraction(above / divisor, below / divisor);
        }
    }
}
