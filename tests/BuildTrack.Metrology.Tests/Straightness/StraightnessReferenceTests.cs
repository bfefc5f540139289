using System.Text.Json;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Straightness;

public sealed class StraightnessReferenceTests
{
    [Fact]
    public void The_published_level_readings_of_a_guideway_give_its_published_straightness()
    {
        var file = ReferenceFile.Load("straightness-level-1200mm");
        var umPerM = Numbers(file.At("readings")).Select(r => r * 1000 * file.Number("division_mm_per_m")).ToArray();
        var step = file.Number("step_mm");
        var heights = LevelReadings.HeightsUm(umPerM, step);
        Same(file, Numbers(file.At("recomputed", "heights_um")), heights, "heights");

        var values = StraightnessCalculation.Of(LevelReadings.PositionsMm(umPerM.Length, step).AsSpan(), heights.AsSpan()).Values!;

        file.Reaches(1000 * file.Number("published", "straightness_mm"), values.EndPointUm, "published", "end-point");
        Same(file, Numbers(file.At("recomputed", "end_point", "deviations")), values.EndPointDeviationsUm, "recomputed");
        file.Reaches(file.Number("recomputed", "least_squares", "STRt"), values.LeastSquaresUm, "recomputed", "least squares");
        Same(file, Numbers(file.At("recomputed", "least_squares", "deviations")), values.LeastSquaresDeviationsUm, "recomputed");
        file.Reaches(1000 * file.Number("recomputed", "least_squares", "slope"), values.SlopeUmPerM, "recomputed", "slope");
        file.Reaches(file.Number("recomputed", "minimum_zone_vertical", "STRt"), values.MinimumZoneUm, "recomputed", "minimum zone");
    }

    [Fact]
    public void The_published_autocollimator_seconds_give_3_um_with_the_rounded_second_and_less_with_the_exact_one()
    {
        var file = ReferenceFile.Load("straightness-autocollimator-600mm");
        double[] forward = Numbers(file.At("readings", "forward_seconds_over_2min")), backward = Numbers(file.At("readings", "backward_seconds_over_2min"));
        var mean = forward.Zip(backward, (f, b) => (f + b) / 2).ToArray();

        // The first station is the reference of the notes: its reading is taken from all others and it gives no rise.
        double[] seconds = [.. mean.Skip(1).Select(m => m - mean[0])];
        var step = file.Number("step_mm");
        var positions = LevelReadings.PositionsMm(seconds.Length, step);

        var rounded = StraightnessCalculation.Of(positions.AsSpan(), LevelReadings.HeightsUm([.. seconds.Select(s => s * 5)], step).AsSpan()).Values!;
        file.Reaches(file.Number("published", "straightness_um"), rounded.EndPointUm, "published", "straightness");
        file.Reaches(file.Number("published", "max_deviation_um"), rounded.EndPointDeviationsUm.Max(), "published", "largest");
        file.Reaches(file.Number("published", "min_deviation_um"), rounded.EndPointDeviationsUm.Min(), "published", "smallest");
        file.Reaches(file.Number("recomputed", "rounded_constant", "least_squares", "STRt"), rounded.LeastSquaresUm, "recomputed", "least squares");
        file.Reaches(file.Number("recomputed", "rounded_constant", "minimum_zone_vertical", "STRt"), rounded.MinimumZoneUm, "recomputed", "minimum zone");

        var heights = LevelReadings.HeightsUm(LevelReadings.FromArcsec(seconds).AsSpan(), step);
        Same(file, Numbers(file.At("recomputed", "exact_arcsec", "cumulative_um")), heights, "exact");
        file.Reaches(file.Number("recomputed", "exact_arcsec", "end_point_straightness_um"),
            StraightnessCalculation.Of(positions.AsSpan(), heights.AsSpan()).Values!.EndPointUm, "exact", "exact second");
    }

    [Theory]
    [InlineData("axis1")]
    [InlineData("axis2")]
    public void Both_axes_of_the_handbook_example_have_its_slopes_and_deviations(string axis)
    {
        var file = ReferenceFile.Load("straightness-squareness-two-axes");
        var rows = file.At(axis).EnumerateArray().Select(Numbers).ToArray();
        var values = StraightnessCalculation.Of([.. rows.Select(r => 1000 * r[0])], [.. rows.Select(r => r[1])]).Values!;
        var expected = file.At("recomputed", axis);

        Assert.Equal(file.Number("published", axis, "end_point_slope_um_per_m"), Math.Round(values.EndPointSlopeUmPerM, 2));
        Assert.Equal(file.Number("published", axis, "ls_slope_um_per_m"), Math.Round(values.SlopeUmPerM, 2));
        Same(file, Numbers(expected.GetProperty("end_point").GetProperty("deviations")), values.EndPointDeviationsUm, "recomputed");
        Same(file, Numbers(expected.GetProperty("least_squares").GetProperty("deviations")), values.LeastSquaresDeviationsUm, "recomputed");
        file.Reaches(expected.GetProperty("end_point").GetProperty("straightness").GetDouble(), values.EndPointUm, "recomputed", "end-point");
        file.Reaches(expected.GetProperty("least_squares").GetProperty("STRt").GetDouble(), values.LeastSquaresUm, "recomputed", "least squares");
        file.Reaches(expected.GetProperty("minimum_zone_vertical").GetProperty("STRt").GetDouble(), values.MinimumZoneUm, "recomputed", "minimum zone");
    }

    [Fact]
    public void The_worked_rail_of_three_metres_has_its_table_and_its_worst_metre()
    {
        var file = ReferenceFile.Load("worked-level-3000mm");
        var readings = Numbers(file.At("readings_um_per_m"));
        var values = Rail(readings);
        Assert.Equal(Numbers(file.At("heights_um")), LevelReadings.HeightsUm(readings, file.Number("base_mm")));
        Assert.Equal(Numbers(file.At("end_point_um")), values.EndPointDeviationsUm.Select(Hundredths));
        Assert.Equal(Numbers(file.At("least_squares_um")), values.LeastSquaresDeviationsUm.Select(Hundredths));
        Assert.Equal(file.Number("values", "end_point_um"), Hundredths(values.EndPointUm));
        Assert.Equal(file.Number("values", "least_squares_um"), Hundredths(values.LeastSquaresUm));
        Assert.Equal(file.Number("values", "minimum_zone_um"), Hundredths(values.MinimumZoneUm));
        file.Reaches(file.Number("values", "slope_um_per_m"), values.SlopeUmPerM, "slope", "slope");
        Agreement.Near(file.Number("values", "worst_local_1m_um"), values.WorstLocal!.ValueUm, 1e-12, "worst metre");
        Assert.Equal(500, values.WorstLocal.FromMm);
        Assert.Equal(1500, values.WorstLocal.ToMm);
        Assert.True(values.WorstLocal.Complete);

        double[] flipped = [.. readings.Select((r, i) => i == 7 ? -r : r)];
        Assert.Equal(file.Number("values", "eighth_reading_flipped_end_point_um"), Hundredths(Rail(flipped).EndPointUm));
        Assert.Equal(file.Number("values", "as_arcsec_end_point_um"), Math.Round(Rail([.. LevelReadings.FromArcsec(readings)]).EndPointUm, 1));
        Assert.Equal(values.EndPointUm, Rail([.. readings.Select(r => LevelReadings.TowardPlusX(r, LevelArrow.TowardMinusX))]).EndPointUm, 12);

        StraightnessValues Rail(double[] umPerM) => StraightnessCalculation.Of(
            LevelReadings.PositionsMm(umPerM.Length, file.Number("base_mm")).AsSpan(), LevelReadings.HeightsUm(umPerM, file.Number("base_mm")).AsSpan()).Values!;
    }

    [Fact]
    public void Pearsons_points_have_their_perpendicular_zone()
    {
        var file = ReferenceFile.Load("line-pearson-1901");
        var rows = file.At("points").EnumerateArray().Select(Numbers).ToArray();

        // Without a unit: here 1 is 1 mm along and 1000 µm in height.
        var values = StraightnessCalculation.Of([.. rows.Select(r => r[0])], [.. rows.Select(r => 1000 * r[1])]).Values!;
        file.Reaches(1000 * file.Number("recomputed", "perpendicular_minimum_zone"), values.PerpendicularMinimumZoneUm, "zone", "perpendicular");
    }

    [Theory]
    [InlineData("rail_A")]
    [InlineData("rail_B")]
    public void Both_constructed_rails_have_their_three_straightnesses(string rail)
    {
        var file = ReferenceFile.Load("constructed-two-rails");
        var rows = file.At("points").EnumerateArray().ToArray();
        var values = StraightnessCalculation.Of(
            [.. rows.Select(r => r.GetProperty("x_mm").GetDouble())], [.. rows.Select(r => r.GetProperty(rail + "_um").GetDouble())]).Values!;
        file.Reaches(file.Number("recomputed", rail, "end_point"), values.EndPointUm, "recomputed", "end-point");
        file.Reaches(file.Number("recomputed", rail, "ls"), values.LeastSquaresUm, "recomputed", "least squares");
        file.Reaches(file.Number("recomputed", rail, "minimum_zone"), values.MinimumZoneUm, "recomputed", "minimum zone");
        file.Reaches(file.Number("recomputed", rail, "ls_slope_um_per_m"), values.SlopeUmPerM, "recomputed", "slope");
    }

    [Fact]
    public void One_arc_second_is_the_exact_small_angle() => Assert.Equal(4.84813681109536, LevelReadings.UmPerMPerArcsec, 14);

    internal static double[] Numbers(JsonElement array) => [.. array.EnumerateArray().Select(v => v.GetDouble())];

    private static double Hundredths(double value) => Math.Round(value, 2, MidpointRounding.AwayFromZero) + 0.0;

    private static void Same(ReferenceFile file, double[] expected, IReadOnlyList<double> actual, string digitsOf)
    {
        Assert.Equal(expected.Length, actual.Count);
        for (var i = 0; i < expected.Length; i++)
            Agreement.Near(expected[i], actual[i], Math.Pow(10, -file.Digits(digitsOf)) * Math.Max(1, Math.Abs(expected[i])), $"{file.Name}, station {i}");
    }
}
