using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.InstrumentRegister;

/// <summary>What is done with an instrument itself, and what follows for the runs that would be begun with it.</summary>
public sealed class InstrumentRecordTests
{
    private static Task<InstrumentReceipt> Check(TestPlant plant, string found, string limit = "2 µm", string instrument = "HGT-01", string reference = "block 10 mm, no. 3") =>
        plant.Get<InstrumentRecordActs>().Check(TestPlant.Technician, new CheckInstrumentRequest(instrument, reference, found, limit), null, default);

    private static Task<InstrumentHistory> History(TestPlant plant, string instrument = "HGT-01") => plant.Get<InstrumentReader>().History(instrument, default);

    private static Task<ActReceipt> Register(TestPlant plant, RegisterEntry entry) => plant.Get<InstrumentActs>().Register(TestPlant.Administrator, new RegisterInstrumentRequest(entry), null, default);

    private static RegisterEntry Height => TestPlant.Instrument("HGT-01", "height", "µm", "small difference", "2 µm");

    [Theory, OnBoth]
    public async Task After_a_check_that_failed_no_run_is_begun_with_it_until_a_good_check_or_a_calibration(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");
        Assert.Equal("check of HGT-01 on 2026-03-02 failed: found -2.1 µm, allowed 2 µm, against block 10 mm, no. 3", (await Check(plant, "-2,1")).Sentence);
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-1")));
        Assert.Equal((InstrumentRules.LastCheckFailed, true), (refused.Rule.Id, refused.Rule.Sentence.Contains("found -2.1 µm, allowed 2 µm", StringComparison.Ordinal)));
        Assert.NotNull((await plant.Get<InstrumentReader>().List(default)).Single(e => e.Id == "HGT-01").CheckFailed);

        await Check(plant, "0.0019 mm");
        Assert.Null((await History(plant)).Entry.CheckFailed);
        await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-1"));

        await Check(plant, "5 µm");
        await Register(plant, Height with { State = InstrumentState.Quarantined });
        await Register(plant, Height);
        Assert.NotNull((await History(plant)).Entry.CheckFailed);
        await Register(plant, Height with { CalibratedOn = "2026-03-02", ValidTo = "2029-02-20", Certificate = "K-9" });
        await plant.Order("C-2");
        await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-2"));
        Assert.Equal([false, true, false], (await History(plant)).Checks.Select(c => c.Good));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task An_instrument_that_needs_it_is_checked_on_the_day_of_every_run(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-3");
        await Register(plant, Height with { NeedsCheck = true });
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-3")));
        Assert.Equal(InstrumentRules.NotChecked, refused.Rule.Id);
        await Check(plant, "0.4 µm");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("C-3"), TestPlant.Triangle);
        plant.Clock.Advance(TimeSpan.FromDays(1));
        var next = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-3")));
        Assert.Contains("its last was on 2026-03-02", next.Rule.Sentence, StringComparison.Ordinal);
        Assert.True((await plant.Machine("C-3")).Measurements.Single().Runs.Single().Instruments.Single().NeedsCheck);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_finding_goes_back_to_the_last_good_check(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-4");
        plant.Clock.Advance(TimeSpan.FromDays(2));
        await Check(plant, "0.5 µm");
        await plant.Accepted("C-5");
        plant.Clock.Advance(TimeSpan.FromDays(1));
        await Check(plant, "4 µm");
        Assert.Equal("2026-03-04", (await History(plant)).LastGood);
        var finding = (await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Inspector, new RecordUnfitRequest("HGT-01", "4 µm", "2 µm", null, "check of today"), null, default)).Finding;
        var review = await plant.Get<AffectedReader>().Review(finding, default);
        Assert.Equal(("2026-03-04", "C-5"), (review.Finding.LastGood, review.Machines.Single().Machine.Serial));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_changed_interval_needs_its_reason_and_the_history_tells_it_with_the_drift(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var shorter = Height with { CalibratedOn = "2026-03-02", ValidTo = "2027-03-01", Certificate = "K-2", AsFound = new Amount(1.5m, "µm"), AsLeft = new Amount(0.1m, "µm"), Laboratory = "own bench" };
        var refused = await plant.LeavesNothing<RefusedException>(() => Register(plant, shorter));
        Assert.Equal(InstrumentRules.IntervalWithoutReason, refused.Rule.Id);
        await Register(plant, shorter with { IntervalReason = "drifts" });
        await Register(plant, shorter with { CalibratedOn = "2026-03-03", ValidTo = "2027-03-02", Certificate = "K-3", AsFound = new Amount(0.0026m, "mm"), AsLeft = null });
        var states = (await History(plant)).States;
        Assert.Equal([3, 2, 1], states.Select(s => s.Entry.Revision));
        Assert.Equal((364, 1086, "drifts"), (states[1].Step.IntervalDays, states[1].Step.IntervalBefore, states[1].Entry.IntervalReason));
        Assert.Equal(2.5, states[0].Step.Drift!.Value, 1e-9);
        Assert.True(states[0].Step.DriftedTooFar);
        var bad = await plant.LeavesNothing<BadInputException>(() => Register(plant, shorter with { IntervalReason = new string('x', 201), AsFound = new Amount(1, "W"), Figures = [Height.Figures[0] with { UpToMm = -1 }] }));
        Assert.Equal(["reason of the interval", "error as found", "uncertainty for 'small difference', up to"], bad.Faults.Select(f => f.Where));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_reversal_is_kept_with_its_zero_and_slope_and_only_of_a_level(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var acts = plant.Get<InstrumentRecordActs>();
        var receipt = await acts.Reverse(TestPlant.Technician, new ReverseLevelRequest("LVL-01", "granite plate, mark 1", "12,4", "−0.0116 mm/m"), null, default);
        var kept = (await History(plant, "LVL-01")).Reversals.Single();
        Assert.Equal((receipt.Id, "granite plate, mark 1", new Amount(12.4m, "µm/m")), (kept.Id, kept.Place, kept.First));
        Assert.Equal(0.4, kept.ZeroUmPerM, 1e-9);
        Assert.Equal(12.0, kept.SlopeUmPerM, 1e-9);
        var refused = await plant.LeavesNothing<RefusedException>(() => acts.Reverse(TestPlant.Technician, new ReverseLevelRequest("HGT-01", "plate", "1", "2"), null, default));
        Assert.Equal(InstrumentRules.NoLevel, refused.Rule.Id);
        var bad = await plant.LeavesNothing<BadInputException>(() => acts.Reverse(TestPlant.Technician, new ReverseLevelRequest("LVL-01", " ", "much", "1 W"), null, default));
        Assert.Equal(["place", "first reading", "reading end for end"], bad.Faults.Select(f => f.Where));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_check_is_refused_by_name_where_it_says_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        foreach (var (found, limit, reference, where) in new[]
        {
            ("", "2 µm", "block", "departure found"), ("1 W", "2 µm", "block", "departure found"), ("1e400", "2 µm", "block", "departure found"), ("NaN", "2 µm", "block", "departure found"),
            ("99999999999999999999", "2 µm", "block", "departure found"), ("1", "0", "block", "limit"), ("1", "-2 µm", "block", "limit"), ("1", "2 µm", "", "reference"),
        })
        {
            Assert.Equal(where, (await plant.LeavesNothing<BadInputException>(() => Check(plant, found, limit, reference: reference))).Faults.Single().Where);
        }

        await plant.LeavesNothing<NotFoundException>(() => Check(plant, "1", instrument: "HGT-99"));
        await Assert.ThrowsAsync<NotFoundException>(() => History(plant, "HGT-99"));
    }

    /// <summary>2 parts × 2 persons × 2 repeats; by hand: MS of parts 200, of persons 2, of both 0, of repeats 0.5. The interaction's F is 0, so it is pooled:
    /// repeatability 2/5, persons (2 − 0.4)/4 = 0.4, together 0.8; parts (200 − 0.4)/4 = 49.9; share √(0.8/50.7).</summary>
    private static ImmutableArray<GaugeReading> Readings { get; } =
    [
        .. from part in new[] { 0, 1 } from person in new[] { 0, 1 } from trial in new[] { 1, 2 }
           select new GaugeReading($"part {part}", $"person {person}", trial, (10 * part) + person + (trial - 1)),
    ];

    [Theory, OnBoth]
    public async Task A_gauge_study_is_kept_as_it_was_calculated(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var acts = plant.Get<InstrumentRecordActs>();
        var request = new GaugeStudyRequest("HGT-01", "two blocks", null, 20, Readings);
        await acts.Study(TestPlant.Technician, request, null, default);
        var kept = (await History(plant)).Studies.Single();
        Assert.Equal(("two blocks", "µm", 8, 1), (kept.About, kept.Unit, kept.Readings.Length, kept.Revision));
        Assert.True(kept.Result.IsPooled);
        Assert.Equal(Math.Sqrt(0.8 / 50.7), kept.GaugeShare, 1e-9);
        Assert.Equal(6 * Math.Sqrt(0.8) / 20, kept.Result.Used!.Gauge.PartOfTolerance!.Value, 1e-9);
        Assert.NotNull(kept.Result.AverageAndRange);

        foreach (var (bad, where) in new[]
        {
            (request with { Readings = [.. Readings.Skip(1)] }, "readings"), (request with { Readings = [] }, "readings"), (request with { Readings = [.. Readings, Readings[0]] }, "readings"),
            (request with { Readings = [Readings[0] with { Value = double.NaN }, .. Readings.Skip(1)] }, "the request"), (request with { Unit = "W" }, "unit"), (request with { ToleranceWidth = 0 }, "width of the tolerance"),
            (request with { About = "" }, "what was studied"),
            (request with { Readings = [.. Enumerable.Range(0, 2001).Select(i => new GaugeReading("p", "a", i, i))] }, "readings"),
        })
        {
            var error = await plant.LeavesNothing<BadInputException>(() => acts.Study(TestPlant.Technician, bad, null, default));
            Assert.Equal(where, error.Faults.Single().Where);
        }

        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_company_says_from_how_many_days_on_a_calibration_is_due(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var reader = plant.Get<Plant.PlantReader>();
        Assert.Equal(30, (await reader.Get(default)).DueDays);
        var acts = plant.Get<Plant.PlantActs>();
        await acts.Set(TestPlant.Administrator, (await reader.Get(default)) with { DueDays = 0 }, null, default);
        Assert.Equal(0, (await reader.Get(default)).DueDays);
        var bad = await plant.LeavesNothing<BadInputException>(() => acts.Set(TestPlant.Administrator, Plant.PlantSettings.Unset with { DueDays = 367 }, null, default));
        Assert.Equal("days before a calibration is due", bad.Faults.Single().Where);
    }
}
