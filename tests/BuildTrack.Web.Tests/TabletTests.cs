using System.Net;
using BuildTrack.Domain.Codes;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>The next person by badge or PIN, over the network: which cookies are given, what is refused, and what such a session may do.</summary>
public sealed class TabletTests(Server server) : IClassFixture<Server>
{
    private const string Pin = "740295";
    private const string TabletCookie = "__Host-buildtrack-tablet";

    [Fact]
    public async Task An_enrolled_tablet_takes_PIN_and_badge_and_the_session_signs_nothing()
    {
        var cookie = await Enrol();
        var acts = server.Services.GetRequiredService<TabletActs>();
        await acts.SetPin(new Caller("maren", "Maren Ostley", [Roles.Inspector]), new SetPinRequest(Pin, Server.Password), default);
        var serial = await Survey.Order(server, "TST-3T");
        await Survey.Measure(server.As("renna"), serial, "triangle-heights", Published.Triangle);

        // Without the tablet's cookie neither is offered nor taken.
        var (page, _) = await SignIn("", "Pin", ("Person", "maren"), ("Pin", Pin));
        Assert.Contains("not enrolled", page, StringComparison.Ordinal);
        Assert.DoesNotContain("data-badge", page, StringComparison.Ordinal);

        var (refused, _) = await SignIn(cookie, "Pin", ("Person", "maren"), ("Pin", "111222"));
        Assert.Contains("4 more attempts", refused, StringComparison.Ordinal);
        Assert.Contains("data-badge", refused, StringComparison.Ordinal);
        Assert.DoesNotContain("111222", refused, StringComparison.Ordinal);
        var (_, session) = await SignIn(cookie, "Pin", ("Person", "maren"), ("Pin", Pin));
        Assert.NotNull(session);

        using var maren = server.Nobody();
        maren.DefaultRequestHeaders.Add("Cookie", $"{cookie}; {session}");
        maren.DefaultRequestHeaders.Add("Sec-Fetch-Site", "same-origin");
        Assert.Contains("<dt>Responsible, by PIN</dt>", await maren.GetStringAsync("/"), StringComparison.Ordinal);
        var sheet = await Survey.Sheet(maren, serial);
        var problem = await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password }, null, sheet)).Problem(409);
        Assert.Equal(PinRules.NoSignature, (string)problem["rule"]!);

        // A badge scanned into the name's field, and one scanned into its own; it ends with the next.
        var badge = (await acts.IssueBadge(new Caller("odo", "Odo Fenn", [Roles.Administrator]), new IssueBadgeRequest("jorin"), default)).Code.Text;
        Assert.NotNull((await SignIn(cookie, null, ("Person", badge), ("Password", "x"))).Session);
        Assert.NotNull((await SignIn(cookie, "Badge", ("Badge", badge))).Session);
        var (wrong, none) = await SignIn(cookie, "Badge", ("Badge", PaperCode.OfInstrument("TRK-01").Text));
        Assert.Null(none);
        Assert.Contains("code of instrument TRK-01; here a badge is asked", wrong, StringComparison.Ordinal);
        Assert.DoesNotContain(badge[5..20], (await SignIn("", "Badge", ("Badge", badge))).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_badge_is_shown_once_and_only_an_administrator_makes_one()
    {
        var odo = server.As("odo");
        using var empty = new FormUrlEncodedContent([]);
        var made = await Sent(odo, await Page(odo, "/people/tilda/badge"), "/people/tilda/badge?handler=Issue", empty);
        Assert.Equal(HttpStatusCode.OK, made.Status);
        Assert.Contains("class=\"qr\"", made.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("class=\"qr\"", (await Page(odo, "/people/tilda/badge")).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await odo.GetAsync("/people/nobody/badge")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await server.As("renna").GetAsync("/people/tilda/badge")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await server.As("renna").GetAsync("/tablets")).StatusCode);
    }

    [Fact]
    public async Task A_PIN_is_set_on_its_sheet_with_the_password_and_typed_twice()
    {
        var dov = server.As("dov");
        async Task<(HttpStatusCode Status, string? Location, string Text)> Set(string pin, string again, string password)
        {
            using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["Pin"] = pin, ["Again"] = again, ["Password"] = password });
            return await Sent(dov, await Page(dov, "/pin"), "/pin", form);
        }

        Assert.Contains("the same six digits twice", (await Set(Pin, "740296", Server.Password)).Text, StringComparison.Ordinal);
        Assert.Contains(PinRules.TooEasy, (await Set("123456", "123456", Server.Password)).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Conflict, (await Set(Pin, Pin, "not the password")).Status);
        Assert.Equal(HttpStatusCode.Redirect, (await Set(Pin, Pin, Server.Password)).Status);
        Assert.Contains("You have a PIN", (await Page(dov, "/pin")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_lost_tablet_and_a_lost_badge_are_ended_over_the_API_and_take_nobody_any_more()
    {
        var cookie = await Enrol();
        var acts = server.Services.GetRequiredService<TabletActs>();
        await acts.SetPin(new Caller("jorin", "Jorin Pell", [Roles.Technician]), new SetPinRequest(Pin, Server.Password), default);
        var badge = (await acts.IssueBadge(new Caller("odo", "Odo Fenn", [Roles.Administrator]), new IssueBadgeRequest("tilda"), default)).Code.Text;
        var odo = server.As("odo");
        var people = await odo.Get("/tablets/people");
        Assert.Contains("jorin", people["withPin"]!.AsArray().Select(p => (string)p!["person"]!));
        Assert.Contains("tilda", people["withBadge"]!.AsArray().Select(p => (string)p!));
        Assert.DoesNotContain("Hash", people.ToJsonString(), StringComparison.OrdinalIgnoreCase);
        var tablet = (await odo.Get("/tablets")).AsArray().Max(t => (long)t!["id"]!);

        await (await server.As("renna").Send(HttpMethod.Post, $"/tablets/{tablet}/end", new { reason = "lost on site" })).Problem(403);
        await (await odo.Send(HttpMethod.Post, $"/tablets/{tablet}/end", new { })).Problem(400);
        await (await odo.Send(HttpMethod.Post, "/tablets/999999/end", new { reason = "lost on site" })).Problem(404);
        Assert.NotNull((await SignIn(cookie, "Pin", ("Person", "jorin"), ("Pin", Pin))).Session);
        await odo.Post($"/tablets/{tablet}/end", new { reason = "lost on site" });
        Assert.Equal("lost on site", (string)(await odo.Get("/tablets")).AsArray().Single(t => (long)t!["id"]! == tablet)!["reason"]!);
        Assert.Null((await SignIn(cookie, "Pin", ("Person", "jorin"), ("Pin", Pin))).Session);
        Assert.Equal(PinRules.EndedAlready, (string)(await (await odo.Send(HttpMethod.Post, $"/tablets/{tablet}/end", new { reason = "again" })).Problem(409))["rule"]!);

        var other = await Enrol();
        Assert.NotNull((await SignIn(other, "Badge", ("Badge", badge))).Session);
        await odo.Post("/people/tilda/badge/end", new { reason = "left in the bay" });
        Assert.Null((await SignIn(other, "Badge", ("Badge", badge))).Session);
        Assert.Equal(PinRules.EndedAlready, (string)(await (await odo.Send(HttpMethod.Post, "/people/tilda/badge/end", new { reason = "again" })).Problem(409))["rule"]!);
    }

    private async Task<string> Enrol()
    {
        var odo = server.As("odo");
        var page = await Page(odo, "/tablets");
        using var request = new HttpRequestMessage(HttpMethod.Post, "/tablets?handler=Enrol") { Content = new FormUrlEncodedContent(new Dictionary<string, string> { ["TabletName"] = "Bay 2" }) };
        request.Headers.Add("Cookie", page.Cookie);
        request.Headers.Add("RequestVerificationToken", page.Token);
        var answer = await odo.SendAsync(request);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        var cookie = answer.Headers.GetValues("Set-Cookie").Single(c => c.StartsWith(TabletCookie, StringComparison.Ordinal));
        foreach (var part in new[] { "max-age=34560000", "path=/", "secure", "samesite=strict", "httponly" })
        {
            Assert.Contains(part, cookie, StringComparison.OrdinalIgnoreCase);
        }

        Assert.Contains("Bay 2", (await Page(odo, "/tablets")).Text, StringComparison.Ordinal);
        return cookie.Split(';')[0];
    }

    private async Task<(string Text, string? Session)> SignIn(string tablet, string? handler, params (string Name, string Value)[] fields)
    {
        using var nobody = server.Nobody();
        if (tablet.Length > 0)
        {
            nobody.DefaultRequestHeaders.Add("Cookie", tablet);
        }

        var page = await Page(nobody, "/sign-in");
        using var request = new HttpRequestMessage(HttpMethod.Post, handler is null ? "/sign-in" : $"/sign-in?handler={handler}") { Content = new FormUrlEncodedContent(fields.ToDictionary(f => f.Name, f => f.Value)) };
        nobody.DefaultRequestHeaders.Remove("Cookie");
        request.Headers.Add("Cookie", tablet.Length > 0 ? $"{tablet}; {page.Cookie}" : page.Cookie);
        request.Headers.Add("RequestVerificationToken", page.Token);
        var answer = await nobody.SendAsync(request);
        var session = answer.Headers.TryGetValues("Set-Cookie", out var set) ? set.FirstOrDefault(c => c.StartsWith("__Host-buildtrack=", StringComparison.Ordinal))?.Split(';')[0] : null;
        return (WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync()), session);
    }
}
