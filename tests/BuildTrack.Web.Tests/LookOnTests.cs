using System.Net;

namespace BuildTrack.Web.Tests;

/// <summary>The sheet on which an invited witness looks on: opened by its address alone, for one point, until it is ended.</summary>
public sealed class LookOnTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_witness_looks_on_without_an_account_and_no_longer_than_the_link_lasts()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (maren, nobody) = (server.As("maren"), server.Nobody());
        var visit = DateTime.UtcNow.AddDays(30).ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
        await maren.Post($"/machines/{serial}/holds/W1/invitations", new { witness = "Ketura Sand", organisation = "Tallow Creek Trailers", visit });
        var point = $"/machines/{serial}/holds/W1/looking-on";
        await (await server.As("renna").Send(HttpMethod.Post, point, new { until = visit })).Problem(403);
        var path = (string)(await maren.Post(point, new { until = visit }))["path"]!;

        using (var sheet = await nobody.GetAsync(path))
        {
            var text = await sheet.Content.ReadAsStringAsync();
            Assert.Equal(HttpStatusCode.OK, sheet.StatusCode);
            Assert.Equal("no-store", sheet.Headers.CacheControl?.ToString());
            foreach (var expected in new[] { serial, "Ketura Sand, Tallow Creek Trailers", visit, "Nothing was measured at this point yet.", "name=\"robots\" content=\"noindex\"" })
            {
                Assert.Contains(expected, text, StringComparison.Ordinal);
            }

            // Nothing to press that acts, and nobody of the plant by name.
            Assert.DoesNotContain("<form", text, StringComparison.Ordinal);
            Assert.DoesNotContain("Maren", text, StringComparison.Ordinal);
        }

        // An address sits on the inspector's sheet, sealed anew each time, and on no other's.
        var own = $"/machines/{serial}/witness?hold=W1";
        Assert.Contains("/look-on/", await (await maren.GetAsync(own)).Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.DoesNotContain("/look-on/", await (await server.As("renna").GetAsync(own)).Content.ReadAsStringAsync(), StringComparison.Ordinal);

        foreach (var wrong in new[] { path[..^3], path + "A", "/look-on/1", $"/look-on/{serial}" })
        {
            Assert.Equal((wrong, HttpStatusCode.NotFound), (wrong, (await nobody.GetAsync(wrong)).StatusCode));
        }

        await maren.Post(point + "/end");
        using var ended = await nobody.GetAsync(path);
        Assert.Equal(HttpStatusCode.NotFound, ended.StatusCode);
        Assert.Contains("does not open a sheet, or no longer", await ended.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal("R-WITNESS-14", (string)(await (await maren.Send(HttpMethod.Post, point + "/end")).Problem(409))["rule"]!);
    }
}
