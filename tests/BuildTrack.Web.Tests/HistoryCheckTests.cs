using System.Net;
using System.Text.Json.Nodes;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.History;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.Storage;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>The check of the whole record: asked for, looked on, cancelled, and still there for whoever comes back.</summary>
public sealed class HistoryCheckTests(Server server) : IClassFixture<Server>
{
    /// <summary>Asks for a check and looks on until it has ended.</summary>
    internal static async Task<JsonNode> Checked(HttpClient client)
    {
        var check = (string)(await client.Post("/history/checks"))["check"]!;
        for (var n = 0; n < 600; n++)
        {
            var now = await client.Get($"/history/checks/{check}");
            if (now["ended"] is not null)
            {
                return now;
            }

            await Task.Delay(100);
        }

        throw new TimeoutException("The check did not end in a minute.");
    }

    [Fact]
    public async Task A_check_goes_on_by_itself_shows_how_far_it_is_and_is_cancelled_by_who_asked_or_an_administrator()
    {
        // Under way on another host, which says so every now and then.
        var now = Instant.Now(TimeProvider.System).Microseconds;
        var row = new LongWorkRow
        {
            Work = "0123456789abcdef", Kind = HistoryReader.Check, Person = "renna", AskedUs = now, NextUs = now, Hand = "another host", BeatUs = now + 600_000_000,
            Begun = 1, Stage = 3, Stages = 5, What = "calculations", Done = 1240, Total = 3456,
        };
        await using (var db = server.Services.GetRequiredService<Store>().Open())
        {
            db.LongWorks.Add(row);
            await db.SaveChangesAsync(TestContext.Current.CancellationToken);
        }

        var (renna, jorin, odo) = (server.As("renna"), server.As("jorin"), server.As("odo"));
        var asked = await jorin.Send(HttpMethod.Post, "/history/checks");
        Assert.Equal((HttpStatusCode.Accepted, $"/api/v1/history/checks/{row.Work}"), (asked.StatusCode, asked.Headers.Location!.ToString()));
        var shown = await jorin.Get($"/history/checks/{row.Work}");
        Assert.Equal(("underWay", "Stage 3 of 5, calculations: 1,240 of 3,456."), ((string)shown["state"]!, (string)shown["words"]!));

        var (his, hers) = (await Sheet(jorin), await Sheet(renna));
        Assert.All([his, hers], s => Assert.Contains("Stage 3 of 5, calculations: 1,240 of 3,456.", s, StringComparison.Ordinal));
        Assert.All([his, hers], s => Assert.Contains("<progress max=\"3456\" value=\"1240\"", s, StringComparison.Ordinal));
        Assert.All([his, hers], s => Assert.DoesNotContain("Check the whole record", s, StringComparison.Ordinal));
        Assert.Equal((false, true), (his.Contains("Cancel this check", StringComparison.Ordinal), hers.Contains("Cancel this check", StringComparison.Ordinal)));

        var refused = await jorin.Send(HttpMethod.Post, $"/history/checks/{row.Work}/cancel");
        Assert.Equal(HttpStatusCode.Conflict, refused.StatusCode);
        Assert.Contains(LongWorkBook.NotYours, await refused.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Equal(("cancelled", "odo"), ((string)(await odo.Post($"/history/checks/{row.Work}/cancel"))["state"]!, (string)(await renna.Get($"/history/checks/{row.Work}"))["cancelledBy"]!));
        Assert.Matches("did not come to its end.</b> Cancelled\\.</p>\\s*<p>Asked for by Renna Tallworth, .*; ended .* by Odo Fenn\\.", await Sheet(renna));
        Assert.Equal(HttpStatusCode.NotFound, (await jorin.Send(HttpMethod.Get, "/history/checks/none")).StatusCode);

        var done = await Checked(renna);
        Assert.Equal("done", (string)done["state"]!);
        Assert.Empty(done["found"]!["faults"]!.AsArray());
        Assert.Equal(HttpStatusCode.Conflict, (await renna.Send(HttpMethod.Post, $"/history/checks/{(string)done["check"]!}/cancel")).StatusCode);
        Assert.Contains("As it was written", await Sheet(jorin), StringComparison.Ordinal);
        Assert.Equal(["done", "cancelled"], (await renna.Get("/history/checks")).AsArray().Select(c => (string)c!["state"]!));
    }

    private static async Task<string> Sheet(HttpClient client) => WebUtility.HtmlDecode(await client.GetStringAsync("/history"));
}
