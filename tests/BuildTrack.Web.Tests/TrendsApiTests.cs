using System.Net;

namespace BuildTrack.Web.Tests;

/// <summary>Trends on their sheet and over the network: every figure with what it rests on, none where there is nothing.</summary>
public sealed class TrendsApiTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task First_results_are_counted_and_what_rests_on_nothing_is_no_figure()
    {
        var tilda = server.As("tilda");
        var before = await tilda.Get("/trends");
        var serial = await Survey.Order(server, "TST-3T");
        await Survey.Measure(server.As("renna"), serial, "triangle-heights", Published.Triangle);
        var after = await tilda.Get("/trends");
        Assert.Equal((int)before["machines"]! + 1, (int)after["machines"]!);
        var step = after["steps"]!.AsArray().Single(s => (int)s!["step"]! == 100)!;
        var pass = step["firstPass"]!;
        Assert.True((int)pass["count"]! >= 1 && (int)pass["of"]! >= (int)pass["count"]!);
        Assert.Equal((double)(int)pass["count"]! / (int)pass["of"]!, (double)pass["share"]!, 1e-12);
        Assert.InRange((double)pass["share"]!, (double)pass["low"]!, (double)pass["high"]!);

        // No work was recorded on the route card: no hours, and no false zero.
        Assert.Null(step["hours"]);
        Assert.All(after["steps"]!.AsArray().Where(s => (int)s!["step"]! != 100), s => Assert.Null(s!["firstPass"]));

        var answer = await tilda.GetAsync("/trends");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var page = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        foreach (var expected in new[] { $"{(int)pass["count"]!} of {(int)pass["of"]!}", "<title id=\"pass-t\">", "<desc id=\"pass-d\">", "Every nonconformance is closed" })
        {
            Assert.Contains(expected, page, StringComparison.Ordinal);
        }

        Assert.DoesNotContain("<title id=\"hours-t\">", page, StringComparison.Ordinal);
    }
}
