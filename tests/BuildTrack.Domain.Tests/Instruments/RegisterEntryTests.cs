using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Instruments;

public sealed class RegisterEntryTests
{
    [Theory]
    [InlineData("2025-12-31", "was calibrated on 2026-01-01, after the measurement of 2025-12-31")]
    [InlineData("2026-01-01", null)]
    [InlineData("2026-06-30", null)]
    [InlineData("2026-12-31", null)]
    [InlineData("2027-01-01", "expired on 2026-12-31; measured on 2027-01-01")]
    public void Both_days_of_the_calibration_count(string day, string? why)
    {
        var found = Make.Instrument("absolute", 1).WhyNotValidOn(day);
        Assert.Equal(why is null, found is null);
        Assert.EndsWith(why ?? "", found ?? "", StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(InstrumentState.OutOfLimits, "instrument HGT-1 is out of limits")]
    [InlineData(InstrumentState.Quarantined, "instrument HGT-1 is quarantined")]
    [InlineData(InstrumentState.Lost, "instrument HGT-1 is lost")]
    public void An_instrument_not_in_service_is_valid_on_no_day(InstrumentState state, string why) =>
        Assert.Equal(why, (Make.Instrument("absolute", 1) with { State = state }).WhyNotValidOn("2026-06-30"));

    /// <summary>TRK-01 of the demo: U 4 µm to 2 m, 6 µm to 4.5 m, 14 µm to 8.5 m for a small difference.</summary>
    [Theory]
    [InlineData(1450, 4.0)]
    [InlineData(2000, 4.0)]
    [InlineData(2000.1, 6.0)]
    [InlineData(4500, 6.0)]
    [InlineData(7000, 14.0)]
    [InlineData(8500.1, null)]
    public void The_nearest_row_that_reaches_far_enough_holds(double distance, double? u)
    {
        var entry = Make.Instrument("small difference", 1) with
        {
            Figures =
            [
                new RegisterFigure("small difference", 8500, Make.Um(14), null, 2, null, null), new RegisterFigure("small difference", 2000, Make.Um(4), null, 2, null, null),
                new RegisterFigure("small difference", 4500, Make.Um(6), null, 2, null, null), new RegisterFigure("absolute", null, Make.Um(50), null, 2, null, null),
            ],
        };
        Assert.Equal(u, entry.FigureFor("small difference", distance)?.Expanded(distance));
        Assert.Null(entry.FigureFor("slope", distance));
    }

    [Theory]
    [InlineData("small difference", 1.4, 0)] // σ of a reading is 2/2/√2 = 0.707 µm: twice that is 1.414
    [InlineData("small difference", 1.5, 1.5)]
    [InlineData("absolute", 1.9, 0)] // σ is 1 µm
    [InlineData("absolute", 2.1, 2.1)]
    public void A_digit_is_coarse_above_twice_the_standard_uncertainty_of_a_reading(string use, double digit, double coarse)
    {
        var figure = new RegisterFigure(use, null, Make.Um(4), null, 2, Make.Um(2), null);
        Assert.Equal(coarse, figure.CoarseDigit(digit, 0, use == "small difference" ? 2 : 1));
        Assert.Equal(coarse, (figure with { NoRandomPart = true }).CoarseDigit(digit, 0, use == "small difference" ? 2 : 1));
        Assert.Equal(0, (figure with { NoCommonPart = true }).CoarseDigit(digit, 0, 1));
        Assert.Equal(0, figure.CoarseDigit(null, 0, 1));
    }

    [Fact]
    public void A_digit_in_divisions_is_worth_what_a_division_is()
    {
        var vial = Make.Instrument("slope", 4) with { Unit = "div", Division = new Amount(20, "µm/m"), Digit = new Amount(0.5m, "div") };
        Assert.Equal(10, vial.DigitCalculated);
        Assert.Equal(2, (vial with { Unit = "mm", Digit = new Amount(0.002m, "mm") }).DigitCalculated);
        Assert.Null((vial with { Digit = null }).DigitCalculated);
    }

    [Fact]
    public void U_grows_with_the_distance_and_splits_in_halves_unless_the_register_says_otherwise()
    {
        var plain = new RegisterFigure("absolute", null, Make.Um(1), Make.Um(1.5), 2, null, null);
        Assert.Equal((4.0, 2.0, 2.0), (plain.Expanded(2000), plain.RandomPart(2000), plain.CommonPart(2000)));
        var split = plain with { Random = Make.Um(0.5), Common = new Amount(0.003m, "mm") };
        Assert.Equal((4.0, 0.5, 3.0), (split.Expanded(2000), split.RandomPart(2000), split.CommonPart(2000)));
    }
}
