namespace BuildTrack.Web.Tests;

/// <summary>A round of foot moves through the API, and on its sheet.</summary>
public sealed class FeetApiTests(Server server) : IClassFixture<Server>
{
    /// <summary>The crossing with two corners lower, mm.</summary>
    private const string Bed = "station,z_mm\nP1,0.008\nP2,0.002\nP3,-0.067\nP4,0.001\nP5,0\nP6,-0.002\nP7,-0.109\nP8,0.001\nP9,0.006\n";

    [Fact]
    public async Task A_round_is_planned_recorded_and_shown()
    {
        var serial = await Survey.Order(server, "TST-3C");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        await Survey.Measure(renna, serial, "crossing-heights", Bed);
        var path = $"/machines/{serial}/results/100-03/feet";
        var planned = await tilda.Get(path);
        Assert.Equal(["F1", "F2", "F3", "F4"], planned["plan"]!["feet"]!.AsArray().Select(f => (string)f!["foot"]!["id"]!));
        var evaluation = (string)planned["evaluation"]!;
        object moves = new[] { new { foot = "F3", move = "0.10" } };
        await (await tilda.Send(HttpMethod.Post, path, new { evaluation, moves })).Problem(403);
        await (await renna.Send(HttpMethod.Post, path, new { evaluation = "0", moves })).Problem(412);
        await (await renna.Send(HttpMethod.Post, path, new { evaluation, moves = new[] { new { foot = "F3", move = "a lot" } } })).Problem(400);
        await renna.Post(path, new { evaluation, moves });
        var after = await tilda.Get(path);
        Assert.Null(after["plan"]);
        Assert.Equal(100.0, (double)after["rounds"]![0]!["round"]!["feet"]![2]!["madeUm"]!);
        await (await tilda.GetAsync($"/api/v1/machines/{serial}/results/777-77/feet")).Problem(404);
    }
}
