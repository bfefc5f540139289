using System.Globalization;
using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Temperatures;
using BuildTrack.Records.Tests.Acts;
using BuildTrack.Records.Tests.Support;
using BuildTrack.Records.Tests.Temperatures;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Tests.Pitfalls;

/// <summary>Whoever changes the database behind the product's back is found out.</summary>
public sealed class TamperTests
{
    private const int Seed = 20260302;
    private const int RowsPerColumn = 6;

    private static readonly Dictionary<string, string> KeyOf = new()
    {
        ["Acts"] = "Sequence",
        ["Readings"] = "Id",
        ["Evaluations"] = "Id",
    };

    [Theory, OnBoth("Acts", "Readings", "Evaluations")]
    public async Task One_changed_byte_in_any_column_of_any_row_is_found(Database on, string table)
    {
        await using var plant = await Worked(on);
        await plant.Sound();
        var random = new Random(Seed);
        List<string> missed = [];
        var tried = 0;
        var columns = await Columns(plant, table);
        var keys = await Keys(plant, table);
        foreach (var (column, type) in columns)
        {
            for (var round = 0; round < RowsPerColumn; round++)
            {
                var key = keys[random.Next(keys.Count)];
                var was = await plant.Scalar(FormattableString.Invariant($"SELECT \"{column}\" FROM \"{table}\" WHERE \"{KeyOf[table]}\" = {key}"));
                var now = Changed(was is DBNull ? null : was, type, random);
                var changedKey = column == KeyOf[table] ? Convert.ToInt64(now, CultureInfo.InvariantCulture) : key;
                await plant.Execute(FormattableString.Invariant($"UPDATE \"{table}\" SET \"{column}\" = @v WHERE \"{KeyOf[table]}\" = {key}"), ("@v", now));
                tried++;
                if ((await plant.Verify()).Faults.Length == 0)
                {
                    missed.Add(FormattableString.Invariant($"{column} of {key}: {was} → {now}"));
                }

                await plant.Execute(FormattableString.Invariant($"UPDATE \"{table}\" SET \"{column}\" = @v WHERE \"{KeyOf[table]}\" = {changedKey}"), ("@v", was ?? DBNull.Value));
            }
        }

        Assert.True(missed.Count == 0, FormattableString.Invariant($"seed {Seed}, {table}: {missed.Count} of {tried} not found: {string.Join("; ", missed.Take(10))}"));
        Assert.Equal(columns.Count * RowsPerColumn, tried);
        await plant.Sound();
    }

    [Fact]
    public async Task The_three_tables_give_at_least_two_hundred_changes()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var columns = (await Columns(plant, "Acts")).Count + (await Columns(plant, "Readings")).Count + (await Columns(plant, "Evaluations")).Count;
        Assert.True(columns * RowsPerColumn >= 200, $"{columns} columns");
    }

    [Theory, OnBoth("DELETE FROM \"Readings\" WHERE \"Id\" = (SELECT max(\"Id\") FROM \"Readings\")", "DELETE FROM \"Evaluations\" WHERE \"Id\" = (SELECT min(\"Id\") FROM \"Evaluations\")",
        "DELETE FROM \"Acts\" WHERE \"Sequence\" = (SELECT max(\"Sequence\") FROM \"Acts\")", "DELETE FROM \"Acts\" WHERE \"Sequence\" = 5",
        "UPDATE \"Head\" SET \"Sequence\" = \"Sequence\" - 1", "UPDATE \"Readings\" SET \"RunId\" = (SELECT max(\"Id\") FROM \"Runs\") WHERE \"RunId\" = (SELECT min(\"Id\") FROM \"Runs\")")]
    public async Task Rows_taken_away_moved_or_a_cut_tail_are_found(Database on, string sql)
    {
        await using var plant = await Worked(on);
        Assert.True(await plant.Execute(sql) > 0);
        Assert.NotEmpty((await plant.Verify()).Faults);
    }

    [Theory, OnBoth]
    public async Task A_reading_slipped_in_with_a_sound_hash_of_its_own_is_found(Database on)
    {
        await using var plant = await Worked(on);
        var run = (await plant.Machine("T-1")).Measurements[0].Runs[0];
        var forged = run.Readings[0] with { Id = 999_999, Value = run.Readings[0].Value with { Typed = "0", Nanometres = 0 }, Supersedes = run.Readings[0].Id, Reason = "better" };
        await plant.Execute(FormattableString.Invariant($"""
            INSERT INTO "Readings" ("Id", "RunId", "Serial", "Place", "Column", "ValueKind", "Typed", "Unit", "Nanometres", "AtUs", "Person", "Route", "Supersedes", "Reason", "Hash")
            VALUES ({forged.Id}, {run.Id}, 'T-1', '{forged.Place.Key}', 'z', 0, '0', 'µm', 0, {forged.At.Microseconds}, '{forged.Person}', {(int)forged.Route}, {forged.Supersedes}, 'better', '{forged.Hash}')
            """));
        Assert.Equal([$"reading 999999 of T-1, run {run.Id}: no act wrote it"], (await plant.Verify()).Faults);
    }

    [Theory, OnBoth]
    public async Task An_evaluation_rewritten_with_its_hash_is_found(Database on)
    {
        await using var plant = await Worked(on);
        var text = (string)(await plant.Scalar("SELECT \"Text\" FROM \"Evaluations\" WHERE \"Id\" = (SELECT max(\"Id\") FROM \"Evaluations\")"))!;
        var better = text.Replace("\"verdict\":\"notProven\"", "\"verdict\":\"accepted\"", StringComparison.Ordinal);
        Assert.NotEqual(text, better);
        await plant.Execute("UPDATE \"Evaluations\" SET \"Text\" = @t, \"Hash\" = @h WHERE \"Text\" = @o", ("@t", better), ("@h", CanonicalJson.Hash(better)), ("@o", text));
        var faults = (await plant.Verify()).Faults;
        Assert.Contains(faults, f => f.Contains("calculated again it gives another answer", StringComparison.Ordinal));
        Assert.Contains(faults, f => f.Contains("wrote it for", StringComparison.Ordinal));
    }

    /// <summary>Every table that acts write rows of: in each round one column of one row of every table is changed, and each must be named.</summary>
    [Fact]
    public async Task A_row_of_any_table_that_is_changed_behind_the_back_of_its_act_is_found()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        foreach (var (kind, act) in (await AllActs.On(plant)).OrderBy(a => a.Key != ActKind.Release))
        {
            // Some take another's ground away; what they leave is enough.
            await Record.ExceptionAsync(() => act(AllActs.Who(kind), null));
        }

        await plant.Get<TemperatureActs>().Compare(TestPlant.Technician, TemperatureActsTests.OnBlock, null, default);
        await plant.Sound();
        var random = new Random(Seed);
        List<(string Table, long Key, List<(string Column, string Type)> Columns)> all = [];
        List<string> empty = [];
        await using (var db = plant.Get<Storage.Store>().Open())
        {
            foreach (var table in db.Model.GetEntityTypes().Where(KeptRows.Holds).Select(t => t.GetTableName()!))
            {
                if (await plant.Scalar($"SELECT max(\"Id\") FROM \"{table}\"") is not long key)
                {
                    empty.Add(table);
                    continue;
                }

                all.Add((table, key, [.. (await Columns(plant, table)).Where(c => c.Column is not ("SecretHash" or "PinHash") && (table != "Certificates" || c.Column is not ("Stage" or "FileHash" or "CopyHash")))]));
            }
        }

        Assert.Empty(empty);
        Assert.True(all.Count >= 25, $"{all.Count} tables");
        foreach (var round in Enumerable.Range(0, all.Max(t => t.Columns.Count)))
        {
            List<Func<Task>> back = [];
            foreach (var (table, key, columns) in all)
            {
                var (column, type) = columns[round % columns.Count];
                var was = await plant.Scalar($"SELECT \"{column}\" FROM \"{table}\" WHERE \"Id\" = {key}");
                object now;
                do
                {
                    now = type == nameof(Boolean) ? !Convert.ToBoolean(was, CultureInfo.InvariantCulture) : Changed(was is DBNull ? null : was, type, random);
                }
                while (!await Written(plant, $"UPDATE \"{table}\" SET \"{column}\" = @v WHERE \"Id\" = {key}", now));
                var found = column == "Id" ? now : key;
                back.Add(() => plant.Execute($"UPDATE \"{table}\" SET \"{column}\" = @v WHERE \"Id\" = {found}", ("@v", was ?? DBNull.Value)));
            }

            var faults = (await plant.Verify()).Faults;
            Assert.Empty(all.Where(t => !faults.Any(f => f.StartsWith($"{t.Table} ", StringComparison.Ordinal))).Select(t => $"{t.Table}.{t.Columns[round % t.Columns.Count].Column}"));
            foreach (var step in back)
            {
                await step();
            }
        }

        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_release_slipped_in_or_taken_away_is_found(Database on)
    {
        await using var plant = await Worked(on);
        await plant.Execute("""INSERT INTO "HoldDecisions" ("Id", "Serial", "Hold", "Kind", "Person", "AtUs", "Reason", "Sheet", "Evaluations", "Act", "ConfirmedBy", "ForPerson", "Delegation") SELECT 999999, "Serial", "Hold", "Kind", 'jorin', "AtUs", "Reason", "Sheet", "Evaluations", "Act", "ConfirmedBy", "ForPerson", "Delegation" FROM "HoldDecisions" """);
        Assert.Equal(["HoldDecisions 999999: no act wrote it"], (await plant.Verify()).Faults);
        await plant.Execute("""DELETE FROM "HoldDecisions" """);
        Assert.Contains("missing now", Assert.Single((await plant.Verify()).Faults), StringComparison.Ordinal);
    }

    /// <summary>A machine accepted with a correction and a key, one not proven, one file.</summary>
    private static async Task<TestPlant> Worked(Database on)
    {
        var plant = await TestPlant.Make(on);
        await plant.Accepted("T-1");
        var reading = (await plant.Machine("T-1")).Measurements.Single().Runs.Single().Readings[2];
        await plant.Get<SurveyActs>().Correct(TestPlant.Inspector, new CorrectRequest("T-1", reading.Id, "-5.9", null, "read again"), "a key", default);
        await plant.Release(TestPlant.OtherInspector, "T-1", "another key");
        await plant.Order("T-2", "SHAPES");
        var level = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-2", "pad-level", "LVL-01", arrow: Domain.Measuring.LevelArrow.PlusX));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("T-2", level.Run, ("R1-1→R1-2", "slope", "3.25"), ("R1-2→R1-3", "slope", "-1")));
        var photo = await plant.Get<SurveyActs>().KeepFile(TestPlant.Technician, "a.jpg", "image/jpeg", Encoding.UTF8.GetBytes("photo"), null, default);
        var plate = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("T-2", "rating-plate", ""));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("T-2", plate.Run, ("whole", "photo", photo)));
        await plant.Order("T-3");
        await plant.Pass(TestPlant.OtherTechnician, TestPlant.ToBegin("T-3"), [.. TestPlant.Triangle.Select(h => h == "9" ? "14" : h)]);
        return plant;
    }

    // A number that another row has, and that must be its own, cannot be written; another one can.
    private static async Task<bool> Written(TestPlant plant, string sql, object now)
    {
        try
        {
            return await plant.Execute(sql, ("@v", now)) == 1;
        }
        catch (SqliteException e) when (e.Message.Contains("UNIQUE", StringComparison.Ordinal))
        {
            return false;
        }
    }

    private static async Task<List<(string Column, string Type)>> Columns(TestPlant plant, string table)
    {
        await using var db = plant.Get<Storage.Store>().Open();
        var entity = db.Model.GetEntityTypes().Single(t => (string?)t.FindAnnotation("Relational:TableName")?.Value == table);
        return [.. entity.GetProperties().Select(p => (p.Name, (Nullable.GetUnderlyingType(p.ClrType) ?? p.ClrType).Name))];
    }

    private static async Task<List<long>> Keys(TestPlant plant, string table)
    {
        List<long> keys = [];
        var count = await plant.Count(table);
        for (var i = 0; i < count; i++)
        {
            keys.Add(Convert.ToInt64(await plant.Scalar(FormattableString.Invariant($"SELECT \"{KeyOf[table]}\" FROM \"{table}\" ORDER BY 1 LIMIT 1 OFFSET {i}")), CultureInfo.InvariantCulture));
        }

        return keys;
    }

    /// <summary>One byte changed; where there is nothing, something.</summary>
    private static object Changed(object? was, string type, Random random)
    {
        switch (type)
        {
            case nameof(Int64) or nameof(Int32):
                // A key stays free of those in use; a small number stays one that its column can hold.
                return was is null ? 1000 + random.Next(9000) : type == nameof(Int32) ? Convert.ToInt32(was, CultureInfo.InvariantCulture) ^ (1 << random.Next(3))
                    : (object)(Convert.ToInt64(was, CultureInfo.InvariantCulture) ^ (1L << (24 + random.Next(8))));
            case nameof(Double):
                return was is null ? 1.0 : BitConverter.Int64BitsToDouble(BitConverter.DoubleToInt64Bits(Convert.ToDouble(was, CultureInfo.InvariantCulture)) ^ (1L << random.Next(52)));
            default:
                var text = was as string ?? "";
                if (text.Length == 0)
                {
                    return "x";
                }

                var at = random.Next(text.Length);
                while (text[at] > 126)
                {
                    at = (at + 1) % text.Length;
                }

                return $"{text[..at]}{(text[at] == 'a' ? 'b' : 'a')}{text[(at + 1)..]}";
        }
    }
}
