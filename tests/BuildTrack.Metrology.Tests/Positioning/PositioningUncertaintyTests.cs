using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Positioning;

/// <summary>ISO/TR 230-9:2005, Annex C, from memory; its numeric example was not at hand, so closed forms.</summary>
public sealed class PositioningUncertaintyTests
{
    private static readonly PositioningConditions Worked = new(2000, 2, 1, 1, 0, 11.5, 1, Temperature.FromDegreesCelsius(25), 1.7);

    [Fact]
    public void The_worked_axis_of_two_metres_has_its_parts_and_their_sum()
    {
        var parts = PositioningUncertainty.Of(Worked);
        foreach (var (expected, value) in new[]
        {
            (2, parts.InstrumentUm), (0.15, parts.MisalignmentUm), (13.8, parts.TemperatureUm), (0, parts.InstrumentTemperatureUm), (6, parts.ExpansionUm), (1.02, parts.DriftUm),
            (Math.Sqrt(4 + 0.0225 + 190.44 + 36 + 1.0404), parts.AccuracyUm),
        })
        {
            Agreement.Near(expected, value, 1e-12, "part");
        }

        Assert.Equal(15.2, Math.Round(parts.AccuracyUm, 1));
    }

    [Fact]
    public void Only_the_distance_from_twenty_degrees_counts_and_a_scale_adds_its_own_temperature()
    {
        var cold = PositioningUncertainty.Of(Worked with { Temperature = Temperature.FromDegreesCelsius(15), InstrumentTemperatureRangeK = 2 });
        Agreement.Near(6, cold.ExpansionUm, 1e-12, "expansion");
        Agreement.Near(27.6, cold.InstrumentTemperatureUm, 1e-12, "scale");
        Assert.Equal(0, PositioningUncertainty.Of(Worked with { Temperature = Temperature.Reference }).ExpansionUm);
    }

    [Fact]
    public void The_factor_of_a_rectangular_range_is_that_of_its_standard_deviation_rounded_up() =>
        Assert.InRange(PositioningUncertainty.Rectangular - (2 / Math.Sqrt(12)), 0, 0.025);

    [Fact]
    public void Numbers_that_are_none_are_refused_by_name()
    {
        var refused = Assert.Throws<ArgumentException>(() => PositioningUncertainty.Of(Worked with { DriftUm = double.NaN }));
        Assert.Contains("DriftUm is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { LengthMm = 0 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { LengthMm = 1e-9 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { TemperatureRangeK = -1 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { MisalignmentMm = 1e7 }));
    }
}
