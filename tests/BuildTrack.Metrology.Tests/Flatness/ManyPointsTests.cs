using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

/// <summary>The way of few passes against the way of all heights, which shares only the exchange with it, and against the slow twin.</summary>
public sealed class ManyPointsTests
{
    public static TheoryData<string> Shapes => [.. MadeSets.Names];

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Few_passes_find_what_all_heights_find(string shape)
    {
        const ulong seed = 1101;
        var source = new SeededSource(seed);
        foreach (var count in new[] { 61, 64, 65, 200, 1023, 1025, 4_000, 20_001, 100_000 })
        {
            var (x, y, z) = MadeSets.Of(shape, count, source);
            var few = ManyPoints.Of(x, y, z, true);
            Assert.NotNull(few);
            Same(Careful(x, y, z), few, $"seed {seed}, {shape}, {count} points");
            var without = ManyPoints.Of(x, y, z, false)!;
            Assert.Equal(few.MinimumZone! with { DeviationsUm = [] }, without.MinimumZone! with { DeviationsUm = [], Contacts = few.MinimumZone.Contacts });
            Assert.Equal(few.MinimumZone.Contacts, without.MinimumZone!.Contacts);
            Assert.Equal(few.LeastSquares! with { DeviationsUm = [] }, without.LeastSquares! with { DeviationsUm = [] });
        }
    }

    [Fact]
    public void Small_sets_are_those_of_the_slow_twin()
    {
        const ulong seed = 1102;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 300; trial++)
        {
            var points = trial % 3 == 2
                ? Points.Grid(source, 2 + source.NextInt(3), 2 + source.NextInt(3), 250, 1, 2 + source.NextInt(6))
                : Points.Random(source, 4 + source.NextInt(9));
            if (ManyPoints.Of(points.X, points.Y, points.Z, true) is not { } few)
            {
                continue;
            }

            var expected = SlowTwins.VerticalZoneUm(points);
            Agreement.Near(expected, few.MinimumZone!.VerticalUm, 1e-10 * Math.Max(1, expected), $"seed {seed}, trial {trial}");
            Same(Careful(points.X, points.Y, points.Z), few, $"seed {seed}, trial {trial}");
        }
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(1e6, -2e6)]
    public void A_long_bed_far_away_and_tilted_keeps_its_micrometres(double farX, double farY)
    {
        const ulong seed = 1103;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 20; trial++)
        {
            var points = Points.Random(source, 300, 12_000, 500, 30).Tilted(3000 * source.NextNormal(), 200 * source.NextNormal());
            double[] x = [.. points.X.Select(v => v + farX)], y = [.. points.Y.Select(v => v + farY)];
            var few = ManyPoints.Of(x, y, points.Z, true)!;
            var near = ManyPoints.Of([.. x.Select(v => v - farX)], [.. y.Select(v => v - farY)], points.Z, true)!;

            // The same points, but for the coordinates: what is lost is what their last digit is worth on the slope, 10⁻⁹ mm · 3 µm/mm.
            Agreement.Near(near.MinimumZone!.FlatnessUm, few.MinimumZone!.FlatnessUm, 1e-8, $"seed {seed}, trial {trial}");
            Agreement.Near(near.LeastSquares!.FlatnessUm, few.LeastSquares!.FlatnessUm, 1e-8, $"seed {seed}, trial {trial}");
            Assert.Equal(near.MinimumZone.Contacts.Select(c => c.Index), few.MinimumZone.Contacts.Select(c => c.Index));
        }
    }

    [Fact]
    public void Sets_that_are_not_flat_or_not_wide_or_not_finite_are_left_to_the_careful_way()
    {
        const ulong seed = 1104;
        var source = new SeededSource(seed);
        var bulky = Points.Random(source, 100, 1000, 1000, 1e6);
        Assert.Null(ManyPoints.Of(bulky.X, bulky.Y, bulky.Z, true));
        var line = Enumerable.Range(0, 100).Select(i => (double)i).ToArray();
        var noise = line.Select(_ => source.NextNormal()).ToArray();
        Assert.Null(ManyPoints.Of(line, line, noise, true));
        Assert.Null(ManyPoints.Of(line, [.. line.Select(_ => 0.0)], noise, true));
        var flat = Points.Random(source, 100);
        Assert.Null(ManyPoints.Of(flat.X, flat.Y, new double[100], true));
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, double.NegativeInfinity, double.MaxValue })
        {
            foreach (var at in new[] { 0, 50, 99 })
            {
                double[] z = [.. flat.Z];
                z[at] = bad;
                Assert.Null(ManyPoints.Of(flat.X, flat.Y, z, true));
                Assert.Null(ManyPoints.Of(z, flat.Y, flat.Z, true));
            }
        }
    }

    private static FlatnessResult Careful(double[] x, double[] y, double[] z)
    {
        var points = PointSet.Of(x, y, z);
        var (plane, because) = LeastSquaresFit.Of(points);
        return new FlatnessResult(x.Length, plane, because, MinimumZoneFit.Of(points), FlatnessDefect.None, null);
    }

    private static void Same(FlatnessResult expected, FlatnessResult found, string where)
    {
        var (e, f) = (expected.MinimumZone!, found.MinimumZone!);
        Assert.True(f.ZoneProved, $"{where}: {f.NotProvedBecause}");
        Agreement.Near(e.FlatnessUm, f.FlatnessUm, 1e-11 * Math.Max(1, e.FlatnessUm), where);
        Agreement.Near(e.VerticalUm, f.VerticalUm, 1e-11 * Math.Max(1, e.FlatnessUm), where);
        Assert.Equal((where, e.Contact), (where, f.Contact));
        Assert.Equal(e.Contacts.Select(c => c.Index), f.Contacts.Select(c => c.Index));
        foreach (var (one, other) in e.Contacts.Zip(f.Contacts))
            Agreement.Near(one.Weight, other.Weight, 1e-8, where);

        // On a small grid of coarse steps the same least width can be had with several slopes; four contacts leave one.
        var pinned = e.Contacts.Length == 4;
        if (pinned)
        {
            Agreement.Near(e.MidPlane!.SlopeXUmPerM, f.MidPlane!.SlopeXUmPerM, 1e-8, where);
            Agreement.Near(e.MidPlane.SlopeYUmPerM, f.MidPlane.SlopeYUmPerM, 1e-8, where);
            Agreement.Near(e.MidPlane.OffsetUm, f.MidPlane.OffsetUm, 1e-8, where);
        }

        var (ls, fs) = (expected.LeastSquares!, found.LeastSquares!);
        Agreement.Near(ls.FlatnessUm, fs.FlatnessUm, 1e-10 * Math.Max(1, ls.FlatnessUm), where);
        Agreement.Near(ls.PeakUm, fs.PeakUm, 1e-10 * Math.Max(1, ls.FlatnessUm), where);
        Agreement.Near(ls.RmsUm, fs.RmsUm, 1e-10 * Math.Max(1, ls.FlatnessUm), where);
        Agreement.Near(ls.Plane.SlopeXUmPerM, fs.Plane.SlopeXUmPerM, 1e-9, where);
        Agreement.Near(ls.Plane.OffsetUm, fs.Plane.OffsetUm, 1e-8, where);
        for (var i = 0; i < ls.DeviationsUm.Length; i++)
        {
            Agreement.Near(ls.DeviationsUm[i], fs.DeviationsUm[i], 1e-9 * Math.Max(1, ls.FlatnessUm), where);
            Assert.InRange(Math.Abs(f.DeviationsUm[i]), 0, (f.FlatnessUm / 2) + 1e-9);
            if (pinned)
                Agreement.Near(e.DeviationsUm[i], f.DeviationsUm[i], 1e-9 * Math.Max(1, ls.FlatnessUm), where);
        }
    }
}
