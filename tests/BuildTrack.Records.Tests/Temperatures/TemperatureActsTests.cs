using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Route;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Temperatures;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Temperatures;

/// <summary>Rounds of temperatures before measuring. Class B: two pairs, 0.48 K allowed. The plant's clock shows 09:00 at the beginning.</summary>
public sealed class TemperatureActsTests
{
    /// <summary>Offsets +0.02, −0.02, +0.01, −0.01 K; residual squares 4 · 10⁻⁴ over 6 degrees of freedom; by hand: 7.6 effective ones, k = 2.43, U = 0.0344 K.</summary>
    internal static readonly CompareProbesRequest OnBlock = new("0.01",
    [
        new("THM-01", ["20.42", "20.43", "20.41"]), new("THM-02", ["20.38", "20.38", "20.38"]), new("THM-03", ["20.41", "20.40", "20.42"]), new("THM-04", ["20.39", "20.39", "20.39"]),
    ]);

    private static RecordRoundRequest Round(string serial, string top1, string bottom1, string top2 = "21.31", string bottom2 = "20.99") =>
        new(serial, 100, "20.6", [top1, top2], [bottom1, bottom2], ["THM-01", "THM-03"], ["THM-02", "THM-04"], null);

    private static Task<TemperatureReceipt> Read(TestPlant plant, RecordRoundRequest round) => plant.Get<TemperatureActs>().Round(TestPlant.Technician, round, null, default);

    private static async Task<GradientStanding> Stands(TestPlant plant, string serial) => GradientStanding.Of(await plant.Machine(serial), 100);

    /// <summary>1.03 and 0.80 K half an hour apart: by hand, τ = 0.5 h/ln(1.03/0.80) = 1.98 h, 0.48 K after 60.6 min more, u(wait) = 8.7 min from U = 0.0344 K.</summary>
    [Theory, OnBoth]
    public async Task Two_rounds_tell_until_when_to_wait_and_a_later_one_that_conditions_are_met(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-1");
        Assert.Equal(GradientState.NotRead, (await Stands(plant, "T-1")).State);
        var compared = await plant.Get<TemperatureActs>().Compare(TestPlant.Technician, OnBlock, null, default);
        Assert.Equal("U of a difference of two probes 0.034 K (k = 2.43)", compared.Sentence);

        var one = await Read(plant, Round("T-1", "22.02", "20.95", "21.94"));
        Assert.Equal("waiting for conditions: top to bottom 1.03 K, at most 0.48 K; one round tells no time; read another in half an hour", one.Sentence);
        plant.Clock.Advance(TimeSpan.FromMinutes(30));
        var two = await Read(plant, Round("T-1", "21.80", "20.96", "21.72"));
        Assert.Equal("waiting for conditions until about 10:30 (10:10–10:50): top to bottom 0.8 K, at most 0.48 K", two.Sentence);
        var stands = await Stands(plant, "T-1");
        Assert.Equal((GradientState.Waiting, 0, null), (stands.State, stands.Forecast!.Place, stands.Missing));
        Assert.Equal(118.717, stands.Forecast.Figures.TimeConstantMin, 0.001);
        Assert.Equal(60.6436, stands.Forecast.Figures.WaitMin, 0.0001);
        Assert.Equal(8.68, stands.Forecast.Figures.WaitUncertaintyMin!.Value, 0.02);
        Assert.Equal((0.02m, 21.78m, 20.98m), (stands.Rounds[1].Places[0].Top.Read - stands.Rounds[1].Places[0].Top.Celsius, stands.Rounds[1].Places[0].Top.Celsius, stands.Rounds[1].Places[0].Bottom.Celsius));

        plant.Clock.Advance(TimeSpan.FromMinutes(60));
        Assert.Equal("conditions are met since the round of 10:30", (await Read(plant, Round("T-1", "21.47", "20.97"))).Sentence);
        plant.Clock.Advance(TimeSpan.FromMinutes(30));
        Assert.Equal("conditions are met since the round of 10:30", (await Read(plant, Round("T-1", "21.37", "20.97"))).Sentence);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_list_of_machines_says_that_a_bed_waits_for_conditions_until_it_is_measured(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-2");
        await plant.Get<MachineActs>().Order(TestPlant.Planner, new OrderMachineRequest("T-3", "TST-3T", "Corvane Rail Parts", []), null, default);
        async Task<string> Next(string serial) => (await plant.Get<MachineReader>().List(default)).Single(l => l.Serial == serial).Next;
        await Start(plant, "T-2");
        await plant.Get<TemperatureActs>().Compare(TestPlant.Technician, OnBlock, null, default);
        await Read(plant, Round("T-2", "22.02", "20.95", "21.94"));
        plant.Clock.Advance(TimeSpan.FromMinutes(30));
        await Read(plant, Round("T-2", "21.80", "20.96", "21.72"));
        Assert.Equal("waiting for conditions until about 10:30 (10:10–10:50): top to bottom 0.8 K, at most 0.48 K", await Next("T-2"));
        Assert.DoesNotContain("conditions", await Next("T-3"), StringComparison.Ordinal);

        // A reason for measuring anyway belongs to a gradient that is beyond the allowed one, and to nothing else.
        BeginRunRequest Begin(decimal top, string? anyway) => TestPlant.ToBegin("T-2", "before-heights", "HGT-02", conditions: new Conditions(null, [top, top], [20.9m, 20.9m], null, anyway));
        var needless = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, Begin(21.3m, "urgent")));
        Assert.Equal(("reason for measuring anyway", "none: 0.4 K top to bottom keeps 0.48 K"), (needless.Faults.Single().Where, needless.Faults.Single().Expected));
        await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, Begin(21.5m, new string('x', 5000))));

        // Without one nobody reads 34 places that prove nothing; what is allowed itself is kept.
        var hot = await plant.LeavesNothing<RefusedException>(() => plant.Begin(TestPlant.Technician, Begin(21.381m, null)));
        Assert.Equal(TemperatureRules.BeyondWithoutReason, hot.Rule.Id);
        Assert.StartsWith("The bed is 0.481 K top to bottom, allowed are 0.48 K: measured now, nothing is proved.", hot.Rule.Sentence, StringComparison.Ordinal);
        Assert.Null(TemperatureRules.WhyNotMeasure((await plant.Machine("T-2")).Model, (await plant.Machine("T-2")).Revision.FindSurvey("before-heights")!, new Conditions(null, [21.38m], [20.9m], null)));

        // Whoever measures all the same has decided: the list no longer says wait.
        await plant.Begin(TestPlant.Technician, Begin(21.5m, "truck leaves at ten"));
        Assert.DoesNotContain("conditions", await Next("T-2"), StringComparison.Ordinal);
        Assert.Equal("truck leaves at ten", (await plant.Machine("T-2")).Measurements.Single().Runs.Single().Conditions!.Anyway);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_bed_that_does_not_cool_and_probes_that_were_not_compared_are_named(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-4");
        await Read(plant, Round("T-4", "21.50", "20.90"));
        plant.Clock.Advance(TimeSpan.FromMinutes(30));
        Assert.Contains("the bed is not becoming even (0.6 K, then 0.7 K at the same place)", (await Read(plant, Round("T-4", "21.60", "20.90"))).Sentence, StringComparison.Ordinal);
        plant.Clock.Advance(TimeSpan.FromMinutes(30));

        // 0.2 K of both probes: √2 · 0.2 = 0.283 K.
        var met = await Read(plant, Round("T-4", "21.20", "20.90"));
        Assert.Equal("conditions are met since the round of 10:00, as read; U of a difference of two probes is 0.283 K, as they were not compared on one block that day: above 0.05 K the limit of 0.48 K is not proved", met.Sentence);

        // A coarse display: 0.1/√12 for each of two readings and two offsets of three readings, k = 2: 2 · 0.0289 · √(2 · 4/3) = 0.0943 K.
        var coarse = await plant.Get<TemperatureActs>().Compare(TestPlant.Technician, new CompareProbesRequest("0,1", [new("THM-01", ["20.4", "20.4", "20.4"]), new("THM-02", ["20.4", "20.4", "20.4"])]), null, default);
        Assert.Equal("U of a difference of two probes 0.094 K (k = 2.00): above 0.05 K no gradient limit of 0.2 to 0.5 K can be proved", coarse.Sentence);

        // Work on the bed begins a new standing.
        await plant.ChangeBed("T-4");
        Assert.Equal(GradientState.NotRead, (await Stands(plant, "T-4")).State);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_probe_off_from_the_others_is_recorded_and_shut_out_for_the_day(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-5");

        // Register: 0.2 K each, √2 · 0.2 = 0.28 K between two.
        var compared = await plant.Get<TemperatureActs>().Compare(
            TestPlant.Technician, new CompareProbesRequest("0.01 K", [new("THM-01", ["20.40", "20.41"]), new("THM-02", ["20.00", "20.02"]), new("THM-03", ["20.41", "20.42 °C"])]), null, default);
        Assert.Contains("THM-02 reads 0.40 K below the others on the block; the register allows 0.28 K: not to be used today", compared.Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain("THM-01", compared.Sentence, StringComparison.Ordinal);
        var refused = await plant.LeavesNothing<RefusedException>(() => Read(plant, Round("T-5", "20.5", "20.4")));
        Assert.Equal(TemperatureRules.ProbeDisagrees, refused.Rule.Id);
        plant.Clock.Advance(TimeSpan.FromDays(1));
        await Read(plant, Round("T-5", "20.5", "20.4"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Bad_rounds_and_comparisons_are_refused_by_name(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-6");
        await plant.Order("T-7", "TST-3C");
        var good = Round("T-6", "20.50", "20.40");
        foreach (var (round, where, found) in new[]
        {
            (good with { Top = ["70 °F", "20.4"] }, "top 1", "'70 °F'"), (good with { Top = ["293.5 K", "20.4"] }, "top 1", "'293.5 K'"), (good with { Top = ["293.5", "20.4"] }, "top 1", "293.5 °C"),
            (good with { Bottom = ["20.4", "-21"] }, "bottom 2", "-21 °C"), (good with { Bottom = ["20.4", "NaN"] }, "bottom 2", "'NaN'"), (good with { Bottom = ["20.4", ""] }, "bottom 2", "nothing"),
            (good with { Air = "warm" }, "air", "'warm'"), (good with { Top = ["20.4"], TopProbes = ["THM-01"] }, "bed temperatures", "1 at the top, 2 at the bottom"),
            (good with { Top = ["20.4"], TopProbes = ["THM-01"], Bottom = ["20.4"], BottomProbes = ["THM-02"] }, "bed temperatures", "1 pairs"), (good with { Serial = "T-7" }, "bed temperatures", "2 pairs"),
            (good with { TopProbes = ["THM-01"] }, "probes at the top", "1"), (good with { TopProbes = ["THM-01", "THM-99"] }, "probe", "'THM-99'"), (good with { TopProbes = ["THM-01", "HGT-01"] }, "probe", "HGT-01 for height"),
            (good with { TopProbes = ["THM-01", "THM-OLD"] }, "probe", "calibration of THM-OLD expired on 2026-02-01; measured on 2026-03-02"), (good with { Step = 90 }, "step", "90"),
        })
        {
            var fault = (await plant.LeavesNothing<BadInputException>(() => Read(plant, round))).Faults.Single();
            Assert.Equal((where, found), (fault.Where, fault.Found));
        }

        foreach (var (comparison, where) in new[]
        {
            (OnBlock with { Step = "0" }, "step of the display"), (OnBlock with { Step = "fine" }, "step of the display"), (OnBlock with { Step = "0.02" }, "THM-01 reading 2"),
            (OnBlock with { Probes = [OnBlock.Probes[0]] }, "probes"), (OnBlock with { Probes = [OnBlock.Probes[0], OnBlock.Probes[0]] }, "probes"),
            (OnBlock with { Probes = [new("THM-01", ["20.4"]), new("THM-02", ["20.4"])] }, "readings of THM-01"), (OnBlock with { Probes = [OnBlock.Probes[0], new("THM-02", ["20.4", "20.4"])] }, "readings of THM-02"),
            (OnBlock with { Probes = [OnBlock.Probes[0], new("THM-02", ["20.4", "81", "20.4"])] }, "THM-02 reading 2"), (OnBlock with { Probes = [OnBlock.Probes[0], new("THM-OLD", ["20.4", "20.4", "20.4"])] }, "probe"),
        })
        {
            var error = await plant.LeavesNothing<BadInputException>(() => plant.Get<TemperatureActs>().Compare(TestPlant.Technician, comparison, null, default));
            Assert.Equal(where, error.Faults[0].Where);
        }
    }

    private static async Task Start(TestPlant plant, string serial)
    {
        await plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest(serial, 90, RouteAct.Start, null), null, default);
        await plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest(serial, 90, RouteAct.Finish, null), null, default);
        await plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest(serial, 100, RouteAct.Start, null), null, default);
    }
}
