namespace BuildTrack.Web.Tests;

/// <summary>The last entry of an open run taken back through the API.</summary>
public sealed class TakeBackApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task The_measurer_takes_back_the_last_entry_and_records_it_anew()
    {
        var serial = await Survey.Order(server, "TST-10");
        var renna = server.As("renna");
        var run = await Survey.BeginRun(renna, serial, "ten-point-heights");
        object Height(string typed) => new { readings = new[] { new { place = "P1", column = "z", typed } } };
        var slip = (await renna.Post($"/machines/{serial}/runs/{run}/readings", Height("25,5")))["ids"]![0];
        Assert.Equal(1, (int)(await renna.Post($"/machines/{serial}/readings/{slip}/take-back"))["count"]!);

        var again = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/readings/{slip}/take-back")).Problem(409);
        Assert.Equal("R-BACK-01", (string)again["rule"]!);
        await renna.Post($"/machines/{serial}/runs/{run}/readings", Height("2,55"));
    }
}
