using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Instruments;

/// <summary>What states of the register and checks tell together. Due from 30 days before the end: the trade's calibration register.</summary>
public sealed class CalibrationHistoryTests
{
    private static RegisterEntry Calibrated(string on, string to, string certificate, int revision, string? found = null, string? left = null) =>
        Make.Instrument("absolute", 4) with { CalibratedOn = on, ValidTo = to, Certificate = certificate, Revision = revision, AsFound = A(found), AsLeft = A(left) };

    private static Amount? A(string? text) => text is null ? null : Amount.TryParse(text, out var amount) ? amount : throw new FormatException(text);

    private static InstrumentCheck Check(string found, string limit = "2 µm", string day = "2026-06-01", int revision = 1) => new(9, "HGT-1", revision, day, "tom", new Instant(0), "block 10 mm", A(found)!, A(limit)!);

    /// <summary>U 4 µm; the drift is as found less as left before: 6 − 1 = 5 µm is beyond it, 3 − 1 = 2 µm is not.</summary>
    [Theory]
    [InlineData("6 µm", 5.0, true)]
    [InlineData("3 µm", 2.0, false)]
    [InlineData("-3 µm", -4.0, false)]
    [InlineData("-0.0031 mm", -4.1, true)]
    [InlineData(null, null, false)]
    public void The_drift_between_two_calibrations_is_set_against_the_U_between_them(string? found, double? drift, bool tooFar)
    {
        var steps = CalibrationHistory.Of([Calibrated("2025-01-01", "2025-12-31", "K-1", 1, "9 µm", "1 µm"), Calibrated("2026-01-01", "2026-12-31", "K-2", 2, found)]);
        Assert.Null(steps[0].Drift);
        Assert.Equal(drift is null, steps[1].Drift is null);
        Assert.Equal(drift ?? 0, steps[1].Drift ?? 0, 1e-9);
        Assert.Equal((tooFar, drift is null ? null : (double?)4), (steps[1].DriftedTooFar, steps[1].DriftLimit));
    }

    /// <summary>Where nothing was adjusted the error as found is that as left; a state without a calibration drifts by nothing.</summary>
    [Fact]
    public void A_state_that_brings_no_calibration_tells_no_drift()
    {
        var first = Calibrated("2025-01-01", "2025-12-31", "K-1", 1, "1 µm");
        var steps = CalibrationHistory.Of([first, first with { Revision = 2, State = InstrumentState.Quarantined }, Calibrated("2026-01-01", "2026-12-31", "K-2", 3, "2 µm")]);
        Assert.Equal([true, false, true], steps.Select(s => s.Calibrated));
        Assert.Null(steps[1].Drift);
        Assert.Equal(1, steps[2].Drift!.Value, 1e-9);
        Assert.Equal("+1.0 µm, within U 4.0 µm", steps[2].DriftWords);
    }

    /// <summary>12 months are 364 or 365 days, 24 months 729: the interval changed.</summary>
    [Theory]
    [InlineData("2026-12-31", null)]
    [InlineData("2027-12-31", 364)]
    [InlineData("2026-06-30", 364)]
    public void An_interval_that_changes_by_more_than_the_calendar_is_told_with_the_one_before(string validTo, int? before)
    {
        var (first, next) = (Calibrated("2025-01-01", "2025-12-31", "K-1", 1), Calibrated("2026-01-01", validTo, "K-2", 2));
        Assert.Equal(before, CalibrationHistory.Of([first, next])[1].IntervalBefore);
        var rule = InstrumentRules.WhyNotEnter(first, next);
        Assert.Equal(before is null ? null : InstrumentRules.IntervalWithoutReason, rule?.Id);
        Assert.Null(InstrumentRules.WhyNotEnter(first, next with { IntervalReason = "drifts little" }));
        Assert.Null(InstrumentRules.WhyNotEnter(null, next));
    }

    [Theory]
    [InlineData("2026-12-01", "valid", CalibrationState.Valid, 29)]
    [InlineData("2026-12-01", "due in 30 days", CalibrationState.Due, 30)]
    [InlineData("2026-12-30", "due in 1 day", CalibrationState.Due, 30)]
    [InlineData("2026-12-31", "due today, its last day", CalibrationState.Due, 0)]
    [InlineData("2027-01-01", "proves nothing: calibration of HGT-1 expired on 2026-12-31; measured on 2027-01-01", CalibrationState.Expired, 30)]
    public void A_calibration_is_due_from_the_companys_number_of_days_before_its_end(string day, string words, CalibrationState state, int dueDays)
    {
        var entry = Calibrated("2026-01-01", "2026-12-31", "K-1", 1);
        Assert.Equal((words, state), (CalibrationHistory.Words(entry, day, dueDays), CalibrationHistory.StateOn(entry, day, dueDays)));
    }

    [Theory]
    [InlineData("2 µm", true)]
    [InlineData("-2 µm", true)]
    [InlineData("0.002 mm", true)]
    [InlineData("2.1 µm", false)]
    [InlineData("-2.1 µm", false)]
    public void A_check_is_good_up_to_its_limit_on_either_side(string found, bool good) => Assert.Equal(good, Check(found).Good);

    [Fact]
    public void After_a_check_that_failed_an_instrument_proves_nothing_until_a_good_one_or_a_calibration()
    {
        var entry = Calibrated("2026-01-01", "2026-12-31", "K-1", 1);
        var failed = Check("3 µm");
        Assert.Equal("check of HGT-1 on 2026-06-01 failed: found 3 µm, allowed 2 µm, against block 10 mm", InstrumentRules.WhyFailed([entry], failed));
        Assert.NotNull(InstrumentRules.WhyFailed([entry, entry with { Revision = 2, State = InstrumentState.Quarantined }], failed));
        Assert.Null(InstrumentRules.WhyFailed([entry, Calibrated("2026-06-02", "2027-06-01", "K-2", 2)], failed));
        Assert.Null(InstrumentRules.WhyFailed([entry], Check("1 µm")));
        Assert.Null(InstrumentRules.WhyFailed([entry], null));

        var now = entry with { CheckFailed = failed.Sentence };
        Assert.Equal(failed.Sentence, now.WhyNotValidOn("2026-06-01"));
        Assert.Equal(CalibrationState.CheckFailed, CalibrationHistory.StateOn(now, "2026-06-01", 30));
        Assert.Equal(InstrumentRules.LastCheckFailed, InstrumentRules.WhyNotUse(now, "2026-06-01")!.Id);
    }

    [Fact]
    public void Only_an_instrument_that_the_register_says_so_of_needs_a_good_check_of_the_day()
    {
        var entry = Calibrated("2026-01-01", "2026-12-31", "K-1", 1);
        Assert.Null(InstrumentRules.WhyNotUse(entry, "2026-06-01"));
        var needs = entry with { NeedsCheck = true };
        Assert.Equal(InstrumentRules.NotChecked, InstrumentRules.WhyNotUse(needs, "2026-06-01")!.Id);
        Assert.Contains("its last was on 2026-06-01", InstrumentRules.WhyNotUse(needs with { LastChecked = "2026-06-01" }, "2026-06-02")!.Sentence, StringComparison.Ordinal);
        Assert.Null(InstrumentRules.WhyNotUse(needs with { LastChecked = "2026-06-01" }, "2026-06-01"));
    }

    [Fact]
    public void Readings_are_in_doubt_from_the_last_good_check_else_from_the_calibration()
    {
        var entry = Calibrated("2026-01-01", "2026-12-31", "K-1", 1);
        Assert.Equal("2026-01-01", InstrumentRules.LastGood(entry, []));
        Assert.Equal("2026-05-01", InstrumentRules.LastGood(entry, [Check("1 µm", day: "2026-05-01"), Check("3 µm", day: "2026-06-01")]));
        Assert.Equal("2026-01-01", InstrumentRules.LastGood(entry, [Check("1 µm", day: "2025-05-01")]));
    }

    /// <summary>docs/method/reversal.md: zero (a + b)/2, slope (a − b)/2; one arc-second is π/648000 m/m; a division is worth what the register says.</summary>
    [Theory]
    [InlineData("12.4 µm/m", "-11.6 µm/m", 0.4, 12.0)]
    [InlineData("0.0124 mm/m", "-11.6 µm/m", 0.4, 12.0)]
    [InlineData("1 arcsec", "1 arcsec", 4.84813681, 0.0)]
    [InlineData("1.5 div", "-0.5 div", 10.0, 20.0)]
    public void A_reversal_parts_the_zero_of_a_level_from_the_slope_of_its_place(string a, string b, double zero, double slope)
    {
        var entry = Make.Instrument("slope", 3) with { Unit = "div", Division = A("20 µm/m") };
        var reversal = LevelReversal.Of(1, entry, "2026-06-01", "tom", new Instant(0), "plate", A(a)!, A(b)!);
        Assert.Equal(zero, reversal.ZeroUmPerM, 1e-7);
        Assert.Equal(slope, reversal.SlopeUmPerM, 1e-7);
    }
}
