using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Domain.Tests.Support.Surveyed;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Published and constructed sets as readings of a run, in the unit of the instrument: the record's calculations give the published answers.</summary>
public sealed class PublishedLinesTests
{
    private static readonly Requirement Wide = AtMost(1, "mm");

    [Fact]
    public void A_vial_level_in_divisions_gives_the_published_straightness()
    {
        var file = ReferenceFile.Load("straightness-level-1200mm");
        var stations = Line(7, file.Number("step_mm"));
        var level = Instrument("slope", "div", "slope", new Amount(2, "µm/m"), division: new Amount((decimal)file.Number("division_mm_per_m"), "mm/m"));
        var source = Source("slope", stations, PlaceKind.Between, 1, [Run(1, level, "v", Steps(stations), Numbers(file.At("readings")))]);
        var result = Straight("end-point", ("line", source));
        file.Reaches(1000 * file.Number("published", "straightness_mm"), result.Value!.Value, "published", "end-point straightness");
        Assert.Equal("µm", result.Unit);
        file.Reaches(file.Number("recomputed", "least_squares", "STRt"), Straight("least-squares", ("line", source)).Value!.Value, "recomputed", "least squares");
        Assert.Equal(file.Number("recomputed", "minimum_zone_vertical", "STRt"), Straight("minimum-zone", ("line", source)).Value!.Value, 9);
    }

    [Fact]
    public void An_autocollimator_in_arc_seconds_gives_the_exact_figure_and_shows_its_large_difference()
    {
        var file = ReferenceFile.Load("straightness-autocollimator-600mm");
        double[] forward = [.. Numbers(file.At("readings", "forward_seconds_over_2min"))], backward = [.. Numbers(file.At("readings", "backward_seconds_over_2min"))];
        var stations = Line(7, file.Number("step_mm"));
        var collimator = Instrument("slope", "arcsec", "slope", new Amount(1, "arcsec"));
        Run Of(int no, double[] seconds, Direction direction) => Run(no, collimator, "v", Steps(stations), seconds.Skip(1).Select(s => s - seconds[0]), LevelArrow.PlusX, direction);
        var source = Source("slope", stations, PlaceKind.Between, 2, [Of(1, forward, Direction.Outward), Of(2, backward, Direction.Back)]);
        var result = Straight("end-point", ("line", source));
        file.Reaches(file.Number("recomputed", "exact_arcsec", "end_point_straightness_um"), result.Value!.Value, "exact", "end-point straightness");
        Assert.Equal(ResultState.Calculated, result.State);
        Assert.True(result.Figure("S out/back difference") > result.Value);
    }

    [Theory]
    [InlineData("axis1")]
    [InlineData("axis2")]
    public void Sideways_deviations_of_two_axes_give_the_recomputed_straightness(string axis)
    {
        var file = ReferenceFile.Load("straightness-squareness-two-axes");
        var rows = file.At(axis).EnumerateArray().Select(r => (X: r[0].GetDouble() * 1000, Um: r[1].GetDouble())).ToArray();
        ImmutableArray<Station> stations = [.. rows.Select((r, i) => new Station($"S-{i:00}", r.X, 0))];
        var source = Source("deviation", stations, null, 1, [Run(1, Instrument("deviation", "µm", "small difference", new Amount(0.4m, "µm")), "v", stations.Select(s => s.Id), rows.Select(r => r.Um))]);
        foreach (var (reference, figure) in new[] { ("end-point", "straightness"), ("least-squares", "STRt") })
        {
            file.Reaches(file.Number("recomputed", axis, reference.Replace('-', '_'), figure), Straight(reference, ("line", source)).Value!.Value, "recomputed", $"{axis} {reference}");
        }

        Assert.Equal(file.Number("recomputed", axis, "minimum_zone_vertical", "STRt"), Straight("minimum-zone", ("line", source)).Value!.Value, 9);
    }

    [Theory]
    [InlineData("range", null, 25.0 / 3)]
    [InlineData("end-twist", null, 5.0)]
    [InlineData("local-twist", 500, 5.0)]
    [InlineData("deviation-from-mean", null, 30.0 / 7)]
    public void Two_constructed_rails_give_their_cross_level_from_heights_and_from_a_level_on_the_bridge(string evaluator, int? window, double expected)
    {
        var file = ReferenceFile.Load("constructed-two-rails");
        var points = file.At("points").EnumerateArray().ToArray();
        var gauge = file.Number("gauge_mm");
        ImmutableArray<Station> rails = [.. new[] { ("A", 0.0), ("B", gauge) }.SelectMany(r => points.Select((p, i) => new Station($"{r.Item1}-{i:00}", p.GetProperty("x_mm").GetDouble(), r.Item2)))];
        var heights = points.Select(p => p.GetProperty("rail_A_um").GetDouble()).Concat(points.Select(p => p.GetProperty("rail_B_um").GetDouble()));
        var byHeights = Source("height", rails, null, 1, [Run(1, Instrument("height", "µm", "small difference", new Amount(2, "µm")), "v", rails.Select(s => s.Id), heights)]);
        ImmutableArray<Station> bridges = [.. points.Select((p, i) => new Station($"B-{i:00}", p.GetProperty("x_mm").GetDouble(), gauge / 2))];
        var across = file.At("recomputed", "height_difference_B_minus_A_um").EnumerateArray().Select(v => v.GetDouble() / gauge * 1000);
        var byLevel = Source("slope", bridges, null, 1, [Run(1, Instrument("slope", "µm/m", "slope", new Amount(1, "µm/m")), "v", bridges.Select(s => s.Id), across)]);
        foreach (var source in new[] { byHeights, byLevel })
        {
            var result = Evaluators.Evaluate(Input(evaluator, AtMost(1, "mm/m"), null, window is { } w ? new Amount(w, "mm") : null, ("values", source))).Result;
            Assert.Equal(expected, result.Value!.Value, 9);
            Assert.Equal("µm/m", result.Unit);
        }
    }

    [Fact]
    public void A_grid_of_level_readings_gives_the_exact_flatness()
    {
        var file = ReferenceFile.Load("constructed-grid-level-network-3x4");
        var step = file.Number("step_mm");
        ImmutableArray<Station> stations = [.. from i in Enumerable.Range(0, 3) from j in Enumerable.Range(0, 4) select new Station($"N{i}{j}", j * step, i * step)];
        var rows = file.At("readings", "rows").EnumerateArray().SelectMany((row, i) => row.EnumerateArray().Select((v, j) => ($"N{i}{j}→N{i}{j + 1}", v.GetDouble())));
        var columns = file.At("readings", "columns").EnumerateArray().SelectMany((col, j) => col.EnumerateArray().Select((v, i) => ($"N{i}{j}→N{i + 1}{j}", v.GetDouble())));
        (string Place, double Value)[] all = [.. rows, .. columns];
        var level = Instrument("slope", "µm/m", "slope", new Amount(1, "µm/m"));
        var source = Source("slope", stations, PlaceKind.Between, 1, [Run(1, level, "v", all.Select(a => a.Place), all.Select(a => a.Value))]);
        var ls = Evaluators.Evaluate(Input("network-flatness", Wide, "least-squares", null, ("rises", source))).Result;

        // The file's value stands along z; square to a plane that slopes 2.8 µm/m it is 6·10⁻¹¹ µm less.
        Assert.Equal(file.Number("recomputed", "flatness", "ls_plane", "FLTt"), ls.Value!.Value, 9);
        Assert.Equal(2, ls.Figure("largest loop closure"), 9);
        var zone = Evaluators.Evaluate(Input("network-flatness", Wide, "minimum-zone", null, ("rises", source))).Result;
        Assert.Equal(file.Number("recomputed", "flatness", "minimum_zone", "perpendicular_um"), zone.Value!.Value, 9);
        Assert.True(zone.ZoneProved);
    }

    [Theory]
    [InlineData("accuracy-A", "A")]
    [InlineData("systematic-E", "E")]
    [InlineData("repeatability-R", "R")]
    [InlineData("reversal-B", "B_axis")]
    [InlineData("mean-M", "M")]
    public void The_slit_axis_gives_the_figures_of_the_standard_and_not_the_two_slips_of_its_report(string reference, string figure)
    {
        var file = ReferenceFile.Load("acc-iso230-2-slit-axis");
        double[] targets = [.. Numbers(file.At("targets"))];
        ImmutableArray<Station> stations = [.. targets.Select((t, i) => new Station($"X-{i:00}", t, 0))];
        var laser = Instrument("position", "µm", "small difference", new Amount(0.2m, "µm"));
        Run Of(int run)
        {
            var values = new[] { "forward_positions", "backward_positions" }.Select(d => targets.Select((t, i) => (file.At(d)[i][run].GetDouble() - t) * 1000).ToArray()).ToArray();
            var one = Run(run + 1, laser, "f", stations.Select(s => s.Id), values[0]);
            return one with { Readings = [.. one.Readings, .. Run(run + 101, laser, "b", stations.Select(s => s.Id), values[1]).Readings] };
        }

        Run[] runs = [.. Enumerable.Range(0, 5).Select(Of)];
        var result = Evaluators.Evaluate(Input(
            "positioning", Wide, reference, null, ("forward", Source("position", stations, null, 5, runs, "f")), ("backward", Source("position", stations, null, 5, runs, "b")))).Result;
        file.Reaches(file.Number("recomputed_um", figure), result.Value!.Value, "recomputed", figure);
        Assert.Equal(ResultState.Calculated, result.State);
    }

    [Fact]
    public void The_worked_rail_has_its_three_values_its_worst_metre_and_the_good_looking_slip()
    {
        var file = ReferenceFile.Load("worked-level-3000mm");
        double[] readings = [.. Numbers(file.At("readings_um_per_m"))];
        var stations = Line(13, file.Number("base_mm"));
        Source Of(params Run[] runs) => Source("slope", stations, PlaceKind.Between, runs.Length, runs);
        Run Level(int no, IEnumerable<double> values, LevelArrow arrow, string unit = "µm/m") => Run(no, Instrument("slope", unit, "slope", new Amount(3, unit)), "v", Steps(stations), values, arrow);

        var once = Of(Level(1, readings, LevelArrow.PlusX));
        Assert.Equal(file.Number("values", "end_point_um"), Straight("end-point", ("line", once)).Value!.Value, 2);
        Assert.Equal(file.Number("values", "least_squares_um"), Straight("least-squares", ("line", once)).Value!.Value, 2);
        Assert.Equal(file.Number("values", "minimum_zone_um"), Straight("minimum-zone", ("line", once)).Value!.Value, 2);
        var local = Evaluators.Evaluate(Input("local-straightness", Wide, "end-point", new Amount(1000, "mm"), ("line", once))).Result;
        Assert.Equal(file.Number("values", "worst_local_1m_um"), local.Value!.Value, 2);

        // The sign belongs to the level: turned and recorded as turned, it is the same rail; in seconds of arc it is five times as bad.
        Assert.Equal(file.Number("values", "end_point_um"), Straight("end-point", ("line", Of(Level(1, readings.Select(r => -r), LevelArrow.MinusX)))).Value!.Value, 2);
        Assert.Equal(file.Number("values", "as_arcsec_end_point_um"), Straight("end-point", ("line", Of(Level(1, readings, LevelArrow.PlusX, "arcsec")))).Value!.Value, 1);
        Assert.Equal(file.Number("values", "eighth_reading_flipped_end_point_um"), Straight("end-point", ("line", Of(Level(1, readings.Select((r, i) => i == 7 ? -r : r), LevelArrow.PlusX)))).Value!.Value, 2);
        var mean = Straight("end-point", ("line", Of(Level(1, readings.Select(r => r + 1), LevelArrow.PlusX), Level(2, readings.Select(r => r - 1), LevelArrow.PlusX))));
        Assert.Equal(file.Number("values", "end_point_um"), mean.Value!.Value, 2);
    }

    private static EvaluationResult Straight(string reference, params IEnumerable<(string, Source)> sources) =>
        Evaluators.Evaluate(Input("straightness", Wide, reference, null, sources)).Result;

    private static IEnumerable<double> Numbers(System.Text.Json.JsonElement array) => array.EnumerateArray().Select(v => v.GetDouble());
}
