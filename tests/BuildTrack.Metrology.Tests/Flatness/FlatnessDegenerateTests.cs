using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

public sealed class FlatnessDegenerateTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    public void Fewer_than_three_points_have_no_flatness(int count)
    {
        var result = FlatnessCalculation.Of(new double[count], new double[count], new double[count]);
        Assert.Equal(FlatnessDefect.TooFewPoints, result.Defect);
        Assert.Equal(count, result.Points);
        Assert.Null(result.LeastSquares);
        Assert.Null(result.MinimumZone);
        Assert.Contains(count.ToString(System.Globalization.CultureInfo.InvariantCulture), result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Three_points_have_the_value_zero_and_decide_nothing()
    {
        var result = FlatnessCalculation.Of([0, 1000, 0], [0, 0, 1000], [1, 5, -7]);
        Assert.Equal(FlatnessDefect.None, result.Defect);
        Assert.Equal(0, result.LeastSquares!.FlatnessUm);
        Assert.Equal(new PlaneFit(4, -8, 1), new PlaneFit(Math.Round(result.LeastSquares.Plane.SlopeXUmPerM, 9), Math.Round(result.LeastSquares.Plane.SlopeYUmPerM, 9), Math.Round(result.LeastSquares.Plane.OffsetUm, 9)));
        Assert.Equal(0, result.MinimumZone!.FlatnessUm);
        Assert.Null(result.MinimumZone.Contact);
        Assert.Empty(result.MinimumZone.Contacts);
        Assert.False(result.MinimumZone.ZoneProved);
    }

    [Fact]
    public void Points_on_one_line_in_space_are_named_collinear()
    {
        var x = Enumerable.Range(0, 9).Select(i => 100.0 * i).ToArray();
        Assert.Equal(FlatnessDefect.Collinear, FlatnessCalculation.Of(x, [.. x.Select(v => 0.3 * v)], [.. x.Select(v => (0.01 * v) + 5)]).Defect);
        Assert.Equal(FlatnessDefect.Collinear, FlatnessCalculation.Of(x, new double[9], new double[9]).Defect);
    }

    [Fact]
    public void Points_above_one_place_are_named_collinear() =>
        Assert.Equal(FlatnessDefect.Collinear, FlatnessCalculation.Of([5, 5, 5, 5], [7, 7, 7, 7], [0, 1, 2, 9]).Defect);

    [Fact]
    public void Points_on_one_line_in_plan_with_different_heights_are_named_one_vertical_plane()
    {
        var x = Enumerable.Range(0, 9).Select(i => 100.0 * i).ToArray();
        var result = FlatnessCalculation.Of(x, [.. x.Select(v => (0.3 * v) + 1e6)], [.. x.Select(v => v * (800 - v))]);
        Assert.Equal(FlatnessDefect.OneVerticalPlane, result.Defect);
        Assert.Null(result.MinimumZone);
        Assert.Contains("straightness", result.DefectSentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(12.3)]
    [InlineData(1e7)]
    public void Equal_heights_are_flat_to_the_last_digit(double height)
    {
        var points = Points.Grid(new SeededSource(1), 5, 4, 250, 1, 2).WithZ(_ => height);
        var result = points.Flatness();
        Assert.Equal(0, result.LeastSquares!.FlatnessUm);
        Assert.Equal(0, result.MinimumZone!.FlatnessUm);
        Assert.Empty(result.MinimumZone.Contacts);
        Assert.True(result.MinimumZone.ZoneProved);
    }

    [Fact]
    public void Points_on_a_tilted_plane_are_flat_within_rounding()
    {
        var points = Points.Grid(new SeededSource(1), 6, 5, 250, 1, 2).WithZ(_ => 0).Tilted(37.1, -211.3);
        var result = points.Flatness();
        Assert.InRange(result.LeastSquares!.FlatnessUm, 0, 1e-11);
        Assert.InRange(result.MinimumZone!.FlatnessUm, 0, 1e-11);
        Assert.Equal(37.1, result.LeastSquares.Plane.SlopeXUmPerM, 9);
        Assert.Equal(-211.3, result.LeastSquares.Plane.SlopeYUmPerM, 9);
    }

    [Fact]
    public void A_point_given_twice_changes_no_zone_and_two_heights_of_one_place_are_two_contacts()
    {
        var points = Points.Random(new SeededSource(5), 12);
        var twice = points.Taken([.. Enumerable.Range(0, 12), .. Enumerable.Range(0, 12)]);
        Agreement.Near(points.Flatness().MinimumZone!.FlatnessUm, twice.Flatness().MinimumZone!.FlatnessUm, 1e-10, "doubled");
        Assert.All(twice.Flatness().MinimumZone!.Contacts, c => Assert.InRange(c.Index, 0, 11));

        var zone = FlatnessCalculation.Of([0, 1000, 0, 1000, 500, 500], [0, 0, 1000, 1000, 500, 500], [0, 0, 0, 0, 4, -4]).MinimumZone!;
        Assert.Equal(8, zone.VerticalUm, 12);
        Assert.Null(zone.Contact);
        Assert.Equal([new ContactPlace(4, 1), new ContactPlace(5, -1)], zone.Contacts);
    }

    [Fact]
    public void Readings_of_only_three_places_decide_nothing_however_many_they_are()
    {
        var zone = FlatnessCalculation.Of([0, 1000, 0, 0, 1000], [0, 0, 1000, 0, 0], [1, 5, -7, 1, 5]).MinimumZone!;
        Assert.False(zone.ZoneProved);
    }

    [Fact]
    public void A_micrometre_at_a_million_millimetres_is_seen()
    {
        var near = Points.Random(new SeededSource(6), 40, 3000, 1500, 1);
        var far = near.Shifted(1e6, -1e6, 0);

        // The shift itself rounds x and y to 10⁻¹⁰ mm; heights are untouched.
        Agreement.Near(near.Flatness().MinimumZone!.FlatnessUm, far.Flatness().MinimumZone!.FlatnessUm, 1e-9, "minimum zone");
        Agreement.Near(near.Flatness().LeastSquares!.FlatnessUm, far.Flatness().LeastSquares!.FlatnessUm, 1e-9, "least squares");
        var high = near.Shifted(1e6, -1e6, 1e6);
        Agreement.Near(near.Flatness().MinimumZone!.FlatnessUm, high.Flatness().MinimumZone!.FlatnessUm, 1e-8, "minimum zone, high datum");
    }

    [Fact]
    public void A_number_that_is_none_is_refused_with_its_place()
    {
        double[] good = [0, 1000, 0, 1000];
        Assert.StartsWith("heightsUm[3] is NaN; every height must be finite.",
            Assert.Throws<ArgumentException>(() => FlatnessCalculation.Of(good, [0, 0, 1, 1], [0, 0, 0, double.NaN])).Message, StringComparison.Ordinal);
        Assert.StartsWith("yMm[1] is infinite; every y must be finite.",
            Assert.Throws<ArgumentException>(() => FlatnessCalculation.Of(good, [0, double.PositiveInfinity, 1, 1], [0, 0, 0, 0])).Message, StringComparison.Ordinal);
        Assert.StartsWith("heightsUm has 3 values, xMm has 4; they must be as many.",
            Assert.Throws<ArgumentException>(() => FlatnessCalculation.Of(good, [0, 0, 1, 1], [0, 0, 0])).Message, StringComparison.Ordinal);
    }
}
