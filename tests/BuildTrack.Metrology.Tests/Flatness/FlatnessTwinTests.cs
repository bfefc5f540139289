using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

public sealed class FlatnessTwinTests
{
    [Fact]
    public void The_vertical_zone_is_that_of_trying_every_slope()
    {
        const ulong seed = 1001;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 120; trial++)
        {
            var points = trial % 3 == 2
                ? Points.Grid(source, 2 + source.NextInt(3), 2 + source.NextInt(3), 250, 1, 2 + source.NextInt(6))
                : Points.Random(source, 4 + source.NextInt(9));
            var expected = SlowTwins.VerticalZoneUm(points);
            var zone = points.Flatness().MinimumZone!;
            Agreement.Near(expected, zone.VerticalUm, 1e-10 * Math.Max(1, expected), $"seed {seed}, trial {trial}");
            Assert.True(zone.ZoneProved, $"seed {seed}, trial {trial}: {zone.NotProvedBecause}");
        }
    }

    [Fact]
    public void The_perpendicular_zone_is_that_of_trying_every_direction_from_flat_to_bulky()
    {
        const ulong seed = 1002;
        var source = new SeededSource(seed);
        double[] thickness = [1e-2, 1, 100, 1e4, 3e5, 1e6];
        for (var trial = 0; trial < 24; trial++)
        {
            var points = Points.Random(source, 4 + source.NextInt(6), 1000, 700, thickness[trial % thickness.Length])
                .Tilted(trial % 2 == 0 ? 0 : 2e5 * source.NextNormal(), 0);
            var expected = SlowTwins.WidthUm(points);
            var zone = points.Flatness().MinimumZone!;
            Assert.True(Math.Abs(expected - zone.FlatnessUm) <= 1e-11 * Math.Max(expected, points.Z.Max() - points.Z.Min()) + 1e-10,
                $"seed {seed}, trial {trial}: {expected:R} against {zone.FlatnessUm:R}");
            Assert.True(zone.ZoneProved, zone.NotProvedBecause);
        }
    }

    [Fact]
    public void Least_squares_is_that_of_the_singular_vectors_of_all_points()
    {
        const ulong seed = 1003;
        var source = new SeededSource(seed);
        double[] thickness = [1e-2, 1, 100, 1e4, 2e5];
        for (var trial = 0; trial < 60; trial++)
        {
            var points = Points.Random(source, 4 + source.NextInt(40), 3000, 1500, thickness[trial % thickness.Length])
                .Tilted(trial % 2 == 0 ? 0 : 100 * source.NextNormal(), trial % 2 == 0 ? 0 : 3000 * source.NextNormal());
            var expected = SlowTwins.LeastSquaresRangeUm(points);
            var least = points.Flatness().LeastSquares!;

            // The twin turns coordinates of 3·10⁶ µm: it keeps 10⁻⁹ µm, not more.
            Agreement.Near(expected, least.FlatnessUm, (1e-11 * expected) + 2e-8, $"seed {seed}, trial {trial}");
            Assert.Equal(least.FlatnessUm, least.DeviationsUm.Max() - least.DeviationsUm.Min(), 9);
        }
    }
}
