using System.Net;

namespace BuildTrack.Web.Tests;

/// <summary>Conditions before measuring, through the API and on the sheets.</summary>
public sealed class TemperaturesTests(Server server) : IClassFixture<Server>
{
    private static object Round(string top, string bottom) => new
    {
        step = 100, air = "20.6", top = new[] { top, "21.0" }, bottom = new[] { bottom, "21.0" }, topProbes = new[] { "THM-01", "THM-03" }, bottomProbes = new[] { "THM-02", "THM-04" },
    };

    private async Task<string> Sheet(string url)
    {
        var answer = await server.As("renna").GetAsync(new Uri(url, UriKind.Relative));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task A_round_is_recorded_through_the_API_and_shown_with_its_bow_and_picture()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        Assert.Equal("notRead", (string)(await renna.Get($"/machines/{serial}/temperatures?step=100"))[0]!["state"]!);
        var compared = await renna.Post("/probe-comparisons", new
        {
            step = "0.01", probes = new[] { "THM-01", "THM-02", "THM-03", "THM-04" }.Select(p => new { probe = p, read = new[] { "20.40", "20,40 °C", "20.40" } }),
        });
        Assert.StartsWith("U of a difference of two probes 0.009", (string)compared["sentence"]!, StringComparison.Ordinal);
        await renna.Post($"/machines/{serial}/temperatures", Round("22.03", "21.00"));
        var answer = (await renna.Get($"/machines/{serial}/temperatures?step=100"))[0]!;

        // α L²/(8 h) with L = 1 m, h = 0.1 m: 14.375 µm per K.
        Assert.Equal(("beyond", 0.48), ((string)answer["state"]!, (double)answer["allowedK"]!));
        Assert.Equal(14.80625, (double)answer["bowUm"]!, 5);
        Assert.Equal(6.9, (double)answer["allowedBowUm"]!, 5);

        var sheet = await Sheet($"/machines/{serial}/temperatures?step=100");
        Assert.Contains("Waiting for conditions: top to bottom 1.03 K, at most 0.48 K; one round tells no time", sheet, StringComparison.Ordinal);
        Assert.Contains("by 15 µm with the 1.03 K of the latest round", sheet, StringComparison.Ordinal);
        Assert.Contains("<svg class=\"drawing\"", sheet, StringComparison.Ordinal);
        Assert.Contains("its offset is taken out", sheet, StringComparison.Ordinal);

        // The step sheet leads there where a survey of the machine needs it.
        var shapes = await Survey.Order(server, "SHAPES");
        var step = await Sheet($"/machines/{shapes}/step/100");
        Assert.Contains("Conditions: no temperatures of the bed are recorded yet.", step, StringComparison.Ordinal);
        Assert.Contains($"/machines/{shapes}/temperatures?step=100", step, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_bad_round_is_named_and_a_planner_records_none()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var bad = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/temperatures", Round("295 K", "21"))).Problem(400);
        Assert.Equal(("top 1", "'295 K'"), ((string)bad["errors"]![0]!["where"]!, (string)bad["errors"]![0]!["found"]!));
        var empty = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/temperatures", new { })).Problem(400);
        Assert.Equal("step", (string)empty["errors"]![0]!["where"]!);
        Assert.Equal(HttpStatusCode.Forbidden, (await server.As("tilda").Send(HttpMethod.Post, $"/machines/{serial}/temperatures", Round("22", "21"))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("renna").GetAsync(new Uri($"/api/v1/machines/{serial}/temperatures?step=90", UriKind.Relative))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("renna").GetAsync(new Uri("/api/v1/probe-comparisons/2001-01-01", UriKind.Relative))).StatusCode);
    }
}
