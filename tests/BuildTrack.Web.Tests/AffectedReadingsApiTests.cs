namespace BuildTrack.Web.Tests;

/// <summary>An instrument found out of limits, through the API and as pages.</summary>
public sealed class AffectedReadingsApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_finding_opens_a_review_and_an_inspector_decides_about_each_machine()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, maren) = (server.As("renna"), server.As("maren"));
        await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);

        await (await renna.Send(HttpMethod.Post, "/instruments/TRK-01/out-of-limits", new { found = "9 µm", allowed = "4 µm", reference = "K-9" })).Problem(403);
        var wrong = await (await maren.Send(HttpMethod.Post, "/instruments/TRK-01/out-of-limits", new { found = "9 W", allowed = "4 µm", reference = "K-9" })).Problem(400);
        Assert.Equal("error found", (string)wrong["errors"]![0]!["where"]!);
        var finding = (long)(await maren.Post("/instruments/TRK-01/out-of-limits", new { found = "9 µm", allowed = "4 µm", reference = "K-9" }))["finding"]!;

        var review = await maren.Get($"/affected-readings/{finding}");
        var machine = review["machines"]!.AsArray().Single(m => (string)m!["serial"]! == serial)!;
        Assert.Equal((9, false), ((int)machine["readings"]!, (bool)machine["shipped"]!));
        Assert.Equal("notProven", (string)machine["results"]![0]!["verdictWithError"]!);
        var refused = await (await maren.Send(HttpMethod.Post, $"/affected-readings/{finding}/machines/{serial}", new { kind = "negligible", note = "small" })).Problem(409);
        Assert.Equal("R-UNFIT-05", (string)refused["rule"]!);
        await maren.Post($"/affected-readings/{finding}/machines/{serial}", new { kind = "remeasure", note = "tonight" });
        Assert.Equal("remeasure", (string)(await maren.Get($"/affected-readings/{finding}"))["machines"]!.AsArray().Single(m => (string)m!["serial"]! == serial)!["decision"]!["kind"]!);
        Assert.Equal(finding, (long)(await maren.Get("/affected-readings?instrument=TRK-01"))[0]!["finding"]!["id"]!);
        await (await maren.GetAsync("/api/v1/affected-readings/999999999")).Problem(404);
    }
}
