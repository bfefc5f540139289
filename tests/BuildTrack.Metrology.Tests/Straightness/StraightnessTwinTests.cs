using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Straightness;

/// <summary>The same quantities by slow and obvious ways, on seeded random stations, and what must never change.</summary>
public sealed class StraightnessTwinTests
{
    private static IEnumerable<(string Name, double[] X, double[] Z)> Sets(ulong seed)
    {
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            var count = 3 + source.NextInt(trial % 3 == 0 ? 4 : 30);
            double[] x = new double[count], z = new double[count];
            for (var i = 0; i < count; i++)
            {
                x[i] = (i * 250) + (trial % 2 == 0 ? 0 : 200 * source.NextUniform());
                z[i] = (trial % 4) switch { 0 => source.NextInt(4), 1 => 10 * source.NextNormal(), 2 => source.NextInt(30) * 0.5, _ => 1e5 * source.NextNormal() };
            }

            yield return ($"seed {seed}, set {trial}", x, z);
        }
    }

    [Fact]
    public void The_zones_are_those_of_trying_the_line_through_every_pair()
    {
        foreach (var (name, x, z) in Sets(4001))
        {
            double vertical = double.PositiveInfinity, across = double.PositiveInfinity;
            for (var i = 0; i < x.Length; i++)
            {
                for (var j = 0; j < i; j++)
                {
                    var slope = (z[i] - z[j]) / (x[i] - x[j]);
                    var rest = x.Select((v, k) => z[k] - z[i] - (slope * (v - x[i]))).ToArray();
                    vertical = Math.Min(vertical, rest.Max() - rest.Min());
                    across = Math.Min(across, (rest.Max() - rest.Min()) / Math.Sqrt(1 + (slope * slope / 1e6)));
                }
            }

            var values = StraightnessCalculation.Of(x, z).Values!;
            var size = Math.Max(1, z.Max(Math.Abs));
            Agreement.Near(vertical, values.MinimumZoneUm, 1e-12 * size, name);
            Agreement.Near(across, values.PerpendicularMinimumZoneUm, 1e-12 * size, name);
        }
    }

    [Fact]
    public void Least_squares_are_those_of_the_sums_of_products_in_decimal_arithmetic()
    {
        foreach (var (name, x, z) in Sets(4002))
        {
            decimal n = x.Length, sx = 0, sz = 0, sxx = 0, sxz = 0;
            for (var i = 0; i < x.Length; i++)
            {
                decimal a = (decimal)x[i], b = (decimal)z[i];
                (sx, sz, sxx, sxz) = (sx + a, sz + b, sxx + (a * a), sxz + (a * b));
            }

            var slope = ((n * sxz) - (sx * sz)) / ((n * sxx) - (sx * sx));
            var rest = x.Select((v, i) => (decimal)z[i] - (sz / n) - (slope * ((decimal)v - (sx / n)))).ToArray();
            var values = StraightnessCalculation.Of(x, z).Values!;
            var size = Math.Max(1, z.Max(Math.Abs));
            Agreement.Near((double)(rest.Max() - rest.Min()), values.LeastSquaresUm, 1e-12 * size, name);
            Agreement.Near((double)slope * 1000, values.SlopeUmPerM, 1e-12 * size, name);
        }
    }

    [Fact]
    public void The_worst_metre_is_the_one_found_by_looking_at_every_window_by_hand()
    {
        foreach (var (name, x, z) in Sets(4003))
        {
            var windows = from a in Enumerable.Range(0, x.Length) from b in Enumerable.Range(a, x.Length - a) where x[b] - x[a] <= 1000 select (a, b);
            var all = windows.ToArray();
            var whole = all.Where(w => !all.Any(o => o != w && o.a <= w.a && o.b >= w.b)).ToArray();
            var judged = whole.Where(w => w.b - w.a >= 2).Select(w => (w.a, Value: Enumerable.Range(w.a, w.b - w.a + 1).Select(k => z[k] - z[w.a] - ((z[w.b] - z[w.a]) * (x[k] - x[w.a]) / (x[w.b] - x[w.a]))).ToArray())).Select(w => (w.a, Range: w.Value.Max() - w.Value.Min())).ToArray();
            var worst = StraightnessCalculation.Of(x, z).Values!.WorstLocal;
            Assert.Equal(judged.Length == 0, worst is null);
            if (worst is null)
                continue;
            Agreement.Near(judged.Max(j => j.Range), worst.ValueUm, 1e-9, name);
            Assert.Equal(judged.Length == whole.Length, worst.Complete);
        }
    }

    [Fact]
    public void The_weights_prove_the_zone()
    {
        foreach (var (name, x, z) in Sets(4004))
        {
            var values = StraightnessCalculation.Of(x, z).Values!;
            Assert.True(values.MinimumZoneUm <= values.LeastSquaresUm * (1 + 1e-12) && values.MinimumZoneUm <= values.EndPointUm * (1 + 1e-12), name);
            Assert.True(values.PerpendicularMinimumZoneUm <= values.MinimumZoneUm, name);
            if (values.MinimumZoneUm == 0)
            {
                Assert.Empty(values.Contacts);
                continue;
            }

            Assert.True(values.Contacts.Length == 3, name);
            Agreement.Near(1, values.Contacts.Where(c => c.Weight > 0).Sum(c => c.Weight), 1e-12, name);
            Agreement.Near(-1, values.Contacts.Where(c => c.Weight < 0).Sum(c => c.Weight), 1e-12, name);
            Agreement.Near(0, values.Contacts.Sum(c => c.Weight * x[c.Index]), 1e-8, name);
            Agreement.Near(values.MinimumZoneUm, values.Contacts.Sum(c => c.Weight * z[c.Index]), 1e-10 * Math.Max(1, z.Max(Math.Abs)), name);
            Assert.Equal(values.Contacts.OrderBy(c => c.Weight < 0).ThenBy(c => c.Index), values.Contacts);
        }
    }

    [Fact]
    public void On_ties_the_contacts_are_the_lowest_that_prove_the_zone()
    {
        foreach (var (_, x, z) in Sets(4005).Where((_, i) => i % 4 == 0))
        {
            var values = StraightnessCalculation.Of(x, z).Values!;
            if (values.MinimumZoneUm == 0)
                continue;
            var proofs = from a in Enumerable.Range(0, x.Length) from b in Enumerable.Range(a + 1, x.Length - a - 1)
                         from c in Enumerable.Range(a + 1, Math.Max(0, b - a - 1))
                         let chord = z[a] + ((z[b] - z[a]) * (x[c] - x[a]) / (x[b] - x[a]))
                         where Math.Abs(Math.Abs(z[c] - chord) - values.MinimumZoneUm) < 1e-9
                         select (b, c, a);
            Assert.Equal(proofs.Min(), (values.Contacts.Max(k => k.Index), values.Contacts.OrderBy(k => k.Index).ElementAt(1).Index, values.Contacts.Min(k => k.Index)));
        }
    }

    [Fact]
    public void Tilt_shift_scale_order_and_mirror_change_what_they_must_and_nothing_else()
    {
        var source = new SeededSource(4006);
        foreach (var (name, x, z) in Sets(4006))
        {
            var size = Math.Max(1, z.Max(Math.Abs));
            var values = StraightnessCalculation.Of(x, z).Values!;
            var tilted = StraightnessCalculation.Of([.. x.Select(v => v + 5000)], [.. z.Select((v, i) => v + 70 + (0.02 * x[i]))]).Values!;
            var twice = StraightnessCalculation.Of(x, [.. z.Select(v => 2 * v)]).Values!;
            var mirrored = StraightnessCalculation.Of([.. x.Select(v => -v)], [.. z.Select(v => -v)]).Values!;
            var order = Points.Shuffled(source, x.Length);
            var mixed = StraightnessCalculation.Of([.. order.Select(i => x[i])], [.. order.Select(i => z[i])]).Values!;
            foreach (var (other, factor) in new[] { (tilted, 1.0), (twice, 2.0), (mirrored, 1.0), (mixed, 1.0) })
            {
                Agreement.Near(factor * values.EndPointUm, other.EndPointUm, 1e-11 * size, name);
                Agreement.Near(factor * values.LeastSquaresUm, other.LeastSquaresUm, 1e-11 * size, name);
                Agreement.Near(factor * values.MinimumZoneUm, other.MinimumZoneUm, 1e-11 * size, name);
                Agreement.Near(factor * (values.WorstLocal?.ValueUm ?? 0), other.WorstLocal?.ValueUm ?? 0, 1e-11 * size, name);
            }

            Agreement.Near(values.SlopeUmPerM + 20, tilted.SlopeUmPerM, 1e-11 * size, name);
            Agreement.Near(values.SlopeUmPerM, mirrored.SlopeUmPerM, 1e-11 * size, name);
            Assert.Equal(order.Select(i => values.EndPointDeviationsUm[i]), mixed.EndPointDeviationsUm);
            Assert.Equal(values.Contacts.Select(c => (c.Index, c.Weight > 0)), tilted.Contacts.Select(c => (c.Index, c.Weight > 0)));
        }
    }
}
