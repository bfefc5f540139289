using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

public sealed class FlatnessInvariantTests
{
    private static IEnumerable<(string Name, Points Points)> Sets(ulong seed)
    {
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 60; trial++)
        {
            var points = (trial % 4) switch
            {
                0 => Points.Random(source, 4 + source.NextInt(80)),
                1 => Points.Grid(source, 3 + source.NextInt(8), 2 + source.NextInt(5), 250, 1, 30),
                2 => Points.Grid(source, 3 + source.NextInt(8), 3 + source.NextInt(5), 250, 1, 3),
                _ => Points.Random(source, 6 + source.NextInt(30), 12000, 60, 8),
            };
            yield return ($"seed {seed}, set {trial}", points);
        }
    }

    [Fact]
    public void The_minimum_zone_is_never_above_least_squares_and_every_point_lies_within_it()
    {
        foreach (var (name, points) in Sets(2001))
        {
            var result = points.Flatness();
            Assert.True(result.MinimumZone!.FlatnessUm <= result.LeastSquares!.FlatnessUm * (1 + 1e-12), name);
            Assert.True(result.MinimumZone.FlatnessUm <= result.MinimumZone.VerticalUm, name);
            var half = (result.MinimumZone.FlatnessUm / 2 * (1 + 1e-12)) + 1e-12;
            Assert.All(result.MinimumZone.DeviationsUm, d => Assert.InRange(d, -half, half));
        }
    }

    [Fact]
    public void The_weights_satisfy_their_equations_and_reproduce_the_vertical_zone()
    {
        foreach (var (name, points) in Sets(2002))
        {
            var zone = points.Flatness().MinimumZone!;
            if (zone.VerticalUm == 0)
                continue;
            Assert.True(zone.ZoneProved, $"{name}: {zone.NotProvedBecause}");
            Assert.InRange(zone.Contacts.Length, 2, 4);
            Agreement.Near(1, zone.Contacts.Where(c => c.Weight > 0).Sum(c => c.Weight), 1e-12, name);
            Agreement.Near(-1, zone.Contacts.Where(c => c.Weight < 0).Sum(c => c.Weight), 1e-12, name);
            Agreement.Near(0, zone.Contacts.Sum(c => c.Weight * points.X[c.Index]), 1e-8, name);
            Agreement.Near(0, zone.Contacts.Sum(c => c.Weight * points.Y[c.Index]), 1e-8, name);
            Agreement.Near(zone.VerticalUm, zone.Contacts.Sum(c => c.Weight * points.Z[c.Index]), 1e-10 * Math.Max(1, zone.VerticalUm), name);
            Assert.Equal(zone.Contacts.OrderBy(c => c.Weight > 0 ? 0 : 1).ThenBy(c => c.Index), zone.Contacts);
        }
    }

    [Fact]
    public void Tilt_shift_and_the_choice_of_heights_change_neither_value_nor_contacts()
    {
        var source = new SeededSource(2003);
        foreach (var (name, points) in Sets(2003))
        {
            var result = points.Flatness();
            var moved = points.Tilted(30 * source.NextNormal(), 30 * source.NextNormal()).Shifted(1e4 * source.NextNormal(), 1e4 * source.NextNormal(), 500);
            var other = moved.Flatness();

            // Heights along z: exact. Across the plane: a tilt s of heights is a turn only to s²/2, here up to 10⁻⁶ on the strip 60 mm wide.
            Agreement.Near(result.MinimumZone!.VerticalUm, other.MinimumZone!.VerticalUm, 1e-10 * Math.Max(1, result.MinimumZone.VerticalUm), name);
            Agreement.Near(result.MinimumZone!.FlatnessUm, other.MinimumZone!.FlatnessUm, 1e-6 * result.MinimumZone.FlatnessUm, name);
            Agreement.Near(result.LeastSquares!.FlatnessUm, other.LeastSquares!.FlatnessUm, 1e-6 * result.LeastSquares.FlatnessUm, name);
            Assert.Equal(result.MinimumZone.Contacts.Select(c => c.Index), other.MinimumZone.Contacts.Select(c => c.Index));

            // Two or three contacts leave the plane free to swing; four fix it.
            if (result.MinimumZone.Contacts.Length == 4)
                Agreement.Near(0, result.MinimumZone.DeviationsUm.Zip(other.MinimumZone.DeviationsUm, (a, b) => Math.Abs(a - b)).Max(), 1e-3, name);
        }
    }

    [Fact]
    public void Heights_twice_as_large_give_twice_the_value_and_a_plan_twice_as_large_the_same()
    {
        foreach (var (name, points) in Sets(2004))
        {
            var result = points.Flatness();
            var higher = points.WithZ(i => 2 * points.Z[i]).Flatness();
            var larger = (points with { X = [.. points.X.Select(x => 2 * x)], Y = [.. points.Y.Select(y => 2 * y)] }).Flatness();
            Agreement.Near(2 * result.LeastSquares!.FlatnessUm, higher.LeastSquares!.FlatnessUm, 1e-4 * result.LeastSquares.FlatnessUm, name);
            Agreement.Near(2 * result.MinimumZone!.VerticalUm, higher.MinimumZone!.VerticalUm, 1e-10 * Math.Max(1, result.MinimumZone.VerticalUm), name);
            Agreement.Near(result.MinimumZone!.VerticalUm, larger.MinimumZone!.VerticalUm, 1e-10 * Math.Max(1, result.MinimumZone.VerticalUm), name);
        }
    }

    [Fact]
    public void The_order_of_the_points_does_not_matter()
    {
        var source = new SeededSource(2005);
        foreach (var (name, points) in Sets(2005))
        {
            var order = Points.Shuffled(source, points.Count);
            FlatnessResult result = points.Flatness(), other = points.Taken(order).Flatness();
            Agreement.Near(result.MinimumZone!.FlatnessUm, other.MinimumZone!.FlatnessUm, 1e-9, name);
            Agreement.Near(result.LeastSquares!.FlatnessUm, other.LeastSquares!.FlatnessUm, 1e-9, name);
        }
    }

    [Fact]
    public void Upside_down_the_contacts_change_sides_and_peak_and_valley_their_places()
    {
        foreach (var (name, points) in Sets(2006))
        {
            FlatnessResult result = points.Flatness(), mirrored = points.WithZ(i => -points.Z[i]).Flatness();
            Agreement.Near(result.MinimumZone!.FlatnessUm, mirrored.MinimumZone!.FlatnessUm, 1e-9, name);
            Agreement.Near(result.LeastSquares!.PeakUm, mirrored.LeastSquares!.ValleyUm, 1e-9, name);
            Agreement.Near(result.LeastSquares!.ValleyUm, mirrored.LeastSquares!.PeakUm, 1e-9, name);
            Assert.Equal(
                result.MinimumZone.Contacts.Where(c => c.Weight > 0).Select(c => c.Index),
                mirrored.MinimumZone.Contacts.Where(c => c.Weight < 0).Select(c => c.Index));
        }
    }

    [Fact]
    public void On_ties_the_contacts_have_the_lowest_indices()
    {
        // A ridge between two troughs, drawn three times: every row alone proves the zone, the first rows must be named.
        Points points = new(
            [0, 500, 1000, 0, 500, 1000, 0, 500, 1000],
            [0, 0, 0, 400, 400, 400, 900, 900, 900],
            [0, 10, 0, 0, 10, 0, 0, 10, 0]);
        var zone = points.Flatness().MinimumZone!;
        Assert.Equal("2-1", zone.Contact);
        Assert.Equal([(1, 1.0), (0, -0.5), (2, -0.5)], zone.Contacts.Select(c => (c.Index, Math.Round(c.Weight, 12))));
        Assert.Equal(10, zone.VerticalUm, 12);
    }

    [Fact]
    public void The_same_points_give_the_same_bits()
    {
        var points = Points.Random(new SeededSource(2008), 58);
        FlatnessResult one = points.Flatness(), two = points.Flatness();
        Assert.Equal(one.MinimumZone!.FlatnessUm, two.MinimumZone!.FlatnessUm);
        Assert.True(one.MinimumZone.Contacts.SequenceEqual(two.MinimumZone.Contacts));
        Assert.True(one.LeastSquares!.DeviationsUm.SequenceEqual(two.LeastSquares!.DeviationsUm));
    }

    [Fact]
    public void A_hundred_thousand_points_keep_the_proof()
    {
        var points = Points.Random(new SeededSource(2009), 100_000);
        var zone = points.Flatness().MinimumZone!;
        Assert.True(zone.ZoneProved, zone.NotProvedBecause);
        Agreement.Near(zone.VerticalUm, zone.Contacts.Sum(c => c.Weight * points.Z[c.Index]), 1e-9, "weights");
    }

    [Fact]
    public void Many_points_that_are_thick_against_their_width_are_not_called_proved()
    {
        var points = Points.Random(new SeededSource(2010), 100, 1, 1, 500);
        var zone = points.Flatness().MinimumZone!;
        Assert.False(zone.ZoneProved);
        Assert.Contains("thick", zone.NotProvedBecause, StringComparison.Ordinal);
    }
}
