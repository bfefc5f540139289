using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Pitfalls;

/// <summary>Values about which the two databases disagree never reach them.</summary>
public sealed class ValueTests
{
    [Theory, OnBoth("-0", "−0", "-0.000", "0")]
    public async Task Minus_zero_becomes_zero_and_is_kept_as_typed(Database on, string typed)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("V-1", "SHAPES");
        var length = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("V-1", "rail-network", "HGT-01"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("V-1", length.Run, ("R1-1→R1-2", "rise", typed)));
        var slope = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("V-1", "pad-level", "LVL-01", arrow: Domain.Measuring.LevelArrow.PlusX));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("V-1", slope.Run, ("R1-1→R1-2", "slope", typed)));
        var readings = (await plant.Machine("V-1")).Measurements.SelectMany(m => m.Runs).SelectMany(r => r.Readings).ToList();
        Assert.All(readings, r => Assert.Equal(typed, r.Value.Typed));
        Assert.Equal(0L, readings[0].Value.Nanometres);
        Assert.Equal(0L, BitConverter.DoubleToInt64Bits(readings[1].Value.Number!.Value));
        await plant.Sound();
    }

    [Theory, OnBoth("NaN", "nan", "Infinity", "-∞", "1e400", "")]
    public async Task A_number_that_is_none_is_refused_with_its_place(Database on, string typed)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("V-2");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("V-2"));
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, TestPlant.ToRecord("V-2", begun.Run, ("P4", "z", typed))));
        Assert.Equal("P4, column z", bad.Faults.Single().Where);
    }

    public static TheoryData<Database, string, string> BadTexts()
    {
        var data = new TheoryData<Database, string, string>();
        foreach (var on in new[] { Database.Sqlite, Database.Postgres })
        {
            foreach (var where in new[] { "remark", "customer", "note", "key", "reason of a correction" })
            {
                data.Add(on, where, "U+0000");
                data.Add(on, where, "lone surrogate");
            }
        }

        return data;
    }

    [Theory, MemberData(nameof(BadTexts))]
    public async Task A_text_with_half_a_character_or_a_zero_is_refused_in_every_field(Database on, string where, string what)
    {
        var text = what == "U+0000" ? "door\0open" : "door \uD83D open";
        await using var plant = await TestPlant.Make(on);
        await plant.Order("V-3", "SHAPES");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("V-3", "guards", ""));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("V-3", begun.Run, ("whole", "door", "yes")));
        var reading = (await plant.Machine("V-3")).Measurements.Single().Runs.Single().Readings.Single().Id;
        var bad = await plant.LeavesNothing<BadInputException>(() => where switch
        {
            "remark" => plant.Record(TestPlant.Technician, TestPlant.ToRecord("V-3", begun.Run, ("whole", "remark", text))),
            "customer" => plant.Get<MachineActs>().Order(TestPlant.Planner, new OrderMachineRequest("V-4", "SHAPES", text, []), null, default),
            "note" => plant.Get<MachineActs>().ChangeBed(TestPlant.Technician, new ChangeBedRequest("V-3", "re-mill", text), null, default),
            "key" => plant.Order("V-4", key: text),
            _ => plant.Get<Surveys.SurveyActs>().Correct(TestPlant.Technician, new Surveys.CorrectRequest("V-3", reading, "no", null, text), null, default),
        });
        Assert.Contains(what == "U+0000" ? "U+0000" : "half a surrogate pair", bad.Message, StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task A_text_beyond_the_basic_plane_is_kept_as_it_is(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        const string Customer = "Zürcher Übermaß 𝛿 🏭 \"<&'\\ µm ≤ 0,030";
        await plant.Get<MachineActs>().Order(TestPlant.Planner, new OrderMachineRequest("V-5", "SHAPES", Customer, []), null, default);
        Assert.Equal(Customer, (await plant.Machine("V-5")).Customer);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Under_a_culture_with_decimal_commas_the_same_text_is_hashed(Database on)
    {
        var culture = System.Globalization.CultureInfo.CurrentCulture;
        try
        {
            List<object?> hashes = [];
            foreach (var name in new[] { "en-US", "de-AT", "ar-SA" })
            {
                System.Globalization.CultureInfo.CurrentCulture = new System.Globalization.CultureInfo(name);
                await using var plant = await TestPlant.Make(on);
                await plant.Accepted("V-6");
                hashes.Add(await plant.Scalar("SELECT \"Hash\" FROM \"Head\""));
            }

            Assert.Single(hashes.Distinct());
        }
        finally
        {
            System.Globalization.CultureInfo.CurrentCulture = culture;
        }
    }
}
