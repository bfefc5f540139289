using System.Net;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Records.Certificates;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>The disclosure list through the API and on its sheet, and the customer's copy beside the certificate.</summary>
public sealed class DisclosureTests(Server server) : IClassFixture<Server>
{
    private async Task<string> Certified(string serial)
    {
        await Survey.Measure(server.As("renna"), serial, "triangle-heights", Published.Triangle);
        var number = (string)(await Survey.Release(server, "maren", serial))["certificate"]!;
        await server.Services.GetRequiredService<OutboxWorker>().Drain(CancellationToken.None);
        return number;
    }

    [Fact]
    public async Task A_list_is_set_with_the_version_seen_and_the_copy_stands_beside_its_certificate()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (odo, tilda) = (server.As("odo"), server.As("tilda"));
        var path = $"/machines/{serial}/disclosure";
        var list = new { readings = new[] { "100-02" }, names = true, agreedWith = "Orla Penhallow, annex 2" };
        await (await tilda.Send(HttpMethod.Put, path, list, ifMatch: "1")).Problem(403);
        await (await odo.Send(HttpMethod.Put, path, list)).Problem(428);
        var version = (string)(await tilda.Get(path))["version"]!.ToString();
        var unknown = await (await odo.Send(HttpMethod.Put, path, list with { readings = ["100-0X"] }, ifMatch: version)).Problem(409);
        Assert.Equal(DisclosureRules.UnknownLine, (string)unknown["rule"]!);
        await (await odo.Send(HttpMethod.Put, path, list, ifMatch: version)).Good();
        await (await odo.Send(HttpMethod.Put, path, list, ifMatch: version)).Problem(412);
        var set = await tilda.Get(path);
        Assert.Equal(("100-02", "odo", false), ((string)set["revisions"]![0]!["list"]!["readings"]![0]!, (string)set["revisions"]![0]!["person"]!, (bool)set["frozen"]!));

        var number = await Certified(serial);
        var copy = await tilda.GetByteArrayAsync($"/api/v1/certificates/{number}/1/copy");
        var full = await tilda.GetByteArrayAsync($"/api/v1/certificates/{number}/1/pdf");
        var report = CertificateCheck.Check(copy, null, full);
        Assert.True(report.Holds && report.IsCopy, string.Join('\n', report.Lines.Select(l => l.Sentence)));
        Assert.Equal(copy, await tilda.GetByteArrayAsync($"/certificates/{number}/1/copy"));
        Assert.Contains($"/certificates/{number}/1/copy", (await Page(tilda, "/certificates")).Text, StringComparison.Ordinal);
        var record = WebUtility.HtmlDecode((await Page(tilda, $"/machines/{serial}")).Text);
        Assert.Contains($"/certificates/{number}/1/copy", record, StringComparison.Ordinal);
        Assert.Contains("The customer's copy leaves out the readings of line 100-02", record, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_a_list_there_is_no_copy_and_the_answer_says_so()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var number = await Certified(serial);

        var none = await (await server.As("tilda").GetAsync($"/api/v1/certificates/{number}/1/copy")).Problem(404);
        Assert.Contains("it is itself the customer's copy", (string)none["detail"]!, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("tilda").GetAsync($"/certificates/{number}/1/copy")).StatusCode);
        Assert.DoesNotContain($"/certificates/{number}/1/copy", (await Page(server.As("tilda"), $"/machines/{serial}")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task On_its_sheet_a_wrong_line_stays_in_its_field_and_a_right_one_is_recorded()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (odo, url) = (server.As("odo"), $"/machines/{serial}/disclosure");
        async Task<(HttpStatusCode Status, string? Location, string Text)> Send(string readings)
        {
            var version = (await odo.Get(url))["version"]!.ToString();
            using var form = new FormUrlEncodedContent(new Dictionary<string, string>
            {
                ["Key"] = Guid.NewGuid().ToString(), ["Form.Version"] = version, ["Form.Readings"] = readings, ["Form.Reasons"] = "true", ["Form.AgreedWith"] = "Orla Penhallow, annex 2",
            });
            return await Sent(odo, await Page(odo, url), $"{url}?handler=Set", form);
        }

        Assert.Contains("Everything is disclosed", (await Page(server.As("tilda"), url)).Text, StringComparison.Ordinal);
        Assert.DoesNotContain("Form.AgreedWith", (await Page(server.As("tilda"), url)).Text, StringComparison.Ordinal);
        var wrong = await Send("100-0X");
        Assert.Equal(HttpStatusCode.Conflict, wrong.Status);
        Assert.Contains(DisclosureRules.UnknownLine, wrong.Text, StringComparison.Ordinal);
        Assert.Contains("value=\"100-0X\"", wrong.Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send("100-02")).Status);
        var sheet = WebUtility.HtmlDecode((await Page(odo, url)).Text);
        Assert.Contains("leaves out the readings of line 100-02, wherever another line rests on them too; the reasons why runs were set aside", sheet, StringComparison.Ordinal);
        Assert.Contains("Replace the list", sheet, StringComparison.Ordinal);
    }
}
