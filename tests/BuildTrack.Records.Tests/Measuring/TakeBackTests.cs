using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.History;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Measuring;

/// <summary>The slip of a finger: taken back while the run is open, asked about before it is recorded.</summary>
public sealed class TakeBackTests
{
    private static Task<RecordedReadings> TakeBack(TestPlant plant, Caller who, string serial, long reading, string? key = null) =>
        plant.Get<SurveyActs>().TakeBack(who, new TakeBackRequest(serial, reading), key, default);

    private static async Task<Run> Run(TestPlant plant, string serial) => (await plant.Machine(serial)).Measurements.Single().Runs[^1];

    [Theory, OnBoth]
    public async Task The_last_entry_is_taken_back_its_place_is_empty_and_both_stand_in_the_record(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("B-1");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("B-1"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-1", begun.Run, ("P1", "z", "-4")));
        plant.Clock.Now = plant.Clock.Now.AddSeconds(5);
        var slip = (await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-1", begun.Run, ("P2", "z", "22")))).Ids[0];
        plant.Clock.Now = plant.Clock.Now.AddSeconds(5);
        var back = await TakeBack(plant, TestPlant.Technician, "B-1", slip, "one touch");
        Assert.Equal(back.Ids, (await TakeBack(plant, TestPlant.Technician, "B-1", slip, "one touch")).Ids);

        var run = await Run(plant, "B-1");
        var entry = run.Readings.Single(r => r.Id == back.Ids.Single());
        Assert.Equal(["P1"], run.Standing.Select(r => r.Place.Key));
        Assert.Equal((3, slip, true, TestPlant.Technician.Person), (run.Readings.Length, entry.Supersedes!.Value, entry.TakesBack, entry.Person));
        Assert.Equal(5_000_000, entry.At.Microseconds - run.Readings.Single(r => r.Id == slip).At.Microseconds);
        Assert.Equal("22", run.Readings.Single(r => r.Id == slip).Value.Typed);
        var act = (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, "B-1", default)).Single();
        Assert.Equal(("take back", TestPlant.Technician.Person), (act.Kind, act.Person));

        // The place lacks its reading until it is read anew, and then the run is as any other.
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Skip(2)));
        var lacks = await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Technician, "B-1", begun.Run));
        Assert.Equal("Run 1 lacks 1 of 9 readings: P2.", lacks.Rule.Sentence);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-1", begun.Run, ("P2", "z", "2")));
        var finished = await plant.Finish(TestPlant.Technician, "B-1", begun.Run);
        Assert.Equal(44.0 / 3, finished.Results.Single().Result.Value!.Value, 1e-6);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "B-1")).Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Only_who_measured_takes_back_only_the_last_and_only_while_the_run_is_open(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("B-2");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("B-2"));
        async Task<long> Record(string place, string typed)
        {
            plant.Clock.Now = plant.Clock.Now.AddSeconds(1);
            return (await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-2", begun.Run, (place, "z", typed)))).Ids[0];
        }

        async Task<string> Refused(Caller who, long reading) => (await plant.LeavesNothing<RefusedException>(() => TakeBack(plant, who, "B-2", reading))).Rule.Id;
        var first = await Record("P1", "-4");
        var second = await Record("P2", "22");
        Assert.Equal("R-BACK-01", await Refused(TestPlant.Technician, first));
        Assert.Equal("R-READ-02", await Refused(TestPlant.OtherTechnician, second));
        Assert.Equal("R-READ-02", await Refused(TestPlant.Inspector, second));

        var back = (await TakeBack(plant, TestPlant.Technician, "B-2", second)).Ids[0];
        Assert.Equal("R-BACK-01", await Refused(TestPlant.Technician, second));
        Assert.Equal("R-BACK-01", await Refused(TestPlant.Technician, back));

        // What was taken back is not corrected; a correction by somebody else is not taken back.
        foreach (var gone in new[] { second, back })
        {
            var none = await plant.LeavesNothing<RefusedException>(() => plant.Get<SurveyActs>().Correct(TestPlant.Technician, new CorrectRequest("B-2", gone, "2", null, "misread"), null, default));
            Assert.Equal("R-CORRECT-04", none.Rule.Id);
        }

        plant.Clock.Now = plant.Clock.Now.AddSeconds(1);
        var corrected = (await plant.Get<SurveyActs>().Correct(TestPlant.Inspector, new CorrectRequest("B-2", first, "-4.5", null, "seen"), null, default)).Ids[0];
        Assert.Equal("R-BACK-02", await Refused(TestPlant.Technician, corrected));

        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("B-2", begun.Run, TestPlant.Heights(TestPlant.Triangle).Skip(1)));
        var last = (await Run(plant, "B-2")).LastEntry.Single().Id;
        await plant.Finish(TestPlant.Technician, "B-2", begun.Run);
        Assert.Equal("R-READ-01", await Refused(TestPlant.Technician, last));
        await plant.Release(TestPlant.OtherInspector, "B-2");
        Assert.Equal("R-RUN-01", await Refused(TestPlant.Technician, last));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_doubtful_value_is_asked_about_and_recorded_only_when_it_is_confirmed(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("B-3");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("B-3"));
        RecordRequest Asking(bool? confirmed, params (string, string, string)[] values) => TestPlant.ToRecord("B-3", begun.Run, values) with { Confirmed = confirmed };
        await plant.Record(TestPlant.Technician, Asking(false, ("P1", "z", "12"), ("P2", "z", "15")));
        var asked = await plant.LeavesNothing<DoubtfulReadingException>(() => plant.Record(TestPlant.Technician, Asking(false, ("P3", "z", "-412"))));
        Assert.Equal(["P3 reads −412, its neighbours 15 and 12"], asked.Questions);

        await plant.Record(TestPlant.Technician, Asking(true, ("P3", "z", "-412")));
        Assert.Equal("asked and confirmed: P3 reads −412, its neighbours 15 and 12", (await Run(plant, "B-3")).Readings[^1].Reason);

        // Where nobody is there to ask, as with a program, nothing is asked; and a sound value carries no note.
        await plant.Record(TestPlant.Technician, Asking(null, ("P4", "z", "-5000")));
        await plant.Record(TestPlant.Technician, Asking(true, ("P9", "z", "9")));
        Assert.Equal([null, null], (await Run(plant, "B-3")).Readings.TakeLast(2).Select(r => r.Reason));
        await plant.Sound();
    }
}
