using System.Net;
using BuildTrack.Records.Checklists;

namespace BuildTrack.Web.Tests;

/// <summary>Comparing editions on the page and over the network, and approving from there.</summary>
public sealed class ComparisonTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task An_edition_is_compared_and_approved_with_what_it_means_in_sight()
    {
        var serial = await Survey.Order(server, "TST-3T");
        await Survey.Measure(server.As("renna"), serial, "triangle-heights", Published.Triangle);
        var odo = server.As("odo");
        var files = ChecklistLoader.ReadFolder(Server.TestChecklists).ToDictionary();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: U", StringComparison.Ordinal);
        files["limits/class-b.yaml"] = files["limits/class-b.yaml"].Replace("upper: 20 µm", "upper: 16 µm", StringComparison.Ordinal);
        var from = (string)(await odo.Get("/checklists")).AsArray()[0]!["hash"]!;
        var to = (string)(await odo.Post("/checklists", new { files }))["subject"]!;
        var address = $"/checklists/compare?from={from}&to={to}";

        // Over the network.
        var found = await server.As("renna").Get(address);
        var change = Assert.Single(found["changes"]!.AsArray())!;
        Assert.Equal(("limit", "class B triangle-flatness", "upper limit", "20 µm", "16 µm", "tighter"),
            ((string)change["part"]!, (string)change["id"]!, (string)change["what"]!, (string)change["was"]!, (string)change["becomes"]!, (string)change["direction"]!));
        Assert.Equal(serial, (string)Assert.Single(found["machines"]!.AsArray())!["serial"]!);
        var effect = Assert.Single(found["effects"]!.AsArray())!;
        Assert.Equal(("accepted", "notProven"), ((string)effect["verdict"]!, (string)effect["wouldBe"]!));

        // On the pages: the list leads to the comparison; only who approves has the button.
        var list = await Page(odo, "/checklists");
        Assert.Contains($"href=\"{address}\"", list, StringComparison.Ordinal);
        Assert.Contains("Compare and approve edition U", list, StringComparison.Ordinal);
        Assert.DoesNotContain("Compare and approve", await Page(server.As("renna"), "/checklists"), StringComparison.Ordinal);
        var page = await Page(odo, address);
        foreach (var expected in new[] { "Edition U against edition T", "20 µm", "16 µm", "(tighter)", serial, "14.7 µm", "not proven, another result", "1 of 1 would be another result", "Approve edition U", "Reason for the change of limits" })
        {
            Assert.Contains(expected, page, StringComparison.Ordinal);
        }

        Assert.DoesNotContain("Approve edition U", await Page(server.As("renna"), address), StringComparison.Ordinal);

        // Approving without a reason, and by somebody who may not, changes nothing.
        Assert.Equal("R-CHECKLIST-03", (string)(await (await odo.Send(HttpMethod.Post, $"/checklists/{to}/approve")).Problem(409))["rule"]!);
        await (await server.As("maren").Send(HttpMethod.Post, $"/checklists/{to}/approve", new { against = from, reason = "why" })).Problem(403);
        await (await odo.Send(HttpMethod.Post, $"/checklists/{to}/approve", new { against = to, reason = "why" })).Problem(412);
        await odo.Post($"/checklists/{to}/approve", new { against = from, reason = "narrower cuts are asked for" });
        page = await Page(odo, address);
        Assert.DoesNotContain("Approve edition U", page, StringComparison.Ordinal);
        Assert.Contains("1 of 1 would be another result", page, StringComparison.Ordinal);
        Assert.Equal("accepted", (string)(await server.As("renna").Get($"/machines/{serial}"))["holds"]![0]!["results"]![0]!["verdict"]!);
    }

    [Fact]
    public async Task An_edition_that_is_not_there_is_not_found()
    {
        await (await server.As("odo").GetAsync("/api/v1/checklists/compare?from=0&to=1")).Problem(404);
        await (await server.As("odo").GetAsync("/api/v1/checklists/compare?from=0")).Problem(400);
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("odo").GetAsync("/checklists/compare?from=0&to=1")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("odo").GetAsync("/checklists/compare")).StatusCode);
    }

    private static async Task<string> Page(HttpClient client, string address)
    {
        var answer = await client.GetAsync(address);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }
}
