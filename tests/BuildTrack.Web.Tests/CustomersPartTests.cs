using System.Net;
using BuildTrack.Domain.Witnessing;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>The customer's part at hold points through the API and on its sheet.</summary>
public sealed class CustomersPartTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task It_is_set_with_the_version_seen_and_stands_in_the_plan_and_the_build_record()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (odo, tilda) = (server.As("odo"), server.As("tilda"));
        var path = $"/machines/{serial}/customers-part";
        var body = new { points = new[] { new { hold = "H1", part = "present", noticeDays = 5 } }, agreedWith = "Orla Penhallow, annex 2" };
        await (await tilda.Send(HttpMethod.Put, path, body, ifMatch: "1")).Problem(403);
        await (await odo.Send(HttpMethod.Put, path, body)).Problem(428);
        var version = (await tilda.Get(path))["version"]!.ToString();
        var unknown = await (await odo.Send(HttpMethod.Put, path, body with { points = [new { hold = "H99", part = "present", noticeDays = 5 }] }, ifMatch: version)).Problem(409);
        Assert.Equal(CustomersPointRules.UnknownPoint, (string)unknown["rule"]!);
        await (await odo.Send(HttpMethod.Put, path, new { points = new object?[] { null }, agreedWith = "x" }, ifMatch: version)).Problem(400);
        await (await odo.Send(HttpMethod.Put, path, new { points = new[] { new { hold = (string?)null, part = "present", noticeDays = 5 } }, agreedWith = "x" }, ifMatch: version)).Problem(400);
        await (await odo.Send(HttpMethod.Put, path, new { points = new[] { new { hold = "H1", part = "owns", noticeDays = 5 } }, agreedWith = "x" }, ifMatch: version)).Problem(400);
        await (await odo.Send(HttpMethod.Put, path, body, ifMatch: version)).Good();
        await (await odo.Send(HttpMethod.Put, path, body, ifMatch: version)).Problem(412);

        var now = (await tilda.Get(path))["now"]!.AsArray().Single(p => (string)p!["hold"]! == "H1")!;
        Assert.Equal(("present", 5), ((string)now["part"]!, (int)now["noticeDays"]!));
        Assert.Contains("H1: is invited, notice of 5 working days", WebUtility.HtmlDecode((await Page(tilda, $"/machines/{serial}")).Text), StringComparison.Ordinal);
        Assert.Contains("Customer's witness at H1", WebUtility.HtmlDecode((await Page(tilda, $"/machines/{serial}/inspection-plan")).Text), StringComparison.Ordinal);
    }

    [Fact]
    public async Task On_its_sheet_only_what_differs_from_the_plan_is_recorded_and_a_wrong_notice_stays_in_its_field()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (odo, url) = (server.As("odo"), $"/machines/{serial}/customers-part");
        var points = (await odo.Get(url))["now"]!.AsArray().Select(p => (string)p!["hold"]!).ToList();
        async Task<(HttpStatusCode Status, string? Location, string Text)> Send(string notice, string part = "Holds")
        {
            var version = (await odo.Get(url))["version"]!.ToString();
            List<KeyValuePair<string, string>> fields = [new("Key", Guid.NewGuid().ToString()), new("Form.Version", version), new("Form.AgreedWith", "Orla Penhallow, annex 2")];
            foreach (var hold in points)
            {
                fields.AddRange([new($"Form.Part[{hold}]", hold == "H1" ? part : "Nothing"), new($"Form.Notice[{hold}]", hold == "H1" ? notice : "")]);
            }

            using var form = new FormUrlEncodedContent(fields);
            return await Sent(odo, await Page(odo, url), $"{url}?handler=Set", form);
        }

        Assert.DoesNotContain("Form.AgreedWith", (await Page(server.As("tilda"), url)).Text, StringComparison.Ordinal);
        var wrong = await Send("soon");
        Assert.Equal(HttpStatusCode.BadRequest, wrong.Status);
        Assert.Contains("a whole number of working days", WebUtility.HtmlDecode(wrong.Text), StringComparison.Ordinal);
        Assert.Contains("value=\"soon\"", wrong.Text, StringComparison.Ordinal);
        var other = await Send("7", "Owns");
        Assert.Equal(HttpStatusCode.BadRequest, other.Status);
        Assert.Contains("one of Nothing, Reviews, Present, Signs, Holds", WebUtility.HtmlDecode(other.Text), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send("7")).Status);
        var set = (await odo.Get(url))["revisions"]![0]!["points"]!.AsArray().Single()!;
        Assert.Equal(("H1", "holds", 7), ((string)set["hold"]!, (string)set["part"]!, (int)set["noticeDays"]!));
        Assert.Contains("The contract differs from the plan at H1", WebUtility.HtmlDecode((await Page(odo, url)).Text), StringComparison.Ordinal);
    }
}
