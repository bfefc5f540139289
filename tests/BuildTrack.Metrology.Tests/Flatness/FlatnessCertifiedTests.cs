using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

public sealed class FlatnessCertifiedTests
{
    [Fact]
    public void Ten_points_of_the_published_plane_give_its_coefficients_its_deviations_and_the_constructed_zone()
    {
        var file = ReferenceFile.Load("plane-pracma-odregress-2d");
        var result = Points.From(file.Root.GetProperty("points"), 1, 1000).Flatness();
        var leastSquares = result.LeastSquares!;

        // The file has no unit; here 1 is 1 mm, so a slope of 1 is 10⁶ µm/m and a deviation of 1 is 1000 µm.
        file.Reaches(file.Number("published", "orthogonal_ls", "a"), leastSquares.Plane.SlopeXUmPerM / 1e6, "published", "a");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "a"), leastSquares.Plane.SlopeXUmPerM / 1e6, "orthogonal_ls", "a");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "b"), leastSquares.Plane.SlopeYUmPerM / 1e6, "orthogonal_ls", "b");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "c"), leastSquares.Plane.OffsetUm / 1e3, "orthogonal_ls", "c");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "FLTt_LS"), leastSquares.FlatnessUm / 1e3, "FLT", "FLTt");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "FLTp"), leastSquares.PeakUm / 1e3, "FLT", "FLTp");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "FLTv"), leastSquares.ValleyUm / 1e3, "FLT", "FLTv");
        file.Reaches(file.Number("recomputed", "orthogonal_ls", "FLTq"), leastSquares.RmsUm / 1e3, "FLT", "FLTq");

        var zone = result.MinimumZone!;
        file.Reaches(0.2 / Math.Sqrt(3.5), zone.FlatnessUm / 1e3, "minimum_zone", "perpendicular, closed form");
        file.Reaches(0.2, zone.VerticalUm / 1e3, "minimum_zone", "vertical");
        Assert.True(zone.ZoneProved, zone.NotProvedBecause);
        Assert.Equal("136.150", leastSquares.FlatnessUm.ToString("F3", System.Globalization.CultureInfo.InvariantCulture));
        Assert.Equal("106.904", zone.FlatnessUm.ToString("F3", System.Globalization.CultureInfo.InvariantCulture));
    }

    [Theory]
    [InlineData(0, "3-1")]
    [InlineData(1, "2-2")]
    public void The_constructed_zones_of_nine_points_come_out_with_their_contacts(int which, string contact)
    {
        var file = ReferenceFile.Load("constructed-minimum-zone-3x3");
        var given = file.Root.GetProperty("cases")[which];
        var expected = given.GetProperty("recomputed");
        var points = Points.From(given.GetProperty("points"));
        var result = points.Flatness();
        var zone = result.MinimumZone!;
        file.Reaches(expected.GetProperty("minimum_zone_vertical_um").GetDouble(), zone.VerticalUm, "minimum_zone_vertical_um", "vertical");
        file.Reaches(expected.GetProperty("perpendicular_um").GetDouble(), zone.FlatnessUm, "perpendicular_um", "perpendicular");
        Assert.Equal(contact, zone.Contact);
        Assert.Equal(Ids("high_contacts"), zone.Contacts.Where(c => c.Weight > 0).Select(c => c.Index));
        Assert.Equal(Ids("low_contacts"), zone.Contacts.Where(c => c.Weight < 0).Select(c => c.Index));
        Assert.True(zone.ZoneProved, zone.NotProvedBecause);
        file.Reaches(1e6 * expected.GetProperty("plane").GetProperty("a").GetDouble() / 1000, zone.MidPlane!.SlopeXUmPerM, "plane", "a");
        file.Reaches(1e6 * expected.GetProperty("plane").GetProperty("b").GetDouble() / 1000, zone.MidPlane!.SlopeYUmPerM, "plane", "b");
        file.Reaches(expected.GetProperty("plane").GetProperty("c").GetDouble(), zone.MidPlane!.OffsetUm, "plane", "c");

        // The file's least squares are of heights along z; a slope of 5 µm/m makes no difference in 12 digits (10⁻¹¹ relative).
        Assert.InRange(Agreement.Digits(expected.GetProperty("ls").GetProperty("FLTt").GetDouble(), result.LeastSquares!.FlatnessUm), 10, 16);
        Assert.InRange(Agreement.Digits(expected.GetProperty("ls").GetProperty("FLTq").GetDouble(), result.LeastSquares!.RmsUm), 10, 16);

        int[] Ids(string side) => [.. expected.GetProperty(side).EnumerateArray().Select(id => id.GetInt32())];
    }

    public static TheoryData<int> Solids => [0, 1, 2, 3, 4];

    [Theory]
    [MemberData(nameof(Solids))]
    public void A_regular_solid_keeps_its_published_width_in_any_position(int which)
    {
        var file = ReferenceFile.Load("mz-plane-regular-polyhedra");
        var solid = file.Root.GetProperty("sets")[which];
        var name = solid.GetProperty("name").GetString();
        var published = solid.GetProperty("published").GetProperty("width").GetDouble();
        var points = solid.GetProperty("points").EnumerateArray().Select(p => p.EnumerateArray().Select(v => v.GetDouble()).ToArray()).ToArray();
        const ulong seed = 303;
        var source = new SeededSource(seed);
        for (var position = 0; position < 25; position++)
        {
            // Offsets stay small here: 12 digits of an edge of 1 mm do not survive an offset of 1000 mm in the input itself.
            var result = Points.Rotated(points, source, position % 2 == 0 ? 0 : 1.25).Flatness();
            var zone = result.MinimumZone!;
            file.Reaches(published, zone.FlatnessUm / 1000, "width", $"{name}, seed {seed}, position {position}");
            Assert.True(zone.ZoneProved, zone.NotProvedBecause);
            Assert.Null(result.LeastSquares);
            Assert.False(string.IsNullOrEmpty(result.LeastSquaresAbsentBecause));
            Assert.Equal(1, zone.Contacts.Where(c => c.Weight > 0).Sum(c => c.Weight), 12);
            Assert.Equal(-1, zone.Contacts.Where(c => c.Weight < 0).Sum(c => c.Weight), 12);
        }
    }

    [Fact]
    public void A_tetrahedron_is_held_by_two_edges_not_by_a_face()
    {
        var file = ReferenceFile.Load("mz-plane-regular-polyhedra");
        var zone = Points.From(file.Root.GetProperty("sets")[0].GetProperty("points"), 1, 1000).Flatness().MinimumZone!;
        Assert.Equal("2-2", zone.Contact);
    }

    [Fact]
    public void The_six_pads_of_the_worked_example_give_their_printed_figures()
    {
        var file = ReferenceFile.Load("constructed-six-pads");
        var result = Points.From(file.Root.GetProperty("points_m_um"), 1000, 1).Flatness();

        // Printed for heights along z; the slope of 7 µm/m takes 3·10⁻¹¹ of it.
        Agreement.Near(file.Number("expected", "flatness_ls_um"), result.LeastSquares!.FlatnessUm, 1e-8, "least squares");
        Agreement.Near(file.Number("expected", "flatness_minimum_zone_um"), result.MinimumZone!.FlatnessUm, 1e-8, "minimum zone");
        file.Reaches(file.Number("expected", "flatness_minimum_zone_um"), result.MinimumZone!.VerticalUm, "flatness", "minimum zone, vertical");
        file.Reaches(file.Number("expected", "slope_x_um_per_m"), Math.Round(result.LeastSquares.Plane.SlopeXUmPerM, 3), "plane", "slope x");
        file.Reaches(file.Number("expected", "slope_y_um_per_m"), Math.Round(result.LeastSquares.Plane.SlopeYUmPerM, 3), "plane", "slope y");
        file.Reaches(file.Number("expected", "offset_um"), Math.Round(result.LeastSquares.Plane.OffsetUm, 3), "plane", "offset");
        Assert.Equal(
            file.At("expected", "residuals_um").EnumerateArray().Select(r => r.GetDouble()),
            result.LeastSquares.DeviationsUm.Select(d => Math.Round(d, 2)));
    }

    [Fact]
    public void The_grid_of_levels_gives_both_flatness_values_of_the_exact_solution()
    {
        var file = ReferenceFile.Load("constructed-grid-level-network-3x4");
        var step = file.Number("step_mm");
        var nodes = file.At("recomputed", "heights_um").EnumerateObject()
            .Select(node => (Id: node.Name.Split(','), Z: node.Value.GetDouble())).ToArray();

        // Node "row,column"; x runs along a row.
        var points = new Points(
            [.. nodes.Select(n => step * int.Parse(n.Id[1], System.Globalization.CultureInfo.InvariantCulture))],
            [.. nodes.Select(n => step * int.Parse(n.Id[0], System.Globalization.CultureInfo.InvariantCulture))],
            [.. nodes.Select(n => n.Z)]);
        var result = points.Flatness();
        var zone = result.MinimumZone!;
        file.Reaches(file.Number("recomputed", "flatness", "minimum_zone", "vertical_um"), zone.VerticalUm, "minimum_zone", "vertical");
        file.Reaches(file.Number("recomputed", "flatness", "minimum_zone", "perpendicular_um"), zone.FlatnessUm, "minimum_zone", "perpendicular");
        file.Reaches(
            file.Number("recomputed", "flatness", "ls_plane", "FLTt_perpendicular"), result.LeastSquares!.FlatnessUm, "FLTt_perpendicular", "least squares");

        // The file's other least-squares figures are of heights along z: 4·10⁻¹² less of them remain across the plane, and as much again by its turn.
        Assert.InRange(Agreement.Digits(file.Number("recomputed", "flatness", "ls_plane", "FLTt"), result.LeastSquares!.FlatnessUm), 10.5, 16);
        Assert.InRange(Agreement.Digits(file.Number("recomputed", "flatness", "ls_plane", "FLTq"), result.LeastSquares!.RmsUm), 10.5, 16);
    }

    [Fact]
    public void The_union_jack_surface_has_its_constructed_flatness_true_and_perturbed()
    {
        var file = ReferenceFile.Load("constructed-union-jack-5x5");
        var (least, zone) = Both(file.At("recomputed", "moody_heights_um"));
        Agreement.Near(file.Number("recomputed", "flatness_ls_plane_um"), least, 1e-9, "least squares");
        Agreement.Near(file.Number("recomputed", "flatness_minimum_zone_vertical_um"), zone, 1e-9, "minimum zone");
        (least, zone) = Both(file.At("perturbed", "least_squares", "heights_um_plane_removed"));
        Agreement.Near(file.Number("perturbed", "least_squares", "flatness_ls_plane_um"), least, 1e-8, "least squares, perturbed");
        Agreement.Near(file.Number("perturbed", "least_squares", "flatness_minimum_zone_vertical_um"), zone, 1e-8, "minimum zone, perturbed");

        static (double LeastSquares, double Zone) Both(System.Text.Json.JsonElement heights)
        {
            var nodes = heights.EnumerateObject().Select(node => (Id: node.Name.Split(','), Z: node.Value.GetDouble())).ToArray();
            var result = new Points(
                [.. nodes.Select(n => 200.0 * int.Parse(n.Id[0], System.Globalization.CultureInfo.InvariantCulture))],
                [.. nodes.Select(n => 200.0 * int.Parse(n.Id[1], System.Globalization.CultureInfo.InvariantCulture))],
                [.. nodes.Select(n => n.Z)]).Flatness();
            return (result.LeastSquares!.FlatnessUm, result.MinimumZone!.VerticalUm);
        }
    }

    [Fact]
    public void A_profile_drawn_twice_side_by_side_has_the_published_minimax_zone_of_the_profile()
    {
        // Two equal profiles side by side: the best plane is the best line, so the published line problem checks the plane.
        var file = ReferenceFile.Load("cheb-williams-curve-fitting");
        var rows = file.Root.GetProperty("points").EnumerateArray().Select(p => (X: p[0].GetDouble(), Y: p[1].GetDouble())).ToArray();
        var points = new Points(
            [.. rows.Select(r => 1000 * r.X), .. rows.Select(r => 1000 * r.X)],
            [.. rows.Select(_ => 0.0), .. rows.Select(_ => 5000.0)],
            [.. rows.Select(r => r.Y), .. rows.Select(r => r.Y)]);
        var zone = points.Flatness().MinimumZone!;
        file.Reaches(2 * file.Number("published", "minimax_line", "max_deviation"), zone.VerticalUm, "minimax", "zone");
        file.Reaches(file.Number("published", "minimax_line", "slope"), zone.MidPlane!.SlopeXUmPerM, "minimax", "slope");
        file.Reaches(file.Number("published", "minimax_line", "intercept"), zone.MidPlane!.OffsetUm, "minimax", "intercept");
        Assert.Equal("2-1", zone.Contact);
    }

    [Fact]
    public void Heights_with_a_large_certified_offset_keep_their_standard_deviation()
    {
        // NumAcc4: 1001 values about 10⁷ with standard deviation 0.1; the input itself holds 8 digits of the deviation.
        var file = ReferenceFile.Load("nist-strd-numacc4");
        var values = file.Root.GetProperty("points").EnumerateArray().Select(v => v.GetDouble()).ToArray();

        // The middle value at the centre and the alternating ones as a chequer that no plane can follow.
        var n = values.Length;
        var points = new Points(
            [.. Enumerable.Range(0, n).Select(i => i == 0 ? 0.0 : ((i - 1) / 2 % 2 == 0 ? 500.0 : -500.0))],
            [.. Enumerable.Range(0, n).Select(i => i == 0 ? 0.0 : ((i - 1) / 4 % 2 == 0 ? 500.0 : -500.0))],
            values);
        var result = points.Flatness();
        var sd = result.LeastSquares!.RmsUm * Math.Sqrt(n / (n - 1.0));
        Assert.InRange(Agreement.Digits(file.Number("published", "standard_deviation_n_minus_1"), sd), file.Digits("standard_deviation"), 16);
        Agreement.Near(0.2, result.MinimumZone!.FlatnessUm, 1e-8, "minimum zone");
    }
}
