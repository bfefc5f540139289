using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.TakenAlong;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.TakenAlong;

/// <summary>A tablet without network understands, asks and calculates as the server does.</summary>
public sealed class TabletWorkTests
{
    private static async Task<TakenRun> Taken(TestPlant plant, string serial, long run)
    {
        var machine = await plant.Machine(serial);
        var measurement = machine.Measurements.Single(m => m.Runs.Any(r => r.Id == run));
        var taken = TakenRun.Of(machine, machine.Revision.Survey(measurement.Survey), measurement, measurement.Runs.Single(r => r.Id == run));
        // What a tablet has is the text, read back.
        return CanonicalJson.Read<TakenRun>(CanonicalJson.Of(taken));
    }

    private static KeptValue[] Kept(params string[] heights) => [.. TestPlant.Heights(heights).Select(h => new KeptValue(h.Place, h.Column, h.Typed))];

    [Fact]
    public async Task What_a_tablet_calculates_is_the_result_of_the_finished_run_to_the_last_digit()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-1");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-1"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("T-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Take(3)));
        var tablet = TabletWork.Calculate(await Taken(plant, "T-1", begun.Run), Kept(TestPlant.Triangle)[3..]);

        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("T-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Skip(3)));
        var server = await plant.Finish(TestPlant.Technician, "T-1", begun.Run);
        Assert.Equal(
            server.Results.Select(r => (r.Line, CanonicalJson.Of(r.Result))),
            tablet.Select(r => (r.Line, CanonicalJson.Of(r.Result))));
        Assert.Equal(Shown.Word(server.Results.Single().Result.Verdict!.Value), tablet.Single().Word);
    }

    [Fact]
    public async Task With_places_missing_a_tablet_says_incomplete_and_with_none_not_measured()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-2");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-2"));
        var taken = await Taken(plant, "T-2", begun.Run);
        Assert.Equal(("not measured", (string?)null), (TabletWork.Calculate(taken, []).Single().Word, TabletWork.Calculate(taken, []).Single().Value));
        Assert.Equal("incomplete", TabletWork.Calculate(taken, Kept("1", "2")).Single().Word);
    }

    [Fact]
    public async Task A_tablet_asks_about_the_values_the_server_asks_about_with_the_same_words()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-3");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("T-3"), TestPlant.Triangle);
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-3"));
        var taken = await Taken(plant, "T-3", begun.Run);
        var random = new Random(20261128);
        List<KeptValue> kept = [];
        var asked = 0;
        foreach (var (no, place) in taken.Entries.Select(e => e.Place).Index())
        {
            // A slip first, far from what the earlier pass read there; then the value.
            var read = TestPlant.Triangle[no];
            foreach (var typed in new[] { $"{random.Next(2000, 9000)}", read })
            {
                var value = new KeptValue(place, "z", typed);
                var met = TabletWork.Meet(taken, kept, value);
                string? server = null;
                try
                {
                    await plant.Record(TestPlant.Technician, new RecordRequest("T-3", begun.Run, EntryRoute.Typed, [new TypedReading(place, "z", typed, null)], false));
                    kept.Add(value);
                }
                catch (DoubtfulReadingException doubt)
                {
                    server = doubt.Questions.Single();
                    asked++;
                }

                Assert.Equal((null, server), (met.Fault, met.Question));
                if (server is null)
                {
                    break;
                }
            }
        }

        Assert.InRange(asked, 3, taken.Entries.Length);
    }

    [Theory]
    [InlineData("1.2.3")]
    [InlineData("NaN")]
    [InlineData("")]
    [InlineData("012")]
    public async Task What_is_no_number_is_refused_on_a_tablet_with_the_words_of_the_server(string typed)
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-4");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-4"));
        var met = TabletWork.Meet(await Taken(plant, "T-4", begun.Run), [], new KeptValue("P1", "z", typed));
        var server = await plant.LeavesNothing<Domain.Rules.BadInputException>(() => plant.Record(TestPlant.Technician, TestPlant.ToRecord("T-4", begun.Run, ("P1", "z", typed))));
        Assert.Equal(server.Faults.Single().Expected, met.Fault);
    }

    [Fact]
    public async Task A_tablet_takes_no_name_along()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-5");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("T-5", helpers: [TestPlant.OtherTechnician.Person]), TestPlant.Triangle);
        await plant.ChangeBed("T-5");
        var earlier = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-5"));
        var begun = await plant.Begin(TestPlant.OtherTechnician, TestPlant.ToBegin("T-5", helpers: [TestPlant.Technician.Person]) with { HandOver = earlier.Run });
        await plant.Record(TestPlant.OtherTechnician, TestPlant.ToRecord("T-5", begun.Run, ("P1", "z", "1")));
        var text = CanonicalJson.Of(await Taken(plant, "T-5", begun.Run));
        Assert.All(TestPlant.People, p => Assert.DoesNotContain(p.Person, text, StringComparison.OrdinalIgnoreCase));
        Assert.All(TestPlant.People, p => Assert.DoesNotContain(p.Name, text, StringComparison.OrdinalIgnoreCase));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(long.MaxValue)]
    public async Task A_clock_that_no_record_can_hold_is_refused_and_records_nothing(long us)
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("T-7");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-7"));
        var request = new RecordRequest("T-7", begun.Run, EntryRoute.Typed, [new TypedReading("P1", "z", "1", null)], null, us);
        var refused = await plant.LeavesNothing<Domain.Rules.BadInputException>(() => plant.Get<SurveyActs>().Record(TestPlant.Technician, request, null, default, 0));
        Assert.Equal("time when typed, by the tablet's clock", refused.Faults.Single().Where);
    }

    [Theory, OnBoth]
    public async Task Both_clocks_of_a_reading_are_kept_and_sending_it_again_later_is_the_same_request(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("T-6");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-6"));
        var now = Instant.Now(plant.Clock).Microseconds;
        const long Minute = 60_000_000;
        var request = new RecordRequest("T-6", begun.Run, EntryRoute.Typed, [new TypedReading("P1", "z", "1", null)], false, now - (40 * Minute));
        Task<RecordedReadings> Send(long sent) => plant.Get<SurveyActs>().Record(TestPlant.Technician, request, "kept", default, sent);
        var first = await Send(now - (10 * Minute));
        Assert.Equal(first.Ids, (await Send(now - (9 * Minute))).Ids);

        var reading = (await plant.Machine("T-6")).Measurements.Single().Runs.Single().Readings.Single();
        Assert.Equal(new TabletClock(new Instant(now - (40 * Minute)), new Instant(now - (10 * Minute))), reading.Tablet);
        Assert.Equal(TimeSpan.FromMinutes(10), reading.Tablet!.Behind(reading.At));
        await plant.Sound();
    }
}
