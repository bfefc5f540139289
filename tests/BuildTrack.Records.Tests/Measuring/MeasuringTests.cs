using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Measuring;

/// <summary>Recording, correcting, discarding, finishing, measuring again.</summary>
public sealed class MeasuringTests
{
    [Theory, OnBoth]
    public async Task A_finished_pass_has_the_published_value_and_verdict(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-1");
        var (_, finished) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-1"), TestPlant.Triangle);
        var result = Assert.Single(finished.Results).Result;
        // constructed-minimum-zone-3x3.json, triangle: 44/3 by least squares, 14 as minimum zone.
        Assert.Equal(44.0 / 3, result.Value!.Value, 1e-6);
        Assert.Equal(14.0, result.Figures.Single(f => f.Name == "minimumZone").Value, 1e-6);
        Assert.Equal(Verdict.Accepted, result.Verdict);
        Assert.Equal(NextKind.Release, result.Next.Kind);
    }

    [Theory, OnBoth]
    public async Task A_correction_supersedes_and_keeps_what_was_typed_first(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-2");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-2"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("M-2", begun.Run, TestPlant.Heights("-4", "2", "-6", "1", "90", "3", "0", "-5", "1")));
        var wrong = (await plant.Machine("M-2")).Measurements.Single().Runs.Single().Readings.Single(r => r.Place.Key == "P5");
        var corrected = await plant.Get<SurveyActs>().Correct(TestPlant.Technician, new CorrectRequest("M-2", wrong.Id, "9", null, "one zero too many"), null, default);
        var finished = await plant.Finish(TestPlant.Technician, "M-2", begun.Run);

        Assert.Equal(44.0 / 3, finished.Results.Single().Result.Value!.Value, 1e-6);
        var run = (await plant.Machine("M-2")).Measurements.Single().Runs.Single();
        Assert.Equal(10, run.Readings.Length);
        Assert.Equal(9, run.Standing.Count());
        Assert.Equal(wrong, run.Readings.Single(r => r.Id == wrong.Id));
        var later = run.Readings.Single(r => r.Id == corrected.Ids.Single());
        Assert.Equal((wrong.Id, "one zero too many", "9"), (later.Supersedes!.Value, later.Reason!, later.Value.Typed));

        var twice = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<SurveyActs>().Correct(TestPlant.Inspector, new CorrectRequest("M-2", wrong.Id, "8", null, "again"), null, default));
        Assert.Equal("R-CORRECT-02", twice.Rule.Id);
        await plant.LeavesNothing<BadInputException>(() =>
            plant.Get<SurveyActs>().Correct(TestPlant.Inspector, new CorrectRequest("M-2", later.Id, "8", null, " "), null, default));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Once_the_result_is_shown_only_an_inspector_corrects_and_the_result_follows(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("M-3");
        var reading = (await plant.Machine("M-3")).Measurements.Single().Runs.Single().Readings.Single(r => r.Place.Key == "P5");
        var request = new CorrectRequest("M-3", reading.Id, "0", null, "read off the wrong scale");
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Get<SurveyActs>().Correct(TestPlant.Technician, request, null, default));
        Assert.Equal("R-CORRECT-03", refused.Rule.Id);
        var before = (await plant.Machine("M-3")).EvaluationOf("100-02")!;
        await plant.Get<SurveyActs>().Correct(TestPlant.Inspector, request, null, default);
        var after = (await plant.Machine("M-3")).EvaluationOf("100-02")!;
        Assert.NotEqual(before.Hash, after.Hash);
        Assert.True(after.Record.Result.Value < before.Record.Result.Value - 1);
        Assert.Equal(2L, await plant.Count("Evaluations"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_run_is_set_aside_by_its_person_before_the_result_is_shown_and_after_it_by_an_inspector_only(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-4");
        var first = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-4"));
        var other = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<SurveyActs>().Discard(TestPlant.OtherTechnician, new DiscardRequest("M-4", first.Run, "not mine"), null, default));
        Assert.Equal("R-READ-02", other.Rule.Id);
        await plant.Get<SurveyActs>().Discard(TestPlant.Technician, new DiscardRequest("M-4", first.Run, "crane passed"), null, default);
        var again = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<SurveyActs>().Discard(TestPlant.Technician, new DiscardRequest("M-4", first.Run, "crane passed"), null, default));
        Assert.Equal("R-DISCARD-02", again.Rule.Id);

        var (shown, _) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-4"), TestPlant.Triangle);
        var late = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<SurveyActs>().Discard(TestPlant.Technician, new DiscardRequest("M-4", shown.Run, "I do not like it"), null, default));
        Assert.Equal("R-DISCARD-01", late.Rule.Id);
        await plant.LeavesNothing<BadInputException>(() => plant.Get<SurveyActs>().Discard(TestPlant.Inspector, new DiscardRequest("M-4", shown.Run, ""), null, default));
        await plant.Get<SurveyActs>().Discard(TestPlant.Inspector, new DiscardRequest("M-4", shown.Run, "door stood open"), null, default);

        var machine = await plant.Machine("M-4");
        Assert.Equal(["crane passed", "door stood open"], machine.Measurements.Single().Runs.Select(r => r.Discarded!.Reason));
        Assert.Equal(9, machine.Measurements.Single().Runs[1].Readings.Length);
        Assert.Equal(ResultState.Incomplete, machine.EvaluationOf("100-02")!.Record.Result.State);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_finished_run_and_another_persons_run_take_no_reading(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-5");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-5"));
        var (p1, all) = (TestPlant.ToRecord("M-5", begun.Run, ("P1", "z", "-4")), TestPlant.ToRecord("M-5", begun.Run, TestPlant.Heights(TestPlant.Triangle)));
        Assert.Equal("R-READ-02", (await plant.LeavesNothing<RefusedException>(() => plant.Record(TestPlant.OtherTechnician, p1))).Rule.Id);
        Assert.Equal("R-RUN-02", (await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.OtherTechnician, TestPlant.ToBegin("M-5")))).Rule.Id);
        await plant.Record(TestPlant.Technician, all);
        await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, p1));
        await plant.Finish(TestPlant.Technician, "M-5", begun.Run);
        Assert.Equal("R-READ-01", (await plant.LeavesNothing<RefusedException>(() => plant.Record(TestPlant.Technician, p1))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task A_run_with_a_station_missing_does_not_finish_and_names_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-6");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-6"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("M-6", begun.Run, TestPlant.Heights(TestPlant.Triangle).Where(h => h.Place is not ("P3" or "P8"))));
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Technician, "M-6", begun.Run));
        Assert.Equal("R-FINISH-01", refused.Rule.Id);
        Assert.Contains("2 of 9 readings: P3, P8", refused.Rule.Sentence, StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task A_measurement_after_an_act_on_the_bed_replaces_the_earlier_which_stays_with_its_reason(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("M-7");
        await plant.ChangeBed("M-7", note: "0.17 mm, slot of 3 March");
        var between = await plant.Machine("M-7");
        Assert.Equal("to be repeated", between.StandingOfHold(between.Revision.Holds.Single(h => h.Id == "H1")).Characteristics.Single().Word);
        var (begun, _) = await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("M-7"), "0", "0", "0", "0", "5", "0", "0", "0", "0");

        Assert.Equal((2, 1), (begun.MeasurementNo, begun.RunNo));
        var machine = await plant.Machine("M-7");
        Assert.Equal([1, 2], machine.Measurements.Select(m => m.No));
        Assert.Equal("Surface milled again: 0.17 mm, slot of 3 March", machine.Measurements[1].RepeatedBecause);
        Assert.Equal(9, machine.Measurements[0].Runs.Single().Readings.Length);
        Assert.Equal(2L, await plant.Count("Evaluations"));
        Assert.Equal(machine.Measurements[1].Id, machine.EvaluationOf("100-02")!.Record.Input.Sources["heights"].Readings!.Measurement);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task An_act_on_the_bed_waits_for_an_open_run_and_another_act_voids_only_its_surveys(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-8");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-8"));
        Assert.Equal("R-BED-01", (await plant.LeavesNothing<RefusedException>(() => plant.ChangeBed("M-8"))).Rule.Id);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("M-8", begun.Run, TestPlant.Heights(TestPlant.Triangle)));
        await plant.Finish(TestPlant.Technician, "M-8", begun.Run);
        await plant.LeavesNothing<BadInputException>(() => plant.ChangeBed("M-8", change: "hammer"));
        await plant.ChangeBed("M-8", change: "oven");
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "M-8")).Certificate);
    }

    [Theory, OnBoth]
    public async Task Runs_on_an_unchanged_bed_are_averaged_and_later_passes_do_not_shrink_the_band(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-9");
        var (_, one) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-9"), TestPlant.Triangle);
        // The mirror image: the mean of both is the plane z = 0.
        var (_, two) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-9"), "4", "-2", "6", "-1", "-9", "-3", "0", "5", "-1");
        var (first, second) = (one.Results.Single().Result, two.Results.Single().Result);
        Assert.Equal(0, second.Value!.Value, 1e-9);
        Assert.Equal(first.ReachAbove, second.ReachAbove);
        Assert.Equal(first.ReachBelow, second.ReachBelow);
        Assert.Equal(first.AcceptBand, second.AcceptBand);
        Assert.Equal(first.RejectBandAlone, second.RejectBandAlone);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Contacts_measured_again_freeze_places_and_weights_and_every_repeat_counts(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-10", "TST-3C");
        var (_, first) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-10", "crossing-heights"), TestPlant.Crossing);
        var asked = first.Results.Single().Result;
        // The file's crossing: zone 15.000 µm; one measurement alone rejects only beyond 13 + 2.32 µm.
        Assert.Equal((Verdict.NotProven, NextKind.MeasureContactsAgain), (asked.Verdict!.Value, asked.Next.Kind));
        Assert.Equal(15.0, asked.Value!.Value, 1e-6);
        Assert.Equal(1.0, asked.Contacts.Where(c => c.Weight > 0).Sum(c => c.Weight), 1e-9);
        Assert.Equal(-1.0, asked.Contacts.Where(c => c.Weight < 0).Sum(c => c.Weight), 1e-9);

        var again = TestPlant.ToBegin("M-10", "crossing-heights", kind: RunKind.ContactsAgain, proves: "100-03");
        var wrong = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, again with { Proves = "100-02" }));
        Assert.Equal("R-RUN-03", wrong.Rule.Id);
        var begun = await plant.Begin(TestPlant.Technician, again);
        var frozen = (await plant.Machine("M-10")).Measurements.Single().Runs.Single(r => r.Id == begun.Run).Weights;
        Assert.Equal(asked.Next.Places, frozen);
        var outside = Enumerable.Range(1, 9).Select(i => $"P{i}").First(p => frozen.All(w => w.Place != p));
        await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, TestPlant.ToRecord("M-10", begun.Run, (outside, "z", "1"))));
        string Height(string place, double by) => FormattableString.Invariant($"{double.Parse(TestPlant.Crossing[int.Parse(place[1..], null) - 1], System.Globalization.CultureInfo.InvariantCulture) * by}");
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("M-10", begun.Run, frozen.Select(w => (w.Place, "z", Height(w.Place, 0.94)))));
        var second = (await plant.Finish(TestPlant.Technician, "M-10", begun.Run)).Results.Single().Result;

        // 0.94 × 15 = 14.1 µm: not beyond 13 + 1.69.
        Assert.Equal(Verdict.NotProven, second.Verdict);
        Assert.Equal(14.1, second.AgainMean!.Value, 1e-6);

        // An added pass may move the contacts; the frozen ones stay those that count.
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-10", "crossing-heights"), "8", "2", "-7", "1", "0", "-2", "-9", "1", "7");
        var third = await plant.Begin(TestPlant.OtherTechnician, again);
        var machine = await plant.Machine("M-10");
        var weights = machine.Measurements.Single().Runs.Single(r => r.Id == third.Run).Weights;
        Assert.Equal(frozen, weights);
        await plant.Record(TestPlant.OtherTechnician, TestPlant.ToRecord("M-10", third.Run, weights.Select(w => (w.Place, "z", Height(w.Place, 1.06)))));
        var last = (await plant.Finish(TestPlant.OtherTechnician, "M-10", third.Run)).Results.Single().Result;

        // (14.1 + 15.9) / 2 = 15.0 µm: proved.
        Assert.Equal([14.1, 15.9], last.Again.Select(a => Math.Round(a.Value, 6)));
        Assert.Equal(15.0, last.AgainMean!.Value, 1e-6);
        Assert.Equal((Verdict.Rejected, NextKind.Rework), (last.Verdict!.Value, last.Next.Kind));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task An_expired_instrument_can_be_read_but_proves_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-11");
        var (_, finished) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-11", instrument: "HGT-OLD"), TestPlant.Triangle);
        var result = finished.Results.Single().Result;
        Assert.Equal((Verdict.NotProven, NextKind.MendConditions), (result.Verdict!.Value, result.Next.Kind));
        Assert.Equal("calibration of HGT-OLD expired on 2026-02-01; measured on 2026-03-02", result.Because[0]);
        Assert.Equal(ReleaseRules.NotAccepted, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "M-11"))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task A_run_keeps_the_register_as_it_stood_when_it_began(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("M-12");
        await plant.Get<Instruments.InstrumentActs>().Register(TestPlant.Administrator,
            new Instruments.RegisterInstrumentRequest(TestPlant.Instrument("HGT-01", "height", "µm", "small difference", "9 µm") with { State = Domain.Instruments.InstrumentState.OutOfLimits }), null, default);
        var machine = await plant.Machine("M-12");
        Assert.Equal((1, Domain.Instruments.InstrumentState.InService), (machine.Measurements.Single().Runs.Single().Instruments.Single().Revision, machine.Measurements.Single().Runs.Single().Instruments.Single().State));
        Assert.Equal(Verdict.Accepted, machine.EvaluationOf("100-02")!.Record.Result.Verdict);
        var (_, later) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("M-12"), TestPlant.Triangle);
        Assert.Contains("HGT-01 is out of limits", later.Results.Single().Result.Because[0], StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task An_instruments_day_is_the_plants_day(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Get<Instruments.InstrumentActs>().Register(TestPlant.Administrator,
            new Instruments.RegisterInstrumentRequest(TestPlant.Instrument("HGT-09", "height", "µm", "small difference", "2 µm", validTo: "2026-07-31")), null, default);
        await plant.Order("DAY-1");
        await plant.Order("DAY-2");

        // 23:59 and 00:01 in Vienna on either side of the last day; in UTC both are 31 July.
        plant.Clock.Now = new DateTimeOffset(2026, 7, 31, 21, 59, 0, TimeSpan.Zero);
        var (_, valid) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("DAY-1", instrument: "HGT-09"), TestPlant.Triangle);
        plant.Clock.Now = new DateTimeOffset(2026, 7, 31, 22, 1, 0, TimeSpan.Zero);
        var (_, expired) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("DAY-2", instrument: "HGT-09"), TestPlant.Triangle);
        Assert.Equal((Verdict.Accepted, Verdict.NotProven), (valid.Results.Single().Result.Verdict, expired.Results.Single().Result.Verdict));
    }

    [Theory, OnBoth]
    public async Task What_is_missing_to_begin_a_run_is_named_all_at_once(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("M-13", "SHAPES");
        var error = await plant.LeavesNothing<BadInputException>(() => plant.Begin(
            TestPlant.Technician,
            TestPlant.ToBegin("M-13", "seat-slopes", "LVL-01", feature: "R7", helpers: ["nobody", TestPlant.Technician.Person]) with { Checks = [] }));
        Assert.Equal(
            ["feature", "direction", "arrow of the level", "check before use of LVL-01", "helper", "helper"], error.Faults.Select(f => f.Where));
        var instrument = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-13", "power-log", "LVL-01")));
        Assert.Equal("one for power", instrument.Faults.Single().Expected);
        var gradient = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-13", "before-heights", "HGT-02")));
        Assert.Equal("bed temperatures", gradient.Faults.Single().Where);
        await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-13", "no-such-survey")));
        var questions = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("M-13", "guards", "", kind: RunKind.SpotCheck)));
        Assert.Equal("kind of run", questions.Faults.Single().Where);
    }

    [Theory, OnBoth]
    public async Task A_new_order_term_gives_a_new_evaluation_and_the_old_one_stays(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("M-14");
        var machine = await plant.Machine("M-14");
        var term = new Domain.Checklists.OrderTerm("triangle-flatness", new Amount(15m, "µm"), null, null, null, "contract annex 2", "B", TestPlant.Administrator.Person, "customer's own limit");
        await plant.Get<MachineActs>().ChangeOrder(TestPlant.Administrator, new ChangeOrderRequest("M-14", [term], machine.Version), null, default);
        var after = await plant.Machine("M-14");
        Assert.Equal((Verdict.Accepted, Verdict.NotProven), (machine.EvaluationOf("100-02")!.Record.Result.Verdict, after.EvaluationOf("100-02")!.Record.Result.Verdict));
        Assert.Equal(15.0, after.EvaluationOf("100-02")!.Record.Result.Upper);
        Assert.Equal(2L, await plant.Count("Evaluations"));
        Assert.Equal(CanonicalJson.Of(term), CanonicalJson.Of(after.Order.Single()));
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Get<MachineActs>().ChangeOrder(
            TestPlant.Administrator, new ChangeOrderRequest("M-14", [term with { Upper = new Amount(1, "K"), Reference = "middle", Origin = "" }, term with { Characteristic = "crossing-flatness" }], after.Version), null, default));
        Assert.Equal(4, bad.Faults.Count);
        await plant.Sound();
    }
}
