using System.Globalization;
using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Files;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.RecordShapes;

/// <summary>
/// Every shape that acceptance of a laser cutting machine brings along: recorded, read back equal, hashed, and resolved into the input of its
/// calculations. Most of those calculations are only names yet: the record must hold what they will need.
/// </summary>
public sealed class RecordShapeTests
{
    private static readonly Conditions Even = new(20.1m, [20.2m, 20.1m, 20.2m], [20.1m, 20.1m, 20.1m], null);

    [Theory, OnBoth]
    public async Task One_level_run_feeds_flatness_local_flatness_cross_level_and_twist(Database on)
    {
        await using var plant = await Shapes(on);
        (string, string, string)[] typed =
        [
            ("R1-1→R1-2", "slope", "14"), ("R1-2→R1-3", "slope", "-3,5"), ("R2-1→R2-2", "slope", "8"), ("R2-2→R2-3", "slope", "−6"), ("R1-1→R2-1", "slope", "2.25"),
            ("R1-2→R2-2", "slope", "0"), ("R1-3→R2-3", "slope", "+7"),
        ];
        var run = await Recorded(plant, TestPlant.ToBegin("S-1", "pad-level", "LVL-01", arrow: LevelArrow.PlusX), typed);
        await ReadBack(plant, run, typed);

        var inputs = await Inputs(plant, "100-21", "100-22", "100-23", "100-24");
        Assert.Single(inputs.Select(i => i.Sources["slopes"].Readings!.Measurement).Distinct());
        Assert.All(inputs, i => Assert.Equal([14, -3.5, 8, -6, 2.25, 0, 7], Values(i.Sources["slopes"])));
        Assert.All(inputs, i => Assert.Equal((500.0, 6, LevelArrow.PlusX), (i.Sources["slopes"].Readings!.BaseLengthMm!.Value, i.Sources["slopes"].Readings!.Stations.Length, i.Sources["slopes"].Readings!.Runs.Single().Arrow)));
        Assert.Equal([false, false, true, true], inputs.Select(i => i.Sources.ContainsKey("gauge")));
        Assert.Equal(new Amount(1000m, "mm"), inputs[2].Sources["gauge"].Figure);
    }

    [Theory, OnBoth]
    public async Task A_level_network_over_two_rails_and_bridges(Database on)
    {
        await using var plant = await Shapes(on);
        (string, string, string)[] typed =
        [
            ("R1-1→R1-2", "rise", "7.5"), ("R1-2→R1-3", "rise", "-2.5"), ("R2-1→R2-2", "rise", "4"), ("R2-2→R2-3", "rise", "1"),
            ("R1-1→R2-1", "rise", "12"), ("R1-3→R2-3", "rise", "12.5"), ("R2-3→R1-3", "rise", "-12"),
        ];
        var run = await Recorded(plant, TestPlant.ToBegin("S-1", "rail-network", "HGT-01"), typed);
        await ReadBack(plant, run, typed);
        var input = (await Inputs(plant, "100-12")).Single();
        Assert.Equal([7.5, -2.5, 4, 1, 12, 12.5, -12], Values(input.Sources["rises"]));
        var bridge = input.Sources["rises"].Readings!.Runs.Single().Readings[4].Place;
        Assert.Equal((PlaceKind.Between, "R1-1", "R2-1"), (bridge.Kind, bridge.From, bridge.To));
        Assert.Equal(1000m, input.Sources["gauge"].Figure!.Value);
    }

    [Theory, OnBoth("R1-1", "R1-1→R9-1", "R1-1→", "whole", "R1-1→R1-2→R1-3")]
    public async Task A_place_that_is_not_between_two_stations_of_the_layout_is_refused(Database on, string place)
    {
        await using var plant = await Shapes(on);
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "rail-network", "HGT-01"));
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, (place, "rise", "1"))));
        Assert.Equal($"place '{place}'", bad.Faults.Single().Found);
    }

    [Theory, OnBoth]
    public async Task Rail_straightness_out_and_back_for_each_rail(Database on)
    {
        await using var plant = await Shapes(on);
        string[][] heights = [["0", "3", "8", "4", "0"], ["0", "4", "8", "5", "-1"]];
        foreach (var (direction, h) in new[] { Direction.Outward, Direction.Back }.Zip(heights))
        {
            var typed = h.Select((v, i) => ($"S{i}", "h", v)).ToArray();
            await ReadBack(plant, await Recorded(plant, TestPlant.ToBegin("S-1", "rail-straightness", "HGT-01", feature: "R2", direction: direction), typed), typed);
        }

        var input = (await Inputs(plant, "100-13")).Single();
        Assert.Equal(["line/R1", "line/R2"], input.Sources.Keys);
        Assert.Empty(input.Sources["line/R1"].Readings!.Runs);
        var measured = input.Sources["line/R2"].Readings!;
        Assert.Equal("R2", measured.Feature);
        Assert.Equal([Direction.Outward, Direction.Back], measured.CountedPasses.Select(r => r.Direction!.Value));
        Assert.Equal([0, 3, 8, 4, 0, 0, 4, 8, 5, -1], Values(input.Sources["line/R2"]));
        Assert.Equal([0, 250, 500, 750, 1000], measured.Stations.Select(s => s.XMm));

        // The other rail is a measurement of its own, and an open run on it stands against a release.
        await plant.Begin(TestPlant.OtherTechnician, TestPlant.ToBegin("S-1", "rail-straightness", "HGT-01", feature: "R1", direction: Direction.Outward));
        var machine = await plant.Machine("S-1");
        Assert.Equal(["R2", "R1"], machine.Measurements.Select(m => m.Feature));
        var refused = ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds.Single(h => h.Id == "S1"), TestPlant.Inspector.Person);
        Assert.Equal(ReleaseRules.RunOpen, refused!.Id);
        Assert.Contains(ReleaseRules.HandsOf(machine, machine.Revision.Holds.Single(h => h.Id == "S1")), h => h.Person == TestPlant.OtherTechnician.Person);
    }

    [Theory, OnBoth]
    public async Task Positioning_with_ten_runs_in_both_directions(Database on)
    {
        await using var plant = await Shapes(on);
        const int Seed = 2302;
        var random = new Random(Seed);
        List<double> sent = [];
        for (var run = 0; run < 10; run++)
        {
            var typed = Enumerable.Range(1, 5).Select(t => ($"X{t}", "deviation", ((random.Next(-800, 800) + 0.0) / 100).ToString(CultureInfo.InvariantCulture))).ToArray();
            sent.AddRange(typed.Select(t => double.Parse(t.Item3, CultureInfo.InvariantCulture)));
            var direction = run % 2 == 0 ? Direction.Outward : Direction.Back;
            await ReadBack(plant, await Recorded(plant, TestPlant.ToBegin("S-1", "positioning", "IFM-01", direction: direction), typed), typed);
        }

        var source = (await Inputs(plant, "100-14")).Single().Sources["deviations"].Readings!;
        Assert.Equal(10, source.PassesPlanned);
        Assert.Equal(Enumerable.Range(1, 10), source.CountedPasses.Select(r => r.No));
        Assert.Equal([5, 5], source.CountedPasses.GroupBy(r => r.Direction).Select(g => g.Count()));
        Assert.True(sent.SequenceEqual(source.Runs.SelectMany(r => r.Readings).Select(r => r.Value.Calculated!.Value)), $"seed {Seed}");
        Assert.Equal([50, 271.3, 498.7, 731.9, 950], source.Stations.Select(s => s.XMm));
    }

    [Theory, OnBoth]
    public async Task A_power_log_of_240_rows_is_one_reading_by_its_hash(Database on)
    {
        await using var plant = await Shapes(on);
        var text = new StringBuilder("minute,power_w\n");
        for (var minute = 0; minute < 240; minute++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{minute},{6000 - (minute / 8)}\n");
        }

        var bytes = Encoding.UTF8.GetBytes(text.ToString());
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "power-log", "PWR-01"));
        var unknown = await plant.LeavesNothing<BadInputException>(() =>
            plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, ("whole", "log", CanonicalJson.Hash(bytes)))));
        Assert.Equal("the SHA-256 of a file kept here", unknown.Faults.Single().Expected);

        var hash = await plant.Get<SurveyActs>().KeepFile(TestPlant.Technician, "power.csv", "text/csv", bytes, null, default);
        var acts = await plant.Count("Acts");
        Assert.Equal(hash, await plant.Get<SurveyActs>().KeepFile(TestPlant.OtherTechnician, "same.csv", "text/csv", bytes, null, default));
        Assert.Equal(acts, await plant.Count("Acts"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, ("whole", "log", hash)));
        await plant.Finish(TestPlant.Technician, "S-1", begun.Run);
        await ReadBack(plant, begun.Run, ("whole", "log", hash));

        var reading = (await Inputs(plant, "100-15")).Single().Sources["log"].Readings!.Runs.Single().Readings.Single();
        Assert.Equal((ValueKind.Table, CanonicalJson.Hash(bytes), (double?)null), (reading.Value.Kind, reading.Value.FileHash, reading.Value.Calculated));
        var kept = (await plant.Get<FileStore>().Get(reading.Value.FileHash!, default))!;
        Assert.Equal(bytes, kept);
        Assert.Equal(241, Encoding.UTF8.GetString(kept).TrimEnd().Split('\n').Length);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_yes_no_list_keeps_the_answers_to_its_questions(Database on)
    {
        await using var plant = await Shapes(on);
        (string, string, string)[] typed =
            [("whole", "door", "yes"), ("whole", "stop", "no"), ("whole", "screens", "not-applicable"), ("whole", "remark", "stop 4 sticks — see NCR-0045 «Türe»")];
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "guards", ""));
        var bad = await plant.LeavesNothing<BadInputException>(() =>
            plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, ("whole", "door", "Yes"), ("whole", "stop", "maybe"), ("whole", "remark", ""))));
        Assert.Equal(["one of yes, no", "one of yes, no", "1 to 2000 characters"], bad.Faults.Select(f => f.Expected));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, typed));
        await plant.Finish(TestPlant.Technician, "S-1", begun.Run);
        await ReadBack(plant, begun.Run, typed);

        var input = (await Inputs(plant, "100-16")).Single();
        Assert.Equal(["yes", "not-applicable", "no"], new[] { "door", "screens", "stop" }.Select(s => input.Sources[s].Readings!.Runs.Single().Readings.Single().Value.Typed));
    }

    [Theory, OnBoth]
    public async Task A_photo_is_one_reading_by_its_hash(Database on)
    {
        await using var plant = await Shapes(on);
        var bytes = new byte[70_000];
        new Random(7).NextBytes(bytes);
        var hash = await plant.Get<SurveyActs>().KeepFile(TestPlant.Technician, "plate.jpg", "image/jpeg", bytes, null, default);
        var run = await Recorded(plant, TestPlant.ToBegin("S-1", "rating-plate", ""), ("whole", "photo", hash));
        await ReadBack(plant, run, ("whole", "photo", hash));
        var reading = (await Inputs(plant, "100-17")).Single().Sources["photo"].Readings!.Runs.Single().Readings.Single();
        Assert.Equal((ValueKind.File, hash), (reading.Value.Kind, reading.Value.FileHash));
        Assert.Equal(bytes, await plant.Get<FileStore>().Get(hash, default));
    }

    [Theory, OnBoth]
    public async Task A_sample_cut_has_twelve_columns_and_a_limit_that_depends_on_its_thickness(Database on)
    {
        await using var plant = await Shapes(on);
        var photo = await plant.Get<SurveyActs>().KeepFile(TestPlant.Technician, "edge.png", "image/png", new byte[] { 137, 80, 78, 71 }, null, default);
        (string, string, string)[] typed =
        [
            ("whole", "thickness", "6.03"), ("whole", "side-x", "200.04"), ("whole", "side-y", "199.97"), ("whole", "hole-20", "0.06"), ("whole", "hole-8", "0.09"),
            ("whole", "slot", "5.02"), ("whole", "kerf", "0.31"), ("whole", "u", "0.11"), ("whole", "rz", "31"), ("whole", "burr", "0.05"), ("whole", "dross", "no"), ("whole", "photo", photo),
        ];
        var run = await Recorded(plant, TestPlant.ToBegin("S-1", "sample-cuts", "CAL-01 RGH-01", feature: "SS-06"), typed);
        await ReadBack(plant, run, typed);

        var input = (await Inputs(plant, "100-18")).Single();
        Assert.Equal(
            ["thickness/CS-03", "thickness/CS-10", "thickness/SS-06", "values/CS-03", "values/CS-10", "values/SS-06"], input.Sources.Keys);
        Assert.Equal([110.0], Values(input.Sources["values/SS-06"]));
        var thickness = input.Sources[$"{input.Requirement.Over}/SS-06"].Readings!.Runs.Single().Readings.Single().Value;
        Assert.Equal(6_030_000L, thickness.Nanometres);

        // ISO 9013:2017, range 2: u = 0.15 + 0.007 a; 0.19221 mm at 6.03 mm.
        Assert.Equal(0.19221m, input.Table!.At(6.03m));
        Assert.Equal("mm", input.Table.OverUnit);
        Assert.Null(input.Table.At(32.1m));
    }

    [Theory, OnBoth]
    public async Task A_change_between_two_steps_is_a_result_of_two_results(Database on)
    {
        await using var plant = await Shapes(on);
        string[] stations = ["R1-1", "R1-2", "R1-3", "R2-1", "R2-2", "R2-3"];
        string[] before = ["0.010", "0.000", "0.010", "0.000", "0.010", "0.000"], after = ["0.020", "0.000", "0.020", "0.000", "0.020", "0.000"];
        async Task<BuildTrack.Records.Surveys.FinishedRun> Pass(string survey, string[] heights)
        {
            var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", survey, "HGT-02", conditions: Even));
            var typed = stations.Zip(heights).Select(p => (p.First, "z", p.Second)).ToArray();
            await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, typed));
            var finished = await plant.Finish(TestPlant.Technician, "S-1", begun.Run);
            await ReadBack(plant, begun.Run, typed);
            return finished;
        }

        var first = (await Pass("before-heights", before)).Results.Single();
        var half = (await Inputs(plant, "120-02")).Single();
        Assert.Equal((first.EvaluationHash, ""), (half.Sources["before"].Result!.EvaluationHash, half.Sources["after"].Result!.EvaluationHash));
        Assert.Null(half.Sources["after"].Result!.Value);

        var second = (await Pass("after-heights", after)).Results.Single();
        var whole = (await Inputs(plant, "120-02")).Single();
        Assert.Equal((first.EvaluationHash, second.EvaluationHash), (whole.Sources["before"].Result!.EvaluationHash, whole.Sources["after"].Result!.EvaluationHash));
        Assert.Equal(whole.Sources["before"].Result!.Value!.Value * 2, whole.Sources["after"].Result!.Value!.Value, 1e-6);
        Assert.Equal((first.Result.ReachAbove, first.Result.ReachBelow), (whole.Sources["before"].Result!.ReachAbove, whole.Sources["before"].Result!.ReachBelow));

        // What the first rests on being void, the change is void with it.
        await plant.ChangeBed("S-1");
        var machine = await plant.Machine("S-1");
        var standing = machine.StandingOf(machine.Agreed().Single(a => a.Characteristic.Line == "120-02"));
        Assert.Equal(Domain.Machines.Standing.ToBeRepeated, standing.Standing);
        await plant.Sound();
    }

    private static async Task<TestPlant> Shapes(Database on)
    {
        var plant = await TestPlant.Make(on);
        await plant.Order("S-1", "SHAPES");
        return plant;
    }

    private static async Task<long> Recorded(TestPlant plant, BeginRunRequest request, params (string, string, string)[] typed)
    {
        var begun = await plant.Begin(TestPlant.Technician, request);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, typed));
        await plant.Finish(TestPlant.Technician, "S-1", begun.Run);
        return begun.Run;
    }

    /// <summary>The readings of a run are those typed, in their order; each has the hash that was stored with it.</summary>
    private static async Task ReadBack(TestPlant plant, long run, params (string Place, string Column, string Typed)[] typed)
    {
        var readings = (await plant.Machine("S-1")).Measurements.SelectMany(m => m.Runs).Single(r => r.Id == run).Readings;
        Assert.Equal(typed, readings.Select(r => (r.Place.Key, r.Column, r.Value.Typed)));
        foreach (var reading in readings)
        {
            Assert.Equal(await plant.Scalar(FormattableString.Invariant($"SELECT \"Hash\" FROM \"Readings\" WHERE \"Id\" = {reading.Id}")), reading.Hash);
            Assert.Equal(reading, CanonicalJson.Read<Reading>(CanonicalJson.Of(reading)));
            Assert.Equal(EntryRoute.Typed, reading.Route);
        }
    }

    /// <summary>The inputs of some lines; each reads back from its text to the same hash.</summary>
    private static async Task<List<EvaluationInput>> Inputs(TestPlant plant, params string[] lines)
    {
        var machine = await plant.Machine("S-1");
        var inputs = lines.Select(l => EvaluationInputs.For(machine, machine.Agreed().Single(a => a.Characteristic.Line == l))).ToList();
        Assert.All(inputs, i => Assert.Equal(i.Hash, CanonicalJson.Read<EvaluationInput>(CanonicalJson.Of(i)).Hash));
        return inputs;
    }

    private static IEnumerable<double> Values(Source source) => source.Readings!.Runs.SelectMany(r => r.Readings).Select(r => r.Value.Calculated!.Value);
}
