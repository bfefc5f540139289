using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.TakenAlong;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.TakenAlong;

/// <summary>A run begun on a tablet without network: calculated as the server does, sent once, decided by the server.</summary>
public sealed class TabletBeginTests
{
    private const long Minute = 60_000_000;
    private const long Day = 24 * 60 * Minute;

    private static TypedBegin Typed { get; } = new("triangle-heights", Instruments: ["HGT-01"], Checks: ["zero checked"]);

    private static async Task<TakenSurvey> Taken(TestPlant plant, string serial)
    {
        var machine = await plant.Machine(serial);
        var taken = TakenSurvey.Of(machine, machine.Revision.Survey("triangle-heights"), null, await plant.Get<InstrumentReader>().List(default));
        // What a tablet has is the text, read back.
        return CanonicalJson.Read<TakenSurvey>(CanonicalJson.Of(taken));
    }

    private static KeptValue[] Kept(params string[] heights) => [.. TestPlant.Heights(heights).Select(h => new KeptValue(h.Place, h.Column, h.Typed))];

    private static TakenRun RunOf(BegunHere begun)
    {
        Assert.Empty(begun.Faults);
        Assert.Null(begun.Refused);
        return CanonicalJson.Read<TakenRun>(begun.Taken!);
    }

    private static BeginRunRequest Request(string serial, long begunUs, Caller? by = null) =>
        BeginRunRequest.Of(serial, Typed, null) with { By = (by ?? TestPlant.Technician).Person, BegunUs = begunUs };

    private static Task<BegunRun> Send(TestPlant plant, BeginRunRequest request, long sentUs, string? key = null, Caller? who = null) =>
        plant.Get<SurveyActs>().BeginRun(who ?? TestPlant.Technician, request, key, default, sentUs);

    private static long Now(TestPlant plant) => Instant.Now(plant.Clock).Microseconds;

    [Fact]
    public async Task What_a_tablet_calculates_of_a_first_and_a_second_run_begun_on_it_is_what_the_server_calculates_to_the_last_digit()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-1");
        var taken = await Taken(plant, "B-1");
        string[] again = [.. TestPlant.Triangle.Select((h, i) => i % 2 == 0 ? h : $"{h}.4")];
        var first = TabletWork.Calculate(RunOf(TabletBegin.Begin(taken, [], Typed, "2026-03-02")), Kept(TestPlant.Triangle));
        var second = TabletWork.Calculate(RunOf(TabletBegin.Begin(taken, [new KeptRun(null, Typed, [.. Kept(TestPlant.Triangle)])], Typed, "2026-03-02")), Kept(again));

        foreach (var (heights, tablet) in new[] { (TestPlant.Triangle, first), (again, second) })
        {
            var begun = await Send(plant, Request("B-1", Now(plant) - Minute), Now(plant));
            await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-1", begun.Run, TestPlant.Heights(heights)));
            var server = await plant.Finish(TestPlant.Technician, "B-1", begun.Run);
            Assert.Equal(server.Results.Select(r => (r.Line, CanonicalJson.Of(r.Result))), tablet.Select(r => (r.Line, CanonicalJson.Of(r.Result))));
        }

        Assert.NotEqual(CanonicalJson.Of(first.Single().Result), CanonicalJson.Of(second.Single().Result));
    }

    [Fact]
    public async Task A_run_that_was_open_when_it_was_taken_along_comes_before_the_one_begun_behind_it()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-2");
        var open = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("B-2"));
        var taken = await Taken(plant, "B-2");
        var run = RunOf(TabletBegin.Begin(taken, [new KeptRun(open.Run, null, [.. Kept(TestPlant.Triangle)])], Typed, "2026-03-02"));
        // The earlier pass is what a value is asked about beside.
        Assert.Contains("where run 1 read", TabletWork.Meet(run, [], new KeptValue("P1", "z", "7000")).Question, StringComparison.Ordinal);
        Assert.Equal(2, run.Calculations.Single().Sources.Values.Single().Readings!.Runs.Length);
    }

    [Fact]
    public async Task A_survey_taken_along_names_nobody_and_holds_only_what_it_needs()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-3");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("B-3", helpers: [TestPlant.OtherTechnician.Person]), TestPlant.Triangle);
        var taken = await Taken(plant, "B-3");
        var text = CanonicalJson.Of(taken) + CanonicalJson.Of(TabletBegin.Begin(taken, [], Typed, "2026-03-02"));
        Assert.All(TestPlant.People, p => Assert.DoesNotContain(p.Person, text, StringComparison.OrdinalIgnoreCase));
        Assert.All(TestPlant.People, p => Assert.DoesNotContain(p.Name, text, StringComparison.OrdinalIgnoreCase));
        Assert.Equal(["triangle-heights"], taken.Revision.Surveys.Select(s => s.Id));
        Assert.True(CanonicalJson.Of(taken).Length < CanonicalJson.Of((await plant.Machine("B-3")).Revision).Length / 2);
    }

    [Fact]
    public async Task After_work_on_the_bed_the_run_begins_a_measurement_of_its_own()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-4");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("B-4"), TestPlant.Triangle);
        await plant.ChangeBed("B-4");
        var run = RunOf(TabletBegin.Begin(await Taken(plant, "B-4"), [], Typed, "2026-03-02"));
        Assert.Single(run.Calculations.Single().Sources.Values.Single().Readings!.Runs);
    }

    public static TheoryData<string, string> Bad => new()
    {
        { "instrument", "instrument: found none, expected one for height" },
        { "check", "check before use of HGT-01: found nothing, expected what was checked and found, for this run" },
        { "temperature", "bed temperature, top 1: found 'warm', expected a number of °C" },
        { "range", "temperature: found 95 °C, expected −20 to 80 °C" },
    };

    [Theory, MemberData(nameof(Bad))]
    public async Task Bad_input_is_refused_on_a_tablet_with_the_words_of_the_server(string what, string sentence)
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-5");
        var typed = what switch
        {
            "instrument" => Typed with { Instruments = ["HGT-77"] },
            "check" => Typed with { Checks = [" "] },
            "temperature" => Typed with { Top = ["warm"], Bottom = ["20"] },
            _ => Typed with { Air = "95" },
        };
        Assert.Equal([sentence], TabletBegin.Begin(await Taken(plant, "B-5"), [], typed, "2026-03-02").Faults);
        if (what is "check" or "range")
        {
            var request = BeginRunRequest.Of("B-5", typed, typed.Understand([]));
            var server = await plant.LeavesNothing<BadInputException>(() => plant.Begin(TestPlant.Technician, request));
            Assert.Equal([sentence], server.Faults.Select(f => f.ToString()));
        }
    }

    [Theory, OnBoth]
    public async Task Both_clocks_of_a_begin_are_kept_its_day_is_the_one_it_was_begun_on_and_sent_again_it_is_the_same(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("B-6");
        // A clock that is an hour slow, and three days on the tablet.
        var (typed, sent) = (Now(plant) - (3 * Day) - (60 * Minute), Now(plant) - (60 * Minute));
        var first = await Send(plant, Request("B-6", typed), sent, "begin");
        Assert.Equal(first, await Send(plant, Request("B-6", typed), sent + Minute, "begin"));

        var run = (await plant.Machine("B-6")).Measurements.Single().Runs.Single();
        Assert.Equal((new TabletClock(new Instant(typed), new Instant(sent)), "2026-02-27"), (run.Tablet, run.Day));
        Assert.Equal((Instant.Now(plant.Clock), TimeSpan.FromHours(1)), (run.Begun, run.Tablet!.Behind(run.Begun)));
        await plant.Sound();
    }

    /// <summary>An instrument that is checked on every day: of the day on which the run was begun, and a good one; one of the day of sending says nothing.</summary>
    [Theory]
    [InlineData("2 µm", null)]
    [InlineData("9 µm", "R-INSTRUMENT-03")]
    [InlineData(null, "R-INSTRUMENT-03")]
    public async Task What_is_checked_daily_was_found_good_on_the_day_the_run_was_begun(string? found, string? rule)
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-11");
        await plant.Get<InstrumentActs>().Register(
            TestPlant.Administrator, new RegisterInstrumentRequest(TestPlant.Instrument("HGT-01", "height", "µm", "small difference", "2 µm") with { NeedsCheck = true }), null, default);
        Task Check(string error) => plant.Get<InstrumentRecordActs>().Check(TestPlant.Technician, new CheckInstrumentRequest("HGT-01", "block 10 mm", error, "5 µm"), null, default);
        if (found is not null)
        {
            await Check(found);
        }

        plant.Clock.Advance(TimeSpan.FromDays(2));
        await Check("0 µm");
        var request = Request("B-11", Now(plant) - (2 * Day));
        if (rule is null)
        {
            await Send(plant, request, Now(plant));
            return;
        }

        Assert.Equal(rule, (await plant.LeavesNothing<RefusedException>(() => Send(plant, request, Now(plant)))).Rule.Id);
    }

    [Theory]
    [InlineData(0, null)]
    [InlineData(9.99, null)]
    [InlineData(10.01, "R-RUN-06")]
    [InlineData(-0.04, null)]
    [InlineData(-0.05, "R-RUN-06")]
    public async Task A_begin_is_good_for_ten_days_by_one_clock_and_not_from_after_it_was_sent(double days, string? rule)
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-7");
        // A tablet whose clock was never set: only the time between matters.
        var sent = 30 * Day;
        var request = Request("B-7", sent - (long)(days * Day));
        if (rule is null)
        {
            await Send(plant, request, sent);
            return;
        }

        Assert.Equal(rule, (await plant.LeavesNothing<RefusedException>(() => Send(plant, request, sent))).Rule.Id);
    }

    [Fact]
    public async Task Only_who_began_it_sends_it()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-8");
        var refused = await plant.LeavesNothing<RefusedException>(() => Send(plant, Request("B-8", Now(plant) - Minute), Now(plant), who: TestPlant.OtherTechnician));
        Assert.Equal(("R-RUN-05", true), (refused.Rule.Id, refused.Rule.Sentence.Contains(TestPlant.Technician.Person, StringComparison.Ordinal)));
    }

    [Fact]
    public async Task What_was_begun_before_work_on_the_bed_is_not_taken_in_after_it()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-9");
        var begun = Now(plant);
        plant.Clock.Advance(TimeSpan.FromHours(2));
        await plant.ChangeBed("B-9");
        plant.Clock.Advance(TimeSpan.FromHours(2));
        var refused = await plant.LeavesNothing<RefusedException>(() => Send(plant, Request("B-9", begun), Now(plant)));
        Assert.Equal("R-RUN-07", refused.Rule.Id);
        Assert.Contains("measure anew", refused.Rule.Sentence, StringComparison.Ordinal);
        // Begun after it, or work that does not touch the survey: taken in.
        await plant.ChangeBed("B-9", "oven");
        await Send(plant, Request("B-9", begun + (3 * 60 * Minute)), Now(plant));
    }

    [Fact]
    public async Task A_second_open_run_is_refused_as_on_line()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("B-10");
        await plant.Begin(TestPlant.OtherTechnician, TestPlant.ToBegin("B-10"));
        Assert.Equal("R-RUN-02", (await plant.LeavesNothing<RefusedException>(() => Send(plant, Request("B-10", Now(plant) - Minute), Now(plant)))).Rule.Id);
    }
}
