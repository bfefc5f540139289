using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Straightness;

public sealed class StraightnessEdgeTests
{
    [Theory]
    [InlineData(0, "are 0")]
    [InlineData(1, "is 1")]
    [InlineData(2, "are 2")]
    public void Fewer_than_three_stations_have_no_straightness(int count, string words)
    {
        var result = StraightnessCalculation.Of([.. Enumerable.Range(0, count).Select(i => 100.0 * i)], new double[count]);
        Assert.Equal(StraightnessDefect.TooFewStations, result.Defect);
        Assert.Null(result.Values);
        Assert.Contains(words, result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Two_stations_at_one_place_are_named()
    {
        var result = StraightnessCalculation.Of([0, 250, 250.0005, 500], [0, 1, 2, 3]);
        Assert.Equal(StraightnessDefect.StationsTooNear, result.Defect);
        Assert.Contains("250 mm and 250.0005 mm", result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_straight_line_has_zones_of_zero_and_no_contacts()
    {
        double[] x = [.. Enumerable.Range(0, 13).Select(i => 250.0 * i)];
        var values = StraightnessCalculation.Of(x, [.. x.Select(v => 1e6 + (0.0371 * v))]).Values!;
        Assert.Equal(0, values.MinimumZoneUm);
        Assert.Empty(values.Contacts);
        Agreement.Near(37.1, values.SlopeUmPerM, 1e-7, "slope");
    }

    [Fact]
    public void Stations_too_far_apart_for_the_window_leave_no_worst_stretch_and_some_leave_it_incomplete()
    {
        Assert.Null(StraightnessCalculation.Of([0, 600, 1200, 1800], [0, 5, 0, 5]).Values!.WorstLocal);
        var worst = StraightnessCalculation.Of([0, 500, 1000, 1900], [0, 5, 0, 0]).Values!.WorstLocal!;
        Assert.Equal(5, worst.ValueUm, 12);
        Assert.False(worst.Complete);
        Assert.Equal(500, StraightnessCalculation.Of([0, 100, 250, 400], [0, 5, 0, 5], 500).Values!.WorstLocal!.LengthMm);
    }

    [Fact]
    public void Steps_that_are_not_exact_in_binary_fill_the_window()
    {
        double[] x = [.. Enumerable.Range(0, 21).Select(i => i * 0.1)];
        var worst = StraightnessCalculation.Of(x, [.. x.Select((_, i) => i % 10 == 0 ? 0.0 : i < 10 ? 1 : 0)], 1).Values!.WorstLocal!;
        Assert.Equal(0, worst.FromMm);
        Assert.Equal(1, worst.ToMm, 12);
    }

    [Fact]
    public void Numbers_that_are_none_and_numbers_beyond_all_measure_are_refused()
    {
        Assert.StartsWith("heightsUm[2] is NaN", Assert.Throws<ArgumentException>(() => StraightnessCalculation.Of([0, 1, 2], [0, 0, double.NaN])).Message, StringComparison.Ordinal);
        Assert.StartsWith("positionsMm[0] is infinite", Assert.Throws<ArgumentException>(() => StraightnessCalculation.Of([double.PositiveInfinity, 1, 2], [0, 0, 0])).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => StraightnessCalculation.Of([0, 1, 2], [0, 1e300, 0]));
        Assert.Throws<ArgumentOutOfRangeException>(() => StraightnessCalculation.Of([0, 1, 2], [0, 1, 0], 0));
        Assert.Throws<ArgumentException>(() => StraightnessCalculation.Of([0, 1, 2], [0, 1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelReadings.HeightsUm([1, 2], 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelReadings.HeightsUm([1e13], 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelReadings.TowardPlusX(1, (LevelArrow)7));
        Assert.Throws<ArgumentException>(() => LevelReadings.FromArcsec([double.NaN]));
    }

    [Fact]
    public void Out_and_back_give_their_mean_and_their_differences_per_station_and_overall()
    {
        var both = OutAndBack.Of([0, 250, 500, 1000], [0, 4, 6, 10], [0, 2, 5, 6]);
        Assert.Equal([0, 3, 5.5, 8], both.MeanHeightsUm);
        Assert.Equal([0, 2, 1, 4], both.DifferencesUm);
        Assert.Equal(4, both.LargestUm);

        // About the chord 0 … 4 over 1000 mm: 2 − 1 = 1 and 1 − 2 = −1. Steps: 2 µm in 250 mm are 8 µm/m, 3 µm in 500 mm 6.
        Assert.Equal(1, both.LargestAboutEndsUm, 12);
        Assert.Equal(8, both.LargestSlopeUmPerM, 12);
        Assert.Throws<ArgumentException>(() => OutAndBack.Of([0], [0], [0]));
        Assert.Throws<ArgumentException>(() => OutAndBack.Of([0, 0], [0, 1], [0, 1]));
    }

    [Fact]
    public void A_level_that_was_not_turned_is_noticed_and_a_good_pair_of_runs_is_not()
    {
        var readings = StraightnessReferenceTests.Numbers(ReferenceFile.Load("worked-level-3000mm").At("readings_um_per_m"));
        double[] flipped = [.. readings.Select(r => -r)];
        Assert.True(OutAndBack.IsProbableSignFault(readings, flipped, 2));
        Assert.True(OutAndBack.IsProbableSignFault(readings, [.. flipped.Select(r => r + 500)], 2));
        Assert.False(OutAndBack.IsProbableSignFault(readings, readings, 2));

        // The rises have 9.2 µm/m rms: with u = 3.2 they are lost in noise, and noise has no sign.
        Assert.False(OutAndBack.IsProbableSignFault(readings, flipped, 3.2));
        Assert.False(OutAndBack.IsProbableSignFault([0, 0, 0], [0, 0, 0], 0));
        Assert.False(OutAndBack.IsProbableSignFault([], [], 1));
    }

    [Theory]
    [InlineData(-0.4, false)]
    [InlineData(-0.6, true)]
    public void The_correlation_decides_at_minus_one_half(double correlation, bool fault)
    {
        // Two patterns at right angles, mixed to the correlation wanted.
        double[] a = [1, -1, 1, -1], b = [1, 1, -1, -1];
        var other = a.Select((v, i) => (correlation * v) + (Math.Sqrt(1 - (correlation * correlation)) * b[i])).ToArray();
        Assert.Equal(fault, OutAndBack.IsProbableSignFault(a, other, 0.1));
    }
}
