using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.AffectedReadings;

/// <summary>An instrument found out of limits: what rests on it, and what is decided about it.</summary>
public sealed class AffectedActsTests
{
    private const string Line = "100-02";

    private static RecordUnfitRequest Found(string error, string? lastGood = null, string instrument = "HGT-01") => new(instrument, error, "2 µm", lastGood, "K-77");

    private static Task<Domain.Machines.MachineRecord> Machine(TestPlant plant, string serial) => plant.Machine(serial);

    private static Task<ActReceipt> Decide(TestPlant plant, long finding, string serial, AffectedDecisionKind kind) =>
        plant.Get<AffectedActs>().Decide(TestPlant.Inspector, new DecideAffectedRequest(finding, serial, kind, "as calculated"), null, default);

    /// <summary>The sheet counts in the database what the whole review finds by reading its machines: each corrected reading once.</summary>
    [Theory, OnBoth]
    public async Task A_review_is_counted_as_the_whole_of_it_is_read(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("U-8");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("U-8"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("U-8", begun.Run, TestPlant.Heights(TestPlant.Triangle)));
        var readings = (await plant.Machine("U-8")).Measurements.Single().Runs.Single().Readings;
        await plant.Get<SurveyActs>().Correct(TestPlant.Technician, new CorrectRequest("U-8", readings[2].Id, "-6.5", null, "read again"), null, default);
        var finding = (await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Inspector, Found("9 µm"), null, default)).Finding;
        var (whole, counts) = (await plant.Get<AffectedReader>().Review(finding, default), await plant.Get<AffectedReader>().Count(finding, default));
        Assert.Equal(9, counts.Readings);
        Assert.Equal((whole.Machines.Sum(m => m.Readings), whole.Machines.Length, whole.Undecided), (counts.Readings, counts.Machines, counts.Undecided));
        Assert.Equal(whole.Machines.Select(m => m.Machine.Serial), (await plant.Get<AffectedReader>().Part(finding, 0, 9, default)).Select(m => m.Machine.Serial));
        Assert.Empty(await plant.Get<AffectedReader>().Part(finding, 9, 9, default));
    }

    private static async Task<(Standing Standing, bool Released)> Stands(TestPlant plant, string serial)
    {
        var machine = await plant.Machine(serial);
        return (machine.StandingOf(machine.Agreed(TestPlant.H1).Single(a => a.Characteristic.Line == Line)).Standing, machine.StandingOfHold(machine.Revision.Holds.Single(h => h.Id == TestPlant.H1)).Released is not null);
    }

    [Theory, OnBoth]
    public async Task What_rests_on_an_unfit_instrument_is_to_be_repeated_and_its_release_ends_until_the_error_is_shown_to_be_negligible(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("U-1");
        await plant.Release(TestPlant.Inspector, "U-1");
        await plant.Accepted("U-2");
        var receipt = await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Inspector, Found("3 µm"), null, default);
        await plant.Order("U-3");
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "U-2"));

        Assert.Equal((Standing.ToBeRepeated, false), await Stands(plant, "U-1"));
        Assert.Contains("100-02 Triangle is to be repeated", refused.Rule.Sentence, StringComparison.Ordinal);
        Assert.Equal(InstrumentState.OutOfLimits, (await plant.Get<InstrumentReader>().List(default)).Single(e => e.Id == "HGT-01").State);
        var review = await plant.Get<AffectedReader>().Review(receipt.Finding, default);
        Assert.Equal([("U-1", 9, 1), ("U-2", 9, 0)], review.Machines.Select(m => (m.Machine.Serial, m.Readings, m.Certificates.Length)));
        Assert.Equal(["U-2"], (await plant.Get<AffectedReader>().Part(receipt.Finding, 1, 1, default)).Select(m => m.Machine.Serial));
        var counts = await plant.Get<AffectedReader>().Count(receipt.Finding, default);
        Assert.Equal((2, 18, 0, 2), (counts.Machines, counts.Readings, counts.Shipped, counts.Undecided));
        var result = review.Machines[0].Results.Single(r => r.Line == Line);
        Assert.Equal((2.0, 5.0, Verdict.Accepted, Verdict.Accepted), (result.ExpandedUncertainty, result.WithError, result.Verdict, result.VerdictWithError));

        await Decide(plant, receipt.Finding, "U-1", AffectedDecisionKind.Negligible);
        Assert.Equal((Standing.Calculated, true), await Stands(plant, "U-1"));
        Assert.Equal((Standing.ToBeRepeated, false), await Stands(plant, "U-2"));
        Assert.Equal([("U-1", true), ("U-2", false)], (await plant.Get<AffectedReader>().Review(receipt.Finding, default)).Machines.Select(m => (m.Machine.Serial, m.Decision is not null)));
        Assert.Equal(1, (await plant.Get<AffectedReader>().Count(receipt.Finding, default)).Undecided);
        Assert.NotNull((await plant.Get<AffectedReader>().One(receipt.Finding, "U-1", default))!.Decision);
        Assert.Null(await plant.Get<AffectedReader>().One(receipt.Finding, "U-3", default));
        var again = await plant.LeavesNothing<RefusedException>(() => Decide(plant, receipt.Finding, "U-1", AffectedDecisionKind.Remeasure));
        Assert.Equal(AffectedRules.DecidedAlready, again.Rule.Id);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_result_that_the_error_could_overturn_is_measured_anew_and_keeps_its_doubt_until_then(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("U-4");
        await plant.Release(TestPlant.Inspector, "U-4");
        var finding = (await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Inspector, Found("9 µm"), null, default)).Finding;
        var refused = await plant.LeavesNothing<RefusedException>(() => Decide(plant, finding, "U-4", AffectedDecisionKind.Negligible));
        Assert.Equal(AffectedRules.NotNegligible, refused.Rule.Id);
        Assert.Contains("U 2.0 µm, now 11.0 µm", refused.Rule.Sentence, StringComparison.Ordinal);
        var here = await plant.LeavesNothing<RefusedException>(() => Decide(plant, finding, "U-4", AffectedDecisionKind.NotifyCustomer));
        Assert.Equal(AffectedRules.NotShipped, here.Rule.Id);
        await Decide(plant, finding, "U-4", AffectedDecisionKind.Remeasure);
        Assert.Equal((Standing.ToBeRepeated, false), await Stands(plant, "U-4"));

        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("U-4", instrument: "HGT-02"), "-0.004", "0.002", "-0.006", "0.001", "0.009", "0.003", "0", "-0.005", "0.001");
        var machine = await Machine(plant, "U-4");
        var measurement = machine.Current("triangle-heights")!;
        Assert.Equal((Standing.Calculated, false), await Stands(plant, "U-4"));
        Assert.Equal((2, "HGT-01 found off by 9 µm (allowed 2 µm) on 2026-03-02, last good 2026-01-10"), (measurement.No, measurement.RepeatedBecause));
        await plant.Release(TestPlant.Inspector, "U-4");
        Assert.Equal((Standing.Calculated, true), await Stands(plant, "U-4"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Only_what_was_measured_since_the_last_good_check_is_affected(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("U-5");
        plant.Clock.Advance(TimeSpan.FromDays(3));
        await plant.Accepted("U-6");
        await plant.Order("U-7");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("U-7", instrument: "HGT-02"), "-0.004", "0.002", "-0.006", "0.001", "0.009", "0.003", "0", "-0.005", "0.001");
        var finding = (await plant.Get<AffectedActs>().RecordUnfit(TestPlant.Inspector, Found("9 µm", "2026-03-04"), null, default)).Finding;
        Assert.Equal(["U-6"], (await plant.Get<AffectedReader>().Review(finding, default)).Machines.Select(m => m.Machine.Serial));
        Assert.Equal((Standing.Calculated, false), await Stands(plant, "U-5"));
        Assert.Equal((1, 1), (await plant.Get<AffectedReader>().List("HGT-01", default)).Select(l => (l.Machines, l.Undecided)).Single());
        var none = await plant.LeavesNothing<RefusedException>(() => Decide(plant, finding, "U-5", AffectedDecisionKind.Remeasure));
        Assert.Equal(AffectedRules.NotAffected, none.Rule.Id);

        // A run of before that is set aside takes the doubt away with it; a further pass with a fit instrument carries the result.
        var run = (await Machine(plant, "U-6")).Measurements.Single().Runs.Single().Id;
        await plant.Get<SurveyActs>().Discard(TestPlant.Inspector, new DiscardRequest("U-6", run, "indicator unfit"), null, default);
        Assert.NotEqual(Standing.ToBeRepeated, (await Stands(plant, "U-6")).Standing);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_finding_is_refused_within_the_limits_twice_and_in_another_unit(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var acts = plant.Get<AffectedActs>();
        async Task<string> Refused(RecordUnfitRequest request) => (await plant.LeavesNothing<RefusedException>(() => acts.RecordUnfit(TestPlant.Inspector, request, null, default))).Rule.Id;
        Assert.Equal(AffectedRules.WithinLimits, await Refused(Found("2 µm")));
        foreach (var (request, where) in new[]
        {
            (Found("9 µm/m"), "error found"), (Found("9"), "error found"), (Found("-9 µm"), "error found"), (Found("nine µm"), "error found"), (Found("9 µm", "2027-01-01"), "last good check"), (Found("9 µm", "soon"), "last good check"),
        })
        {
            Assert.Equal(where, (await plant.LeavesNothing<BadInputException>(() => acts.RecordUnfit(TestPlant.Inspector, request, null, default))).Faults.Single().Where);
        }

        await plant.LeavesNothing<NotFoundException>(() => acts.RecordUnfit(TestPlant.Inspector, Found("9 µm", instrument: "HGT-99"), null, default));
        await acts.RecordUnfit(TestPlant.Inspector, Found("0,009 mm"), null, default);
        Assert.Equal(AffectedRules.OutAlready, await Refused(Found("9 µm")));
    }
}
