namespace BuildTrack.Web.Tests;

/// <summary>An inspector's spot check through the API.</summary>
public sealed class SpotCheckApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task An_inspector_checks_two_places_and_releases()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, maren) = (server.As("renna"), server.As("maren"));
        var first = await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);
        object Spot(params string[] places) => new { survey = "triangle-heights", kind = "spotCheck", instruments = new[] { "TRK-01" }, checks = new[] { new { instrument = "TRK-01", found = "drift 1 µm", inOrder = true } }, places };

        var refused = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/runs", Spot("P1"))).Problem(409);
        Assert.Equal("R-SPOT-01", (string)refused["rule"]!);
        var wrong = await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/runs", Spot("P1", "Q1"))).Problem(400);
        Assert.Contains("'Q1'", (string)wrong["errors"]![0]!["found"]!, StringComparison.Ordinal);
        var run = (long)(await maren.Post($"/machines/{serial}/runs", Spot("P1", "P5")))["run"]!;
        await maren.Post($"/machines/{serial}/runs/{run}/readings", new { readings = new[] { new { place = "P1", column = "z", typed = "-0,004" }, new { place = "P5", column = "z", typed = "0.060" } } });
        var finished = await maren.Post($"/machines/{serial}/runs/{run}/finish");
        Assert.True((bool)finished["spot"]!);
        Assert.Equal(first.ToJsonString(), finished["results"]![0]!["result"]!.ToJsonString());
        Assert.NotNull((await Survey.Release(server, "maren", serial))["certificate"]);
    }
}
