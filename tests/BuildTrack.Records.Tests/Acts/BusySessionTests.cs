using BuildTrack.Records.People;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.Data.Sqlite;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>Noting that somebody is there never keeps them from working.</summary>
public sealed class BusySessionTests
{
    [Fact]
    public async Task A_person_is_known_while_a_long_act_holds_the_record()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var sessions = plant.Get<SessionStore>();
        var secret = (await sessions.SignIn(TestPlant.Technician.Person, TestPlant.Password, default)).Secret!;
        plant.Clock.Advance(TimeSpan.FromMinutes(5));
        await using (var other = new SqliteConnection($"Data Source={plant.Settings.DatabaseFile};Pooling=False"))
        {
            await other.OpenAsync();
            await using var held = other.CreateCommand();
            held.CommandText = "BEGIN IMMEDIATE";
            await held.ExecuteNonQueryAsync();
            Assert.Equal(TestPlant.Technician.Person, (await sessions.Find(secret, default))!.Person);
            Assert.True(Store.IsBusy(await Assert.ThrowsAsync<SqliteException>(async () => await plant.Execute("UPDATE \"Sessions\" SET \"LastUs\" = 0"))));
        }

        Assert.NotNull(await sessions.Find(secret, default));
        var seen = Convert.ToInt64(await plant.Scalar("SELECT MAX(\"LastUs\") FROM \"Sessions\""), System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal(Domain.Canonical.Instant.From(plant.Clock.Now).Microseconds, seen);
    }
}
