using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Migrations;

namespace BuildTrack.Records.Tests.Pitfalls;

/// <summary>What a migration fills in from rows that were there before.</summary>
public sealed class MigrationFillTests
{
    [Theory, OnBoth]
    public async Task Runs_of_before_are_found_through_their_instruments(Database on)
    {
        await using var plant = await TestPlant.MakeEmpty(on);
        await using (var db = plant.Get<Store>().Open())
        {
            await db.GetService<IMigrator>().MigrateAsync("ReworkTriggers");
        }

        const string detail = """{"checks":[],"helpers":[],"instruments":[{"id":"IND-07","name":"Indicator"},{"id":"THM-01","name":"Thermometer"}],"weights":[]}""";
        foreach (var (id, text) in new[] { (7, detail), (8, """{"instruments":[]}""") })
        {
            await plant.Execute(
                """INSERT INTO "Runs" ("Id", "MeasurementId", "Serial", "No", "Kind", "Person", "Day", "Detail", "BegunUs") VALUES (@id, 1, 'X-1', @id, 0, 'tom', '2026-03-02', @detail, 0)""",
                ("@id", id), ("@detail", text));
        }

        await using (var db = plant.Get<Store>().Open())
        {
            await db.GetService<IMigrator>().MigrateAsync();
            Assert.Equal(
                ["7 IND-07 2026-03-02 X-1", "7 THM-01 2026-03-02 X-1"],
                (await db.RunInstruments.ToListAsync()).Select(r => $"{r.RunId} {r.Instrument} {r.Day} {r.Serial}").Order());
        }
    }
}
