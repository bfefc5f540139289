using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>Files with columns of their own: recorded, remembered for the instrument, and refused without a trace.</summary>
public sealed class OwnColumnsActsTests
{
    // An axis of five targets; the log is in millimetres where the interferometer shows micrometres.
    private const string Axis = "Interferometer axis log\nPos;Air;Dev +;Dev -\n15,0;20,1;0,0012;0,0020\n25,2;20,1;0,0013;-1,5e-3\n35,6;20,1;0,0014;0,0022\n45,6;20,1;0,0015;0,0023\n55,8;20,1;0,0016;0,0024\n";

    private static readonly ColumnMapping InMm = OwnColumnsFile.OfAxis(PlaceWay.Millimetres, "mm");

    [Theory, OnBoth]
    public async Task A_log_in_another_unit_is_recorded_as_it_stands_in_the_file(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-1");
        var preview = await Preview(plant, "OC-1", run, Axis, InMm);
        Assert.Equal((10, InMm), (preview.Rows.Length, preview.Mapping));
        Assert.Equal("semicolon, decimal comma, position in mm from 'Pos', forward in mm from 'Dev +', backward in mm from 'Dev -', 1 line before the header skipped", preview.Dialect);
        await Record(plant, "OC-1", run, preview, InMm);

        var recorded = await RunOf(plant, "OC-1", run);
        Assert.All(recorded.Readings, r => Assert.Equal(("mm", EntryRoute.File), (r.Value.Unit, r.Route)));
        Assert.Equal(("0,0012", 1_200L), (recorded.Readings[0].Value.Typed, recorded.Readings[0].Value.Nanometres));
        Assert.Equal(("-1,5e-3", -1_500L, -1.5), (recorded.Readings[3].Value.Typed, recorded.Readings[3].Value.Nanometres, recorded.Calculated("backward", "T1")));
        await plant.Finish(TestPlant.Technician, "OC-1", run);
        await plant.Sound();

        // What stands in the record follows from the kept file and what was said of its columns.
        var row = await Row(plant, run);
        Assert.Equal(CanonicalJson.Of(InMm), row.FileColumns);
        var kept = (await plant.Get<FileStore>().Get(row.FileHash!, default))!;
        Assert.Equal(Encoding.UTF8.GetBytes(Axis), kept);
        var machine = await plant.Machine("OC-1");
        var survey = machine.Revision.Survey("slit-axis");
        var again = SurveyFileReader.Read(
            "axis.csv", kept, survey, machine.Revision.StationsOf(survey, machine.Model), new HashSet<string> { "T0", "T1", "T2", "T3", "T4" },
            survey.Columns.ToDictionary(c => c.Id, _ => "µm"), CanonicalJson.Read<ColumnMapping>(row.FileColumns!));
        Assert.Equal(again.Rows.Select(r => (r.Place, r.Column, r.Typed, r.Unit, r.Nanometres)), recorded.Readings.Select(r => (r.Place.Key, r.Column, r.Value.Typed, r.Value.Unit!, r.Value.Nanometres)));
    }

    [Theory, OnBoth]
    public async Task What_was_said_of_the_columns_is_remembered_for_the_instrument_and_the_survey(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var first = await Begun(plant, "OC-2");
        Assert.Null((await Look(plant, "OC-2", first, Axis))!.Last);
        await Record(plant, "OC-2", first, await Preview(plant, "OC-2", first, Axis, InMm), InMm);
        await plant.Finish(TestPlant.Technician, "OC-2", first);
        var at = (await RunOf(plant, "OC-2", first)).Readings[0].At;

        // Another machine, the same instrument; names are found whatever their letters, and other columns may be there.
        plant.Clock.Advance(TimeSpan.FromHours(1));
        var second = await Begun(plant, "OC-3");
        var looked = (await Look(plant, "OC-3", second, Axis.Replace("Pos;Air", "POS;Pressure", StringComparison.Ordinal)))!;
        Assert.Equal(new RememberedColumns(InMm, "IFM-01", TestPlant.Technician.Person, at), looked.Last! with { Mapping = InMm });
        Assert.Equal(CanonicalJson.Of(InMm), CanonicalJson.Of(looked.Last!.Mapping));
        Assert.Equal(["POS", "Pressure", "Dev +", "Dev -"], looked.Names);
        Assert.Equal([["15,0", "20,1", "0,0012", "0,0020"], ["25,2", "20,1", "0,0013", "-1,5e-3"], ["35,6", "20,1", "0,0014", "0,0022"]], looked.First);
        Assert.Equal([("forward", "µm m mm"), ("backward", "µm m mm")], looked.Needed.Select(n => (n.Id, string.Join(' ', n.Units))));
        Assert.Null((await Look(plant, "OC-3", second, Axis.Replace("Dev -", "Back", StringComparison.Ordinal)))!.Last);

        // What was said last counts; that of a run that was set aside does not.
        var inMetres = OwnColumnsFile.OfAxis(PlaceWay.Metres, "mm");
        var metres = Axis.Replace("\n15,0;", "\n0,015;", StringComparison.Ordinal).Replace("\n25,2;", "\n0,0252;", StringComparison.Ordinal).Replace("\n35,6;", "\n0,0354;", StringComparison.Ordinal)
            .Replace("\n45,6;", "\n0,0456;", StringComparison.Ordinal).Replace("\n55,8;", "\n0,0558;", StringComparison.Ordinal);
        await Record(plant, "OC-3", second, await Preview(plant, "OC-3", second, metres, inMetres), inMetres);
        var third = await Begun(plant, "OC-4");
        Assert.Equal(PlaceWay.Metres, (await Look(plant, "OC-4", third, Axis))!.Last!.Mapping.Place.Way);
        await plant.Get<SurveyActs>().Discard(TestPlant.Technician, new DiscardRequest("OC-3", second, "the log was of another axis"), null, default);
        Assert.Equal(PlaceWay.Millimetres, (await Look(plant, "OC-4", third, Axis))!.Last!.Mapping.Place.Way);

        // Another instrument has logs of its own, and another survey other columns.
        var other = (await RunOf(plant, "OC-4", third)).Instruments[0] with { Id = "IFM-02", Revision = 0 };
        await plant.Get<InstrumentActs>().Register(TestPlant.Administrator, new RegisterInstrumentRequest(other), null, default);
        var fourth = await Begun(plant, "OC-5", "IFM-02");
        Assert.Null((await Look(plant, "OC-5", fourth, Axis))!.Last);
        await plant.Order("OC-6", "SHAPES");
        var fifth = (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("OC-6", "positioning", "IFM-01", direction: Direction.Outward))).Run;
        Assert.Null((await Look(plant, "OC-6", fifth, Axis))!.Last);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_log_of_times_is_recorded_with_the_row_nearest_to_each_minute(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("OC-7", "SHAPES");
        var run = (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("OC-7", "power-minutes", "PWR-01"))).Run;
        var log = "Clock\tP kW\n" + string.Concat(Enumerable.Range(0, 49).Select(i => FormattableString.Invariant($"{23 + ((58 + (i / 12)) / 60) - (24 * ((58 + (i / 12)) / 60)):00}:{(58 + (i / 12)) % 60:00}:{5 * (i % 12):00}\t{3 + (i * 0.001):0.000}\n")));
        var mapping = OwnColumnsFile.OfLog(PlaceWay.Clock, "kW", "Clock", "P kW");
        var looked = (await Look(plant, "OC-7", run, log))!;
        Assert.Equal([PlaceWay.Seconds, PlaceWay.Minutes, PlaceWay.Hours, PlaceWay.Clock, PlaceWay.Station], looked.Ways);
        var preview = await Preview(plant, "OC-7", run, log, mapping);
        Assert.EndsWith("49 rows, the nearest to each minute taken, 44 left out", preview.Dialect, StringComparison.Ordinal);
        await Record(plant, "OC-7", run, preview, mapping);
        var recorded = await RunOf(plant, "OC-7", run);
        Assert.Equal([("M000", 3000.0), ("M001", 3012), ("M002", 3024), ("M003", 3036), ("M004", 3048)], recorded.Readings.Select(r => (r.Place.Key, Math.Round(recorded.Calculated("p", r.Place.Key)!.Value, 9))));
        Assert.Equal("3.012 kW", $"{recorded.Readings[1].Value.Typed} {recorded.Readings[1].Value.Unit}");
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_replay_with_the_same_key_records_once_and_with_other_columns_it_is_refused(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-8");
        var preview = await Preview(plant, "OC-8", run, Axis, InMm);
        var first = await Record(plant, "OC-8", run, preview, InMm, "key-1");
        Assert.Equal(first, await Record(plant, "OC-8", run, preview, CanonicalJson.Read<ColumnMapping>(CanonicalJson.Of(InMm)), "key-1") with { Ids = first.Ids });
        Assert.Equal(10L, await plant.Count("Readings"));
        await plant.LeavesNothing<KeyReusedException>(() => Record(plant, "OC-8", run, preview, OwnColumnsFile.OfAxis(PlaceWay.Millimetres), "key-1"));
        await plant.LeavesNothing<KeyReusedException>(() => Record(plant, "OC-8", run, preview, null, "key-1"));

        // The same file again, with a new key: every place has its value.
        var again = await plant.LeavesNothing<BadInputException>(() => Record(plant, "OC-8", run, preview, InMm, "key-2"));
        Assert.Contains("a recorded one is corrected with a reason", again.Faults[0].Expected, StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task Columns_that_the_file_lacks_are_refused_and_nothing_is_changed(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-9");
        var good = await Preview(plant, "OC-9", run, Axis, InMm);
        var wrong = OwnColumnsFile.OfAxis(PlaceWay.Millimetres, "mm", backward: "Back");
        var previewed = await plant.LeavesNothing<BadInputException>(() => Preview(plant, "OC-9", run, Axis, wrong));
        var recorded = await plant.LeavesNothing<BadInputException>(() => Record(plant, "OC-9", run, good, wrong));
        Assert.Equal(["axis.csv line 2, column Back: found no such column, expected one of Pos, Air, Dev +, Dev -"], previewed.Faults.Select(f => f.ToString()));
        Assert.Equal(previewed.Faults, recorded.Faults);
        Assert.Equal(
            ["mapping, column forward: found unit 'W', expected one of µm, m, mm", "mapping, column backward: found unit 'W', expected one of µm, m, mm"],
            (await plant.LeavesNothing<BadInputException>(() => Record(plant, "OC-9", run, good, OwnColumnsFile.OfAxis(PlaceWay.Millimetres, "W")))).Faults.Select(f => f.ToString()));
        Assert.Contains("expected a header with station, forward_um, backward_um", (await plant.LeavesNothing<BadInputException>(() => Record(plant, "OC-9", run, good, null))).Message, StringComparison.Ordinal);
        Assert.Null((await Row(plant, run)).FileColumns);
        Assert.Empty((await RunOf(plant, "OC-9", run)).Readings);
    }

    [Theory, OnBoth]
    public async Task A_reading_of_a_file_is_corrected_in_the_unit_it_stands_in_and_nobody_types_in_another(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-10");
        await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, new RecordRequest("OC-10", run, EntryRoute.Typed, [new TypedReading("T0", "forward", "0.0012", "mm")])));
        await Record(plant, "OC-10", run, await Preview(plant, "OC-10", run, Axis, InMm), InMm);
        var reading = (await RunOf(plant, "OC-10", run)).Readings[0];
        var acts = plant.Get<SurveyActs>();
        await plant.LeavesNothing<BadInputException>(() => acts.Correct(TestPlant.Technician, new CorrectRequest("OC-10", reading.Id, "0,0000013", "m", "slip"), null, default));
        await acts.Correct(TestPlant.Technician, new CorrectRequest("OC-10", reading.Id, "0,0013", null, "slip of the log"), null, default);
        var corrected = (await RunOf(plant, "OC-10", run)).Standing.Single(r => r.Supersedes == reading.Id);
        Assert.Equal(("mm", 1_300L), (corrected.Value.Unit, corrected.Value.Nanometres));
        await acts.Correct(TestPlant.Technician, new CorrectRequest("OC-10", corrected.Id, "1,4", "µm", "read at the instrument"), null, default);
        Assert.Equal(1.4, (await RunOf(plant, "OC-10", run)).Calculated("forward", "T0")!.Value, 1e-12);
    }

    [Theory, OnBoth]
    public async Task Only_a_table_with_a_header_that_is_not_ours_is_asked_about(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-11");
        Assert.NotNull(await Look(plant, "OC-11", run, Axis));
        foreach (var text in new[]
        {
            "station;forward_um;backward_um\nT0;1;2\n", "station,forward_mm\nT0,1\n", "forward,station\n1,T0\n", "", "only words\nand more words\n", "15;0,0012;0,0020\n25,2;0,0013;0,0021\n",
            "T0,0.1\nT1,0.2\n", "Pos,Dev +,Dev -\n", "Pos,Dev +,Dev -\n15,1\n", "\0\0\0",
        })
        {
            Assert.Null(await Look(plant, "OC-11", run, text));
        }

        // Stations with columns that we do not know are a table like any other.
        Assert.Equal(["station", "Reading"], (await Look(plant, "OC-11", run, "station,Reading,,Note,Note\nT0,1,2,3,4\n"))!.Names);
        await Assert.ThrowsAsync<RefusedException>(() => plant.Get<OwnColumnsLook>().Look(TestPlant.OtherTechnician, "OC-11", run, "axis.csv", Encoding.UTF8.GetBytes(Axis), default));
        await Assert.ThrowsAsync<BadInputException>(() => plant.Get<OwnColumnsLook>().Kept("../../x", default));
        await Assert.ThrowsAsync<BadInputException>(() => plant.Get<OwnColumnsLook>().Kept(new string('0', 64), default));
    }

    [Theory, OnBoth]
    public async Task Columns_that_are_changed_behind_the_back_of_their_act_are_found(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = await Begun(plant, "OC-12");
        await Record(plant, "OC-12", run, await Preview(plant, "OC-12", run, Axis, InMm), InMm);
        await plant.Sound();
        await plant.Execute("UPDATE \"Runs\" SET \"FileColumns\" = replace(\"FileColumns\", 'mm', 'm') WHERE \"FileColumns\" IS NOT NULL");
        Assert.Contains((await plant.Verify()).Faults, f => f.StartsWith("Runs ", StringComparison.Ordinal));
    }

    [Theory, OnBoth]
    public async Task A_file_of_ours_may_be_written_with_exponents_and_leaves_no_columns_to_remember(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("OC-13");
        var run = (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("OC-13"))).Run;
        var text = "station;z_um\n" + string.Concat(TestPlant.Triangle.Select((z, i) => $"P{i + 1};{z}e0\n"));
        await Record(plant, "OC-13", run, await Preview(plant, "OC-13", run, text, null), null);
        Assert.Equal(("-4e0", -4_000L), ((await RunOf(plant, "OC-13", run)).Readings[0].Value.Typed, (await RunOf(plant, "OC-13", run)).Readings[0].Value.Nanometres));
        Assert.Null((await Row(plant, run)).FileColumns);
    }

    private static async Task<long> Begun(TestPlant plant, string serial, string instrument = "IFM-01")
    {
        await plant.Order(serial, "LINES");
        return (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin(serial, "slit-axis", instrument))).Run;
    }

    private static Task<OwnColumns?> Look(TestPlant plant, string serial, long run, string text) =>
        plant.Get<OwnColumnsLook>().Look(TestPlant.Technician, serial, run, "axis.csv", Encoding.UTF8.GetBytes(text), default);

    private static Task<SurveyPreview> Preview(TestPlant plant, string serial, long run, string text, ColumnMapping? mapping) =>
        plant.Get<SurveyActs>().Preview(TestPlant.Technician, serial, run, "axis.csv", Encoding.UTF8.GetBytes(text), default, mapping);

    private static Task<RecordedReadings> Record(TestPlant plant, string serial, long run, SurveyPreview preview, ColumnMapping? mapping, string? key = null) =>
        plant.Get<SurveyActs>().RecordFile(TestPlant.Technician, new RecordFileRequest(serial, run, preview.FileHash, "axis.csv", mapping), key, default);

    private static async Task<Run> RunOf(TestPlant plant, string serial, long run) => (await plant.Machine(serial)).Measurements.SelectMany(m => m.Runs).Single(r => r.Id == run);

    private static async Task<RunRow> Row(TestPlant plant, long run)
    {
        await using var db = plant.Get<Store>().OpenToRead();
        return await db.Runs.SingleAsync(r => r.Id == run);
    }
}
