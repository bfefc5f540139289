using System.Net;

namespace BuildTrack.Web.Tests;

/// <summary>The inspection and test plan of a machine on its sheet and over the network, and what blocks a hold point.</summary>
public sealed class InspectionPlanApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_line_goes_from_not_begun_to_released_and_the_list_of_what_blocks_it_grows_shorter()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, dov) = (server.As("renna"), server.As("dov"));
        var hold = (string)(await renna.Get($"/machines/{serial}"))["holds"]![0]!["id"]!;
        var plan = await renna.Get($"/machines/{serial}/inspection-plan");
        Assert.Equal((serial, "TST-3T", true), ((string)plan["serial"]!, (string)plan["model"]!, (bool)plan["approved"]!));
        var lines = plan["lines"]!.AsArray();
        Assert.Equal(lines.Count, lines.Select(l => (string)l!["line"]!).Distinct().Count());
        var of = await Of();
        Assert.Equal(("check", "not begun", "H", hold), ((string)of["kind"]!, (string)of["status"]!, (string)of["plant"]!, (string)of["hold"]!));
        var line = (string)of["line"]!;
        Assert.Contains(await Blocks(), o => o.Rule == "R-RELEASE-03" && o.Sheet == $"/machines/{serial}/results/{line}");

        var result = await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);
        Assert.Equal("accepted", (string)result["verdict"]!);
        of = await Of();
        Assert.Equal("accepted", (string)of["status"]!);
        Assert.DoesNotContain(await Blocks(), o => o.Sheet.EndsWith($"/results/{line}", StringComparison.Ordinal));

        // The sheet says the same, and the build record what blocks its next point.
        var page = await Page(dov, $"/machines/{serial}/inspection-plan?hold={hold}");
        foreach (var expected in lines.Select(l => (string)l!["what"]!).Concat([line, "frozen for this machine", $"What {hold}", "company standard"]))
        {
            Assert.Contains(expected, page, StringComparison.Ordinal);
        }

        Assert.Contains("What blocks", await Page(dov, $"/machines/{serial}"), StringComparison.Ordinal);
        foreach (var (_, sheet) in await Blocks())
        {
            await Page(dov, sheet.Split('#')[0]);
        }

        Assert.Equal(HttpStatusCode.NotFound, (await dov.GetAsync($"/machines/{serial}/inspection-plan?hold=H99")).StatusCode);
        await (await dov.GetAsync($"/api/v1/machines/{serial}/holds/H99/obstacles")).Problem(404);
        await (await dov.GetAsync("/api/v1/machines/NONE/inspection-plan")).Problem(404);

        async Task<System.Text.Json.Nodes.JsonNode> Of() =>
            (await renna.Get($"/machines/{serial}/inspection-plan"))["lines"]!.AsArray().First(l => l!["surveys"]!.AsArray().Any(s => (string)s! == "triangle-heights"))!;

        async Task<List<(string Rule, string Sheet)>> Blocks() =>
            [.. (await renna.Get($"/machines/{serial}/holds/{hold}/obstacles")).AsArray().Select(o => ((string)o!["rule"]!, (string)o["sheet"]!))];
    }

    private static async Task<string> Page(HttpClient client, string address)
    {
        var answer = await client.GetAsync(address);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }
}
