using System.Net;
using BuildTrack.Records.Checklists;

namespace BuildTrack.Web.Tests;

/// <summary>Will it prove it? On the sheet and over the network; and the warning beside an edition whose limit nothing can prove.</summary>
public sealed class PlanningTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_check_is_planned_before_it_is_measured()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var line = (string)(await renna.Get($"/machines/{serial}"))["holds"]![0]!["results"]![0]!["line"]!;
        var plan = await renna.Get($"/machines/{serial}/results/{line}/plan");
        var best = plan["best"]!;
        Assert.Equal("TRK-01", (string)best["instrument"]!);
        var readings = plan["plans"]!.AsArray().Select(p => (int)p!["readings"]!).ToArray();
        Assert.Equal(readings.Order(), readings);
        Assert.True((double)best["proof"]!["acceptUpTo"]! > (double)best["proof"]!["widest"]!);

        var address = $"/machines/{serial}/results/{line}/plan";
        Assert.Contains($"href=\"{address}\"", await Page(renna, $"/machines/{serial}/results/{line}"), StringComparison.Ordinal);

        // The result then has the figures of the plan.
        var result = await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);
        var listed = plan["plans"]!.AsArray().First(p => (string?)p!["instrument"] == "TRK-01" && (bool)p["asListed"]!)!;
        Assert.Equal((double)result["expandedUncertainty"]!, (double)listed["expanded"]!, 9);
        Assert.Equal((double)result["acceptBand"]!, (double)listed["proof"]!["acceptBand"]!, 9);

        var page = await Page(renna, address);
        foreach (var expected in new[] { "Will it prove it?", (string)plan["sentence"]!, "TRK-01", "Ways to measure it" })
        {
            Assert.Contains(expected, page, StringComparison.Ordinal);
        }

        // An accepted result asks for no plan.
        Assert.DoesNotContain($"href=\"{address}\"", await Page(renna, $"/machines/{serial}/results/{line}"), StringComparison.Ordinal);
        await (await renna.GetAsync($"/api/v1{address}?share=1.5")).Problem(400);
        await (await renna.GetAsync($"/api/v1/machines/{serial}/results/999-99/plan")).Problem(404);
    }

    [Fact]
    public async Task The_plan_of_an_axis_says_what_it_takes_for_granted()
    {
        var serial = await Survey.Order(server, "LINES");
        var renna = server.As("renna");
        var plan = await renna.Get($"/machines/{serial}/results/100-75/plan");
        var only = Assert.Single(plan["plans"]!.AsArray())!;
        Assert.Equal(("IFM-01", 5, 50), ((string)only["instrument"]!, (int)only["passes"]!, (int)only["readings"]!));
        var page = await Page(renna, $"/machines/{serial}/results/100-75/plan");
        Assert.StartsWith("A true value is the figure that the same runs would have", (string)plan["granted"]!, StringComparison.Ordinal);
        Assert.Contains((string)plan["granted"]!, page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_edition_with_a_limit_that_nothing_can_prove_is_loaded_with_a_warning()
    {
        var odo = server.As("odo");
        var files = ChecklistLoader.ReadFolder(Server.TestChecklists).ToDictionary();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: V", StringComparison.Ordinal);
        files["limits/class-b.yaml"] = files["limits/class-b.yaml"].Replace("upper: 20 µm", "upper: 1 µm", StringComparison.Ordinal);
        var from = (string)(await odo.Get("/checklists")).AsArray()[0]!["hash"]!;
        var to = (string)(await odo.Post("/checklists", new { files }))["subject"]!;
        var found = await odo.Get($"/checklists/compare?from={from}&to={to}");
        var warned = found["unprovable"]!.AsArray();
        Assert.Contains(warned, u => ((string)u!["because"]!).Contains("not below the limit", StringComparison.Ordinal) && (string)u["class"]! == "B");
        Assert.Contains("that no registered instrument can prove today", await Page(odo, $"/checklists/compare?from={from}&to={to}"), StringComparison.Ordinal);
        Assert.Contains("Limits of edition V that no registered instrument can prove today", await Page(odo, "/checklists"), StringComparison.Ordinal);
    }

    private static async Task<string> Page(HttpClient client, string address)
    {
        var answer = await client.GetAsync(address);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }
}
