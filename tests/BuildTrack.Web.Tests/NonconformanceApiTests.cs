using System.Text.Json.Nodes;

namespace BuildTrack.Web.Tests;

/// <summary>A nonconformance and a punch list through the API, as programs and tablets send them.</summary>
public sealed class NonconformanceApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_rejected_result_is_raised_conceded_and_released()
    {
        var serial = await Survey.Order(server, "TST-3C");
        var renna = server.As("renna");
        var first = await Survey.Measure(renna, serial, "crossing-heights", Published.Crossing);
        var places = first["next"]!["places"]!.AsArray().Select(p => (string)p!["place"]!).ToArray();
        await Survey.Measure(renna, serial, "crossing-heights", Published.Only(Published.Crossing, places), "contactsAgain", "100-03");
        var evaluation = (string)(await renna.Get($"/machines/{serial}/results/100-03"))["hash"]!;

        var raised = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { line = "100-03", evaluation, severity = "major" })).Good();
        var path = $"/nonconformances/{raised["number"]}";
        var read = await renna.Get(path);
        Assert.Equal((evaluation, "100-03", "raised", "technician or inspector: contain it"), ((string)read["evaluation"]!, (string)read["line"]!, (string)read["state"]!, (string)read["waitsFor"]!));
        Assert.EndsWith("rejected", (string)read["found"]!, StringComparison.Ordinal);

        var dov = server.As("dov");
        await renna.Post($"{path}/contain", new { text = "tagged", tag = "red 7", place = "bay 2" });
        await dov.Post($"{path}/propose", new { text = "use as it is", cause = "machine", disposition = "concession" });
        await dov.Post($"{path}/approve", new { text = "compared" });
        var problem = await (await server.As("tilda").Send(HttpMethod.Post, $"{path}/approve", new { text = "agreed" })).Problem(409);
        Assert.Equal("R-NCR-04", (string)problem["rule"]!);
        await (await renna.Send(HttpMethod.Post, $"{path}/approve", new { text = "agreed" })).Problem(403);
        Assert.Contains("contract annex 2", (string)read["required"]!, StringComparison.Ordinal);
        await server.As("tilda").Post($"{path}/consent", new { text = "agrees", person = "Ketura Sand", letter = "TC 7" });
        var approved = await server.As("odo").Post($"{path}/approve", new { text = "calculated" });
        Assert.Equal("disposition approved", (string)approved["state"]!);
        // Which number it gets depends on what the other tests of this server raised before.
        var concession = (string)approved["concession"]!;
        Assert.Matches("^CON-[0-9]{4}$", concession);

        var released = await Survey.Release(server, "maren", serial);
        Assert.Equal(concession, (string)released["underConcession"]![0]!);
        var record = JsonNode.Parse(await (await renna.GetAsync($"/api/v1/certificates/{released["certificate"]}/1/record")).Content.ReadAsStringAsync())!;
        Assert.Equal(concession, (string)record["concessions"]![0]!["number"]!);
        Assert.DoesNotContain((await renna.Get("/nonconformances")).AsArray(), n => (string)n!["serial"]! == serial);
        Assert.Contains((await renna.Get("/nonconformances?all=true")).AsArray(), n => (string)n!["serial"]! == serial);

        await renna.Post($"{path}/action", new { text = "marked on the drawing" });
        await dov.Post($"{path}/give-back", new { text = "the mark is on the wrong pad" });
        await renna.Post($"{path}/action", new { text = "marked again" });
        await dov.Post($"{path}/verify", new { text = "seen" });
        var closed = await dov.Post($"{path}/close", new { text = "done" });
        Assert.Equal("closed", (string)closed["state"]!);
        Assert.Equal(10, (await renna.Get($"/machines/{serial}/nonconformances"))[0]!["entries"]!.AsArray().Count);
    }

    [Fact]
    public async Task Something_seen_against_the_contract_waits_for_the_customers_consent()
    {
        var serial = await Survey.Order(server, "TST-10");
        var maren = server.As("maren");
        var raised = await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { required = "RAL 7035", found = "RAL 7038", origin = "contract annex 1", fromContract = true, severity = "minor" })).Good();
        var path = $"/nonconformances/{raised["number"]}";
        await maren.Post($"{path}/contain", new { text = "tagged", tag = "red 8", place = "bay 1", othersToStop = new[] { await Survey.Order(server, "TST-10") } });
        await maren.Post($"{path}/propose", new { text = "leave it", cause = "material", disposition = "deviationPermit" });
        await maren.Post($"{path}/approve", new { text = "agreed" });
        await server.As("odo").Post($"{path}/approve", new { text = "agreed" });
        var problem = await (await maren.Send(HttpMethod.Post, $"{path}/consent", new { text = "agrees" })).Problem(400);
        Assert.Equal(["customer's person", "letter"], problem["errors"]!.AsArray().Select(e => (string)e!["where"]!));
        var consent = await server.As("tilda").Post($"{path}/consent", new { text = "agrees", person = "Hollis Brandt-Leigh", letter = "BF 118" });
        Assert.NotNull((string?)consent["concession"]);
    }

    [Fact]
    public async Task Bad_input_is_told_by_place_and_an_unknown_number_is_not_found()
    {
        var serial = await Survey.Order(server, "TST-10");
        var renna = server.As("renna");
        var problem = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { found = "scratch" })).Problem(400);
        Assert.Equal(["required", "where it is required", "severity"], problem["errors"]!.AsArray().Select(e => (string)e!["where"]!));
        await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { found = "scratch", severity = "huge" })).Problem(400);
        await (await renna.Send(HttpMethod.Get, "/nonconformances/9999")).Problem(404);
        await (await renna.Send(HttpMethod.Post, "/nonconformances/9999/contain", new { text = "x", tag = "x", place = "x" })).Problem(404);
        await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { found = "scratch" }, key: "")).Problem(400);
    }

    [Fact]
    public async Task An_item_of_the_punch_list_is_added_given_another_class_and_closed()
    {
        var serial = await Survey.Order(server, "TST-10");
        var (maren, list) = (server.As("maren"), $"/machines/{serial}/punch-list");
        var added = await (await maren.Send(HttpMethod.Post, list, new { text = "door rubs", @class = "b", owner = "renna", due = "2027-01-15" })).Good();
        Assert.Equal(1, (int)added["no"]!);
        await maren.Post($"{list}/1/class", new { @class = "c", reason = "only the paint" });
        var problem = await (await server.As("renna").Send(HttpMethod.Post, $"{list}/1/close", new { evidence = "painted" })).Problem(409);
        Assert.Equal("R-PUNCH-02", (string)problem["rule"]!);
        await server.As("jorin").Post($"{list}/1/close", new { evidence = "painted" });
        var item = (await maren.Get(list))[0]!;
        Assert.Equal(("c", false, 2), ((string)item["class"]!, (bool)item["open"]!, item["entries"]!.AsArray().Count));
    }
}
