using System.Net;
using System.Text.Json.Nodes;
using BuildTrack.Domain.PaperProtocols;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>A run from a signed protocol on paper, named and confirmed through the API and on its sheet.</summary>
public sealed class PaperTests(Server server) : IClassFixture<Server>
{
    private static readonly byte[] Pdf = [.. "%PDF-1.7 signed"u8];

    [Fact]
    public async Task Through_the_API_a_run_is_named_compared_and_its_point_released()
    {
        var (serial, run, file) = await Measured();
        var (renna, maren, path) = (server.As("renna"), server.As("maren"), "");
        path = $"/machines/{serial}/runs/{run}/paper";
        var before = await renna.Get(path);
        Assert.Null(before["paper"]);
        var code = (string)before["codeNow"]!;
        Assert.Contains(code, (await Page(renna, $"/machines/{serial}/site-protocol")).Text, StringComparison.Ordinal);
        Assert.Equal(PaperRules.OtherCode, (string)(await (await renna.Send(HttpMethod.Post, path, new { file, code = "0123456789AB", measuredBy = "renna" })).Problem(409))["rule"]!);
        var bad = await (await renna.Send(HttpMethod.Post, path, new { code, measuredBy = "renna" })).Problem(400);
        Assert.Equal("file", (string)bad["errors"]![0]!["where"]!);
        await renna.Post(path, new { file, code, measuredBy = "renna" });

        var named = (await renna.Get(path))["paper"]!;
        Assert.Equal((code, "renna", false), ((string)named["code"]!, (string)named["measuredBy"]!, (bool)named["confirmed"]!));
        var sheet = (string)named["sheet"]!;
        Assert.Equal(PaperRules.OwnReadings, (string)(await (await renna.Send(HttpMethod.Post, $"{path}/comparison", new { sheet })).Problem(409))["rule"]!);
        Assert.Equal(HttpStatusCode.Forbidden, (await server.As("tilda").Send(HttpMethod.Post, $"{path}/comparison", new { sheet })).StatusCode);
        var blocked = await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password }, null, await Survey.Sheet(maren, serial))).Problem(409);
        Assert.Equal(PaperRules.NotConfirmed, (string)blocked["rule"]!);

        await server.As("dov").Post($"{path}/comparison", new { sheet });
        named = (await renna.Get(path))["paper"]!;
        Assert.Equal((true, "dov", true), ((bool)named["confirmed"]!, (string)named["comparisons"]![0]!["person"]!, (bool)named["comparisons"]![0]!["ofWhatStandsNow"]!));
        await Survey.Release(server, "maren", serial);
    }

    [Fact]
    public async Task On_the_sheet_of_the_run_it_is_named_and_found_to_differ_or_to_be_equal()
    {
        var (serial, run, file) = await Measured();
        var (renna, dov, url) = (server.As("renna"), server.As("dov"), $"/machines/{serial}/runs/{run}");
        var sheet = await Page(renna, url);
        Assert.Contains("These readings are from a signed protocol on paper", sheet.Text, StringComparison.Ordinal);
        Assert.Contains($"<option value=\"{file}\">signed.pdf, signed protocol</option>", sheet.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("id=\"paper\"", (await Page(dov, url)).Text, StringComparison.Ordinal);
        var code = (string)(await renna.Get($"{url}/paper"))["codeNow"]!;

        async Task<(HttpStatusCode Status, string? Location, string Text)> Send(HttpClient who, string handler, params (string Name, string Value)[] fields)
        {
            using var form = new FormUrlEncodedContent(fields.Select(f => KeyValuePair.Create(f.Name, f.Value)).Append(KeyValuePair.Create("Key", Guid.NewGuid().ToString("N"))));
            return await Sent(who, await Page(who, url), $"{url}?handler={handler}", form);
        }

        var refused = await Send(renna, "Paper", ("Scan", $"{file}"), ("Code", "0123456789AB"), ("MeasuredBy", "renna"));
        Assert.Equal(HttpStatusCode.Conflict, refused.Status);
        Assert.Contains("such a paper proves nothing for these", refused.Text, StringComparison.Ordinal);
        Assert.Contains("value=\"0123456789AB\"", refused.Text, StringComparison.Ordinal);
        Assert.Contains($"<option value=\"{file}\" selected=\"selected\">", refused.Text, StringComparison.Ordinal);
        Assert.Equal((HttpStatusCode.Redirect, url), ((await Send(renna, "Paper", ("Scan", $"{file}"), ("Code", code), ("MeasuredBy", "renna"))) is var named ? (named.Status, named.Location) : default));

        // Who entered reads why it waits, and has no form to confirm it.
        var own = (await Page(renna, url)).Text;
        Assert.Contains(PaperRules.OwnReadings, own, StringComparison.Ordinal);
        Assert.DoesNotContain("handler=Equal", own, StringComparison.Ordinal);

        var compared = (string)(await dov.Get($"{url}/paper"))["paper"]!["sheet"]!;
        Assert.Contains($"name=\"Sheet\" value=\"{compared}\"", (await Page(dov, url)).Text, StringComparison.Ordinal);
        var nowhere = await Send(dov, "Differs", ("Sheet", compared), ("Place", ""), ("Remark", "something"));
        Assert.Equal(HttpStatusCode.BadRequest, nowhere.Status);
        Assert.Contains("value=\"something\"", nowhere.Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(dov, "Differs", ("Sheet", compared), ("Place", "P3"), ("Remark", "the scan says -6.5"))).Status);
        Assert.Contains("found P3 otherwise", WebUtility.HtmlDecode((await Page(dov, url)).Text), StringComparison.Ordinal);
        Assert.Contains("from paper: ", (await Page(dov, $"/machines/{serial}/release/H1")).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(dov, "Equal", ("Sheet", compared), ("Remark", "7 was read for 1"))).Status);
        var after = WebUtility.HtmlDecode((await Page(dov, url)).Text);
        Assert.Contains("<b>Confirmed.</b>", after, StringComparison.Ordinal);
        Assert.Contains("Comparisons in order", after, StringComparison.Ordinal);
        Assert.DoesNotContain("handler=Equal", after, StringComparison.Ordinal);
    }

    private async Task<(string Serial, long Run, long File)> Measured()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);
        JsonNode attached = await renna.Post($"/machines/{serial}/steps/100/files?name=signed.pdf&shows=signed%20protocol", Pdf);
        var machine = await renna.Get($"/machines/{serial}");
        return (serial, Runs(machine).Single(), (long)attached["file"]!);
    }

    private static IEnumerable<long> Runs(JsonNode machine) =>
        machine["measurements"]!.AsArray().SelectMany(m => m!["runs"]!.AsArray()).Select(r => (long)r!["id"]!);
}
