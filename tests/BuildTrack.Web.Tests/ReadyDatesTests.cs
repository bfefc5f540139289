using System.Net;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.ReadyDates;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>Calendar, kit, promises and ready dates through the API and on their sheets.</summary>
public sealed class ReadyDatesTests(Server server) : IClassFixture<Server>
{
    private static string Day(int from) => DateTime.UtcNow.AddDays(from).ToString("yyyy-MM-dd", null);

    [Fact]
    public async Task A_kit_a_promise_and_a_holiday_move_the_ready_date()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        var path = $"/machines/{serial}";

        // The test route has no hours: its one long-lead part decides.
        var fresh = await renna.Get($"{path}/ready-date");
        Assert.Contains("waits for Chiller", (string)fresh["date"]!["decidedBy"]!, StringComparison.Ordinal);
        await (await renna.Send(HttpMethod.Post, $"{path}/kit/chiller", new { act = "ordered" })).Problem(403);
        await (await tilda.Send(HttpMethod.Post, $"{path}/kit/anvil", new { act = "ordered" })).Problem(404);
        Assert.Equal(KitRules.DueIsPast, (string)(await (await tilda.Send(HttpMethod.Post, $"{path}/kit/chiller", new { act = "ordered", due = Day(-3) })).Problem(409))["rule"]!);
        await tilda.Post($"{path}/kit/chiller", new { act = "ordered", due = Day(40), note = "order 7" });
        await (await tilda.Send(HttpMethod.Post, $"{path}/promises", new { day = "soon", reason = "contract" })).Problem(400);
        Assert.Equal(PromiseRules.DayIsPast, (string)(await (await tilda.Send(HttpMethod.Post, $"{path}/promises", new { day = Day(-3), reason = "contract" })).Problem(409))["rule"]!);
        await tilda.Post($"{path}/promises", new { day = Day(10), reason = "contract" });

        var ordered = await renna.Get($"{path}/ready-date");
        Assert.True((int)ordered["date"]!["slip"]!["likely"]! > 10);
        Assert.Equal((string)ordered["date"]!["early"]!, (string)ordered["date"]!["late"]!);
        Assert.Equal(Day(10), (string)(await tilda.Get("/ready-dates")).AsArray().Single(d => (string)d!["serial"]! == serial)!["promised"]!);
        var kit = await renna.Get($"{path}/kit");
        Assert.Equal((0, $"ordered, promised for {Day(40)}"), ((int)kit["percent"]!, (string)kit["parts"]![0]!["stands"]!));

        var due = (string)(await tilda.Get($"/witness-notices?until={Day(90)}")).AsArray().Single(n => (string)n!["serial"]! == serial)!["by"]!;
        Assert.True(string.CompareOrdinal(due, Day(30)) > 0 && string.CompareOrdinal(due, Day(40)) < 0, due);
        await (await tilda.GetAsync("/api/v1/witness-notices?until=soon")).Problem(400);
        await (await tilda.GetAsync("/api/v1/work-centres/load?weeks=0")).Problem(400);
        Assert.Equal(3, (await renna.Get("/work-centres/load?weeks=3")).AsArray().Single(c => (string)c!["id"]! == "bench")!["weeks"]!.AsArray().Count);

        await (await renna.Send(HttpMethod.Post, "/calendar/holidays", new { day = Day(70), name = "Closed" })).Problem(403);
        await tilda.Post("/calendar/holidays", new { day = Day(70), name = "Closed" });
        Assert.Equal(HolidayRules.EnteredAlready, (string)(await (await tilda.Send(HttpMethod.Post, "/calendar/holidays", new { day = Day(70), name = "Closed" })).Problem(409))["rule"]!);
        var calendar = await renna.Get("/calendar");
        var holiday = calendar["holidays"]!.AsArray().Single(h => (string)h!["day"]! == Day(70))!["id"]!;
        await tilda.Post($"/calendar/holidays/{holiday}/take-back", new { reason = "worked after all" });
        Assert.Equal("mon-fri 06:00-14:00", (string)calendar["workCentres"]![0]!["shifts"]![0]!);
        await (await renna.GetAsync("/api/v1/machines/NONE-1/ready-date")).Problem(404);
    }

    [Fact]
    public async Task On_the_sheets_the_planner_enters_what_a_technician_only_reads()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        var url = $"/machines/{serial}/kit";
        Task<(HttpStatusCode Status, string? Location, string Text)> Send(string page, string handler, params (string Name, string Value)[] fields) => Post(tilda, page, handler, fields);

        Assert.Equal(HttpStatusCode.Redirect, (await Send(url, "Promise", ("Form.Day", Day(30)), ("Form.Reason", "contract"))).Status);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(url, "Ordered", ("Form.Part", "chiller"), ("Form.Due", Day(20)))).Status);
        var refused = await Send(url, "Ordered", ("Form.Part", "chiller"), ("Form.Due", Day(-20)));
        Assert.Equal(HttpStatusCode.Conflict, refused.Status);
        Assert.Contains($"value=\"{Day(-20)}\"", refused.Text, StringComparison.Ordinal);
        var sheet = (await Page(renna, url)).Text;
        Assert.Contains($"promised for {Day(30)}", sheet, StringComparison.Ordinal);
        Assert.Contains($"missing: ordered, promised for {Day(20)}", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("handler=Ordered", sheet, StringComparison.Ordinal);

        var ready = (await Page(tilda, "/ready-dates")).Text;
        Assert.Contains(serial, ready, StringComparison.Ordinal);
        Assert.Contains($"Chiller: ordered, promised for {Day(20)}", ready, StringComparison.Ordinal);
        Assert.Contains("expected a day", (await Page(tilda, "/ready-dates?until=soon")).Text, StringComparison.Ordinal);
        Assert.Contains("Kit and ready date", (await Page(renna, $"/machines/{serial}")).Text, StringComparison.Ordinal);

        Assert.Equal(HttpStatusCode.Redirect, (await Send("/calendar", "Enter", ("Form.Day", Day(71)), ("Form.Name", "Closed"))).Status);
        Assert.Equal(HttpStatusCode.Conflict, (await Send("/calendar", "Enter", ("Form.Day", Day(71)), ("Form.Name", "Closed"))).Status);
        Assert.Contains(Day(71), (await Page(renna, "/calendar")).Text, StringComparison.Ordinal);
        Assert.DoesNotContain("handler=Enter", (await Page(renna, "/calendar")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_weeks_ahead_show_each_machine_and_name_a_length_that_is_none()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var tilda = server.As("tilda");
        var page = await Page("/weeks-ahead?weeks=4");
        foreach (var expected in new[] { serial, "<title id=\"machines-t\">", "<desc id=\"machines-d\">", "href=\"/weeks-ahead?weeks=4\" aria-current=\"true\"" })
        {
            Assert.Contains(expected, page, StringComparison.Ordinal);
        }

        foreach (var bad in new[] { "3", "abc", "-2" })
        {
            var answer = await Page($"/weeks-ahead?weeks={bad}");
            Assert.Contains($"Found '{bad}' weeks, expected one of 1, 2, 4, 8. Two are shown.", answer, StringComparison.Ordinal);
            Assert.Contains("href=\"/weeks-ahead?weeks=2\" aria-current=\"true\"", answer, StringComparison.Ordinal);
        }

        async Task<string> Page(string path)
        {
            var answer = await tilda.GetAsync(new Uri(path, UriKind.Relative));
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
            return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        }
    }

    private static async Task<(HttpStatusCode Status, string? Location, string Text)> Post(HttpClient who, string page, string handler, (string Name, string Value)[] fields)
    {
        using var form = new FormUrlEncodedContent(fields.Select(f => KeyValuePair.Create(f.Name, f.Value)).Append(KeyValuePair.Create("Key", Guid.NewGuid().ToString())));
        return await Sent(who, await Page(who, page), $"{page}?handler={handler}", form);
    }
}
