using BuildTrack.Domain.AsBuilt;

namespace BuildTrack.Web.Tests;

/// <summary>The as-built list through the API and on its sheet.</summary>
public sealed class ComponentsTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task Components_are_fitted_swapped_and_found()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        var path = $"/machines/{serial}/components";
        await (await tilda.Send(HttpMethod.Post, path, new { place = "chiller/1", serial = "K-1" })).Problem(403);
        await renna.Post(path, new { place = "chiller/1", serial = "K-1" });
        Assert.Equal(ComponentRules.PlaceFilled, (string)(await (await renna.Send(HttpMethod.Post, path, new { place = "chiller/1", serial = "K-2" })).Problem(409))["rule"]!);
        await renna.Post($"{path}/swap", new { place = "chiller/1", old = "K-1", serial = "K-2", reason = "pump loud" });
        var list = await tilda.Get(path);
        Assert.Equal((1, 4), ((int)list["listed"]!, (int)list["planned"]!));
        Assert.Equal(["Rail R1, segment 1 of 2", "Rail R1, segment 2 of 2", "Laser source"], list["missing"]!.AsArray().Select(n => (string)n!));
        Assert.Equal("K-1", (string)list["places"]![3]!["takenOut"]![0]!["serial"]!);
        var where = (await tilda.Get("/components?serial=K-1"))[0]!;
        Assert.Equal(serial, (string)where["component"]!["machine"]!);
        Assert.NotNull(where["removed"]);
        await (await tilda.GetAsync("/api/v1/machines/NONE-1/components")).Problem(404);
    }
}
