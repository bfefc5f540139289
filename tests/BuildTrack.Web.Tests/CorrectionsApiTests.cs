namespace BuildTrack.Web.Tests;

/// <summary>Corrections side by side and the choice among them, through the API.</summary>
public sealed class CorrectionsApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task The_options_are_compared_and_one_is_chosen_with_its_reason()
    {
        var serial = await Survey.Order(server, "TST-3C");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        await Survey.Measure(renna, serial, "crossing-heights", Published.Crossing);
        var path = $"/machines/{serial}/results/100-03/corrections";
        var compared = await tilda.Get(path);
        Assert.Equal(["shim", "remill", "concession"], compared["options"]!.AsArray().Select(o => (string)o!["kind"]!));
        var evaluation = (string)compared["evaluation"]!;

        await (await renna.Send(HttpMethod.Post, path, new { kind = "remill", evaluation, reason = "faster" })).Problem(403);
        await (await tilda.Send(HttpMethod.Post, path, new { kind = "remill", evaluation = "0", reason = "faster" })).Problem(412);
        await (await tilda.Send(HttpMethod.Post, path, new { kind = "remill", evaluation, reason = "" })).Problem(400);
        await tilda.Post(path, new { kind = "remill", evaluation, reason = "several pads lie low" });
        Assert.Equal("several pads lie low", (string)(await tilda.Get(path))["chosen"]![0]!["reason"]!);
        await (await tilda.GetAsync($"/api/v1/machines/{serial}/results/777-77/corrections")).Problem(404);
    }
}
