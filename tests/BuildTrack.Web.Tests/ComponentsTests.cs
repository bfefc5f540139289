using System.Net;
using BuildTrack.Domain.AsBuilt;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>The as-built list through the API and on its sheet.</summary>
public sealed class ComponentsTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task Components_are_fitted_swapped_and_found()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        var path = $"/machines/{serial}/components";
        await (await tilda.Send(HttpMethod.Post, path, new { place = "chiller/1", serial = "K-1" })).Problem(403);
        await renna.Post(path, new { place = "chiller/1", serial = "K-1" });
        Assert.Equal(ComponentRules.PlaceFilled, (string)(await (await renna.Send(HttpMethod.Post, path, new { place = "chiller/1", serial = "K-2" })).Problem(409))["rule"]!);
        await renna.Post($"{path}/swap", new { place = "chiller/1", old = "K-1", serial = "K-2", reason = "pump loud" });
        var list = await tilda.Get(path);
        Assert.Equal((1, 4), ((int)list["listed"]!, (int)list["planned"]!));
        Assert.Equal(["Rail R1, segment 1 of 2", "Rail R1, segment 2 of 2", "Laser source"], list["missing"]!.AsArray().Select(n => (string)n!));
        Assert.Equal("K-1", (string)list["places"]![3]!["takenOut"]![0]!["serial"]!);
        var where = (await tilda.Get("/components?serial=K-1"))[0]!;
        Assert.Equal(serial, (string)where["component"]!["machine"]!);
        Assert.NotNull(where["removed"]);
        await (await tilda.GetAsync("/api/v1/machines/NONE-1/components")).Problem(404);
    }

    [Fact]
    public async Task On_its_sheet_a_component_is_fitted_a_wrong_scan_stays_in_its_field_and_a_swap_crosses_out()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var url = $"/machines/{serial}/as-built";
        async Task<(HttpStatusCode Status, string? Location, string Text)> Send(string handler, string place, string number, string? old = null)
        {
            using var form = new FormUrlEncodedContent(new Dictionary<string, string>
            {
                ["Key"] = Guid.NewGuid().ToString(), ["Form.Place"] = place, ["Form.Serial"] = number, ["Form.Old"] = old ?? "", ["Form.Reason"] = "pump loud",
            });
            return await Sent(renna, await Page(renna, $"{url}?place={Uri.EscapeDataString(place)}"), $"{url}?handler={handler}", form);
        }

        Assert.Contains("<b>0 of 4 listed</b>; missing: Rail R1, segment 1 of 2", (await Page(renna, url)).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send("Fit", "chiller/1", "S-K1")).Status);
        Assert.Contains("<b>1 of 4 listed</b>", (await Page(renna, url)).Text, StringComparison.Ordinal);

        var wrong = await Send("Swap", "chiller/1", "S-K2", "S-K9");
        Assert.Equal(HttpStatusCode.Conflict, wrong.Status);
        foreach (var expected in new[] { "Found S-K9, expected S-K1", ComponentRules.OtherOld, "value=\"S-K2\"", "value=\"S-K9\"" })
        {
            Assert.Contains(expected, wrong.Text, StringComparison.Ordinal);
        }

        Assert.Equal(HttpStatusCode.Redirect, (await Send("Swap", "chiller/1", "S-K2", "S-K1")).Status);
        var sheet = (await Page(server.As("tilda"), url)).Text;
        Assert.Contains("S-K1 taken out", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("<form method=\"post\" class=\"fields fields--line\"", sheet, StringComparison.Ordinal);

        // A component that was taken out is still found, any case of letters.
        var found = await Page(renna, "/find?text=s-k");
        Assert.Contains($"taken out of {serial} at chiller/1", found.Text, StringComparison.Ordinal);
        Assert.Contains($"fitted on {serial} at chiller/1", found.Text, StringComparison.Ordinal);
    }
}
