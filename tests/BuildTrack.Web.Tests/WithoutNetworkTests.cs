using System.Net;
using System.Text.Json.Nodes;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Tests.Building;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>The sheet that begins a run without network, and the begin that a tablet sends when the network is back: who may, what is refused, and with which words.</summary>
public sealed class WithoutNetworkTests(Server server, CompanyServer plant) : IClassFixture<Server>, IClassFixture<CompanyServer>
{
    private const long Hour = 3_600_000_000;

    private static long Now => DateTimeOffset.UtcNow.ToUnixTimeMilliseconds() * 1000;

    private static JsonObject Begin() => new()
    {
        ["survey"] = "before-heights", ["instruments"] = new JsonArray("TRK-01"), ["checks"] = new JsonArray("drift 1 µm"),
        ["top"] = new JsonArray("20,15", "20.2 °C", "20.2"), ["bottom"] = new JsonArray("20", "20.1", "20.1"), ["air"] = "21", ["note"] = "door open", ["helpers"] = new JsonArray("jorin"),
    };

    private static JsonObject Body(JsonObject? begin = null, string by = "renna", long hours = 5) =>
        new() { ["begin"] = begin ?? Begin(), ["by"] = by, ["begunUs"] = Now - (hours * Hour), ["sentUs"] = Now };

    private static async Task<string> Text(HttpClient person, string path, HttpStatusCode status = HttpStatusCode.OK)
    {
        var answer = await person.GetAsync(new Uri(path, UriKind.Relative));
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == status, $"{answer.StatusCode}: {text}");
        return WebUtility.HtmlDecode(text);
    }

    [Fact]
    public async Task A_begin_is_taken_in_once_as_it_was_typed_and_the_run_says_how_long_the_tablet_kept_it()
    {
        var serial = await Survey.Order(server, "SHAPES");
        var renna = server.As("renna");
        var body = Body();
        var first = await renna.Post($"/machines/{serial}/runs/begun", body, "the begin");
        // Sent again by a tablet that had no answer, it is the same, whatever its clock says by then.
        body["sentUs"] = Now + Hour;
        Assert.Equal(first.ToJsonString(), (await renna.Post($"/machines/{serial}/runs/begun", body, "the begin")).ToJsonString());

        var whole = await Text(renna, $"/machines/{serial}/runs/{first["run"]}");
        Assert.Contains("The run was begun on a tablet without network and sent 5 h 0 min later.", whole, StringComparison.Ordinal);
        var run = (await server.Services.GetRequiredService<MachineReader>().Load(serial, TestContext.Current.CancellationToken)).Measurements.Single().Runs.Single();
        Assert.Equal((21m, "door open"), (run.Conditions!.Air, run.Conditions.Note));
        Assert.Equal([20.15m, 20.2m, 20.2m], run.Conditions.Top);
        Assert.Contains("Jorin Pell", whole, StringComparison.Ordinal);
        Assert.Contains("data-sheet-of-run", await Text(renna, $"/machines/{serial}/runs/{first["run"]}/station"), StringComparison.Ordinal);
    }

    public static TheoryData<string, string, string> Bad => new()
    {
        { "no begin", "begin", "a survey and what its run begins with, as typed" },
        { "nobody", "by", "the sign-in name of who began it" },
        { "no begunUs", "begunUs", "when it was begun by the tablet's clock, microseconds since 1970, UTC" },
        { "no sentUs", "sentUs", "the tablet's clock as it sends, microseconds since 1970, UTC" },
        { "before 1970", "time when typed, by the tablet's clock", "microseconds since 1970, UTC, up to 2099" },
        { "no number", "bed temperature, top 2", "a number of °C" },
        { "unknown survey", "survey", "one of" },
        { "unknown instrument", "instrument", "an instrument of the register" },
        { "no check", "check before use of TRK-01", "what was checked and found, for this run" },
        { "unknown helper", "helper", "the sign-in name of a person" },
        { "a rail of none", "feature", "none: survey before-heights has no features" },
    };

    [Theory, MemberData(nameof(Bad))]
    public async Task Bad_input_is_refused_with_a_sentence_and_begins_nothing(string what, string where, string expected)
    {
        var serial = await Survey.Order(server, "SHAPES");
        var body = Body();
        var begin = body["begin"]!.AsObject();
        switch (what)
        {
            case "no begin": body.Remove("begin"); break;
            case "nobody": body["by"] = " "; break;
            case "no begunUs": body.Remove("begunUs"); break;
            case "no sentUs": body.Remove("sentUs"); break;
            case "before 1970": body["begunUs"] = -1; break;
            case "no number": begin["top"] = new JsonArray("20", "1.2.3"); break;
            case "unknown survey": begin["survey"] = "no-such"; break;
            case "unknown instrument": begin["instruments"] = new JsonArray("TRK-77"); break;
            case "no check": begin["checks"] = new JsonArray(""); break;
            case "unknown helper": begin["helpers"] = new JsonArray("nobody.here"); break;
            default: begin["feature"] = "R9"; break;
        }

        var problem = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/begun", body)).Problem(400);
        var fault = problem["errors"]!.AsArray().First(e => (string)e!["where"]! == where)!;
        Assert.StartsWith(expected, (string)fault["expected"]!, StringComparison.Ordinal);
        Assert.Equal(1, (long)(await server.As("renna").Post($"/machines/{serial}/runs/begun", Body()))["runNo"]!);
    }

    [Fact]
    public async Task Whoever_may_not_begin_a_run_begins_none_without_network_either()
    {
        var serial = await Survey.Order(server, "SHAPES");
        var path = $"/machines/{serial}/runs/begun";
        Assert.Equal(HttpStatusCode.Unauthorized, (await server.Nobody().Send(HttpMethod.Post, path, Body())).StatusCode);
        await (await server.As("tilda").Send(HttpMethod.Post, path, Body(by: "tilda"))).Problem(403);
        await (await server.As("renna").Send(HttpMethod.Post, "/machines/NO-1/runs/begun", Body())).Problem(404);
        await (await server.As("renna").Send(HttpMethod.Post, path, Body(), "")).Problem(400);
        Assert.Equal("R-RUN-05", (string)(await (await server.As("jorin").Send(HttpMethod.Post, path, Body())).Problem(409))["rule"]!);
        Assert.Equal("R-RUN-06", (string)(await (await server.As("renna").Send(HttpMethod.Post, path, Body(hours: 241))).Problem(409))["rule"]!);

        await server.As("renna").Post(path, Body());
        var refused = await (await server.As("renna").Send(HttpMethod.Post, path, Body())).Problem(409);
        Assert.Equal(("R-RUN-02", true), ((string)refused["rule"]!, ((string)refused["detail"]!).Contains("is still open", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task The_sheet_takes_the_form_every_place_and_what_calculates_along_and_nobodys_name_in_what_is_calculated()
    {
        var serial = await Survey.Order(server, "SHAPES");
        var renna = server.As("renna");
        Assert.Contains($"/machines/{serial}/without-network/seat-slopes/", await Text(renna, $"/machines/{serial}/site-pack"), StringComparison.Ordinal);
        var sheet = await Text(renna, $"/machines/{serial}/without-network/before-heights");
        Assert.Contains("Begin the run", sheet, StringComparison.Ordinal);
        Assert.Contains("<option value=\"TRK-01\">", sheet, StringComparison.Ordinal);
        Assert.Contains("name=\"Begin.Top\"", sheet, StringComparison.Ordinal);
        Assert.Contains("data-by=\"renna\"", sheet, StringComparison.Ordinal);
        Assert.True(sheet.Split("<template data-place=").Length > 3);
        var taken = JsonNode.Parse(sheet.Split("data-taken-survey>")[1].Split("</script>")[0])!;
        Assert.Equal((serial, "before-heights"), ((string)taken["serial"]!, (string)taken["survey"]!));
        Assert.DoesNotContain("renna", taken.ToJsonString(), StringComparison.OrdinalIgnoreCase);
        // Both directions, and both arrows of a level, each walked as it is.
        var rails = await Text(renna, $"/machines/{serial}/without-network/seat-slopes/R1");
        Assert.Equal(["Outward PlusX", "Outward MinusX", "Back PlusX", "Back MinusX"], rails.Split("<template data-variant=\"").Skip(1).Select(t => t.Split('"')[0]));
        Assert.Contains("<template data-free>", await Text(renna, $"/machines/{serial}/without-network/rail-network"), StringComparison.Ordinal);

        Assert.Contains("There is no survey no-such in the work on site", await Text(renna, $"/machines/{serial}/without-network/no-such", HttpStatusCode.NotFound), StringComparison.Ordinal);
        Assert.Contains("There is no survey before-heights of R9", await Text(renna, $"/machines/{serial}/without-network/before-heights/R9", HttpStatusCode.NotFound), StringComparison.Ordinal);
        await Text(renna, "/machines/NO-1/without-network/before-heights", HttpStatusCode.NotFound);
        var planner = await Text(server.As("tilda"), $"/machines/{serial}/without-network/before-heights");
        Assert.Contains("A technician or an inspector begins a run.", planner, StringComparison.Ordinal);
        Assert.DoesNotContain("Begin the run", planner, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_run_that_is_open_stands_in_the_way_of_others_and_is_told_to_who_began_it()
    {
        var serial = await Survey.Order(server, "SHAPES");
        var run = (long)(await server.As("renna").Post($"/machines/{serial}/runs/begun", Body()))["run"]!;
        Assert.Contains("Run 1 of it is open and cannot be finished without network", await Text(server.As("jorin"), $"/machines/{serial}/without-network/before-heights"), StringComparison.Ordinal);
        Assert.Contains($"data-open=\"{run}\" data-open-no=\"1\"", await Text(server.As("renna"), $"/machines/{serial}/without-network/before-heights"), StringComparison.Ordinal);
        // What holds files is recorded by a program.
        Assert.Contains("which a program records on line", await Text(server.As("renna"), $"/machines/{serial}/without-network/rating-plate"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task On_a_machine_that_is_not_on_site_yet_nothing_is_begun_and_the_reason_is_told()
    {
        await plant.Server.As("tilda").Post("/machines", new { serial = "OV1212-9002", model = "OV-1212/03", customer = "Brackwater Fabrications" });
        var renna = plant.Server.As("renna");
        var pack = await Text(renna, "/machines/OV1212-9002/site-pack");
        Assert.DoesNotContain("data-begin-sheet", pack, StringComparison.Ordinal);
        var sheet = await Text(renna, "/machines/OV1212-9002/without-network/site-across");
        Assert.Contains("Step 290 of OV1212-9002 waits for", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("Begin the run", sheet, StringComparison.Ordinal);
        // Measured in the plant only.
        Assert.Contains("in the work on site", await Text(renna, "/machines/OV1212-9002/without-network/bed-heights", HttpStatusCode.NotFound), StringComparison.Ordinal);

        var begin = new JsonObject { ["survey"] = "site-across", ["direction"] = "outward", ["instruments"] = new JsonArray("LVL-02"), ["checks"] = new JsonArray("turned over") };
        Assert.Equal("R-STEP-01", (string)(await (await renna.Send(HttpMethod.Post, "/machines/OV1212-9002/runs/begun", Body(begin))).Problem(409))["rule"]!);
    }
}
