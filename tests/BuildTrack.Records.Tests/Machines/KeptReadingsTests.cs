using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Machines;

/// <summary>What is kept of a machine's readings says the same as the database, whatever happened in between.</summary>
public sealed class KeptReadingsTests
{
    private static readonly string[] Serials = ["K-1", "K-2", "K-3"];

    /// <summary>Recorded, taken back and refused in a seeded order; after each act what a server says that kept something, what another says that kept something and writes nothing, and what one says that reads everything.</summary>
    [Theory, OnBoth(1, 2)]
    public async Task Kept_and_read_anew_say_the_same_after_every_act(Database on, int seed)
    {
        await using var plant = await TestPlant.Make(on);
        var random = new Random(seed);
        var runs = new Dictionary<string, long>();
        foreach (var serial in Serials)
        {
            await plant.Order(serial);
            runs[serial] = (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin(serial))).Run;
        }

        var (done, refused) = (0, 0);
        using var others = new MachineDigests(new Store(plant.Settings));
        var other = new MachineReader(new Store(plant.Settings), others);
        for (var i = 0; i < 40; i++)
        {
            var serial = Serials[random.Next(Serials.Length)];
            var standing = (await plant.Machine(serial)).Measurements.Single().Runs.Single().Standing.ToArray();
            var (place, typed) = ($"P{random.Next(1, 10)}", random.Next(-9, 10).ToString(System.Globalization.CultureInfo.InvariantCulture));
            try
            {
                await (standing.Length > 0 && random.Next(3) == 0
                    ? plant.Get<SurveyActs>().TakeBack(TestPlant.Technician, new TakeBackRequest(serial, standing[random.Next(standing.Length)].Id), null, default)
                    : plant.Record(TestPlant.Technician, TestPlant.ToRecord(serial, runs[serial], [(place, "z", typed)])));
                done++;
            }
            catch (Exception e) when (e is RefusedException or BadInputException)
            {
                refused++;
            }

            await SaysTheSame(plant);
            if (i % 3 == 0)
            {
                Assert.Equal(CanonicalJson.Of((await plant.Machine(serial)).Measurements), CanonicalJson.Of((await other.Load(serial, default)).Measurements));
            }
        }

        Assert.True(done >= 20 && refused >= 1, $"{done} done, {refused} refused");
    }

    /// <summary>An act reads the machine after it wrote a reading and is then taken back; the next act writes another reading with the same id.</summary>
    [Fact]
    public async Task What_an_act_saw_that_was_taken_back_is_not_kept()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Order("K-1");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("K-1"), TestPlant.Triangle);
        var reading = (await plant.Machine("K-1")).Measurements.Single().Runs.Single().Readings[2].Id;
        Task Correct(string typed) => plant.Get<SurveyActs>().Correct(TestPlant.OtherInspector, new CorrectRequest("K-1", reading, typed, null, "misread"), null, default);

        await plant.Execute("CREATE TRIGGER \"NoAct\" BEFORE INSERT ON \"Acts\" BEGIN SELECT RAISE(ABORT, 'no act'); END");
        await Assert.ThrowsAnyAsync<Exception>(() => Correct("-6.5"));
        await plant.Execute("DROP TRIGGER \"NoAct\"");
        Assert.Equal("-6", Third(await plant.Machine("K-1")));
        await Correct("-7.5");
        Assert.Equal("-7.5", Third(await plant.Machine("K-1")));
        await SaysTheSame(plant);
        await plant.Sound();
    }

    /// <summary>The last reading that is known is no longer there, or another one: as after a backup was put back.</summary>
    [Theory, OnBoth("DELETE FROM \"Readings\" WHERE \"Id\" = (SELECT max(\"Id\") FROM \"Readings\")", "UPDATE \"Readings\" SET \"Typed\" = '7', \"Hash\" = 'x' WHERE \"Id\" = (SELECT max(\"Id\") FROM \"Readings\")")]
    public async Task A_database_that_is_not_the_one_that_was_read_is_read_anew(Database on, string change)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("K-1");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("K-1"), TestPlant.Triangle);
        Assert.Equal(TestPlant.Triangle, (await plant.Machine("K-1")).Measurements.Single().Runs.Single().Readings.Select(r => r.Value.Typed));
        await plant.Execute(change);
        await SaysTheSame(plant, "K-1");
        Assert.NotEqual(TestPlant.Triangle, (await plant.Machine("K-1")).Measurements.Single().Runs.Single().Readings.Select(r => r.Value.Typed));
    }

    private static string Third(MachineRecord machine) => machine.Measurements.Single().Runs.Single().Standing.Single(r => r.Place.Key == "P3").Value.Typed;

    private static async Task SaysTheSame(TestPlant plant, params string[] only)
    {
        var store = new Store(plant.Settings);
        using var digests = new MachineDigests(store);
        var anew = new MachineReader(store, digests);
        foreach (var serial in only.Length > 0 ? only : (await anew.Serials(default)).ToArray())
        {
            var (kept, read) = (await plant.Machine(serial), await anew.Load(serial, default));
            Assert.Equal(CanonicalJson.Of(read.Measurements), CanonicalJson.Of(kept.Measurements));
        }
    }
}
