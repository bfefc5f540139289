using System.Net;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Codes;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>One address for everything that is scanned, with and without script; and the fields where a code is asked.</summary>
public sealed class ScanTests(Server server) : IClassFixture<Server>
{
    [Fact]
    public async Task A_code_leads_to_what_it_names()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var machine = $"/machines/{serial}";
        foreach (var (code, expected) in new[]
        {
            (PaperCode.OfMachine(serial).Text, machine), (PaperCode.OfStep(serial, 100).Text, $"{machine}/step/100"), (PaperCode.OfInstrument("TRK-01").Text, "/instruments/TRK-01"),
            (PaperCode.OfInstrument("TRK-01").Text.Replace(':', 'Ö').Replace('-', 'ß'), "/instruments/TRK-01"), (serial, machine), ("TRK-01", "/instruments/TRK-01"), (serial.Replace('-', 'ß'), machine),
        })
        {
            Assert.Equal((HttpStatusCode.Redirect, expected), await Led(renna, $"/scan?code={Uri.EscapeDataString(code)}&from=/"));
            Assert.Equal(expected, (string)(await renna.Get($"/scan?code={Uri.EscapeDataString(code)}"))["sheet"]!);
        }

        var (status, found) = await Led(renna, $"/find?text={Uri.EscapeDataString(PaperCode.OfMachine(serial).Text)}");
        Assert.Equal((HttpStatusCode.Redirect, $"/scan?code={Uri.EscapeDataString(PaperCode.OfMachine(serial).Text)}&from=/find"), (status, found));
        Assert.Contains("name=\"code\"", (await Page(renna, "/scan")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_not_known_or_not_read_whole_is_said()
    {
        var renna = server.As("renna");
        foreach (var (code, expected) in new[]
        {
            (PaperCode.OfMachine("OV9999-0001").Text, "no record of it"), ("BT:M:OV99", "not read whole"), ("QQQQ", "Nothing in this plant carries it"),
            (PaperCode.OfStep("OV9999-0001", 100).Text, "step 100 of OV9999-0001"),
        })
        {
            var answer = await renna.GetAsync($"/scan?code={Uri.EscapeDataString(code)}&from=/machines");
            var text = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
            Assert.Contains(expected, text, StringComparison.Ordinal);
            Assert.Contains("href=\"/machines\"", text, StringComparison.Ordinal);
        }

        // A badge does not stay in the address, whatever sheet it was scanned on.
        Assert.Equal((HttpStatusCode.Redirect, "/machines"), await Led(renna, $"/scan?code={new PaperCode(CodeKind.Badge, "S3CRET").Text}&from=/machines"));
    }

    [Fact]
    public async Task On_a_sheet_of_another_machine_the_scan_asks_and_a_wrong_kind_is_named()
    {
        var (one, two) = (await Survey.Order(server, "TST-3T"), await Survey.Order(server, "TST-3T"));
        var renna = server.As("renna");
        var asked = (await Page(renna, $"/scan?code={PaperCode.OfStep(two, 100).Text}&from=/machines/{one}/step/100")).Text;
        foreach (var expected in new[] { "Wrong machine scanned", $"Stay with {one}", $"Go to {two}", $"href=\"/machines/{one}/step/100\"", $"href=\"/machines/{two}/step/100\"" })
        {
            Assert.Contains(expected, asked, StringComparison.Ordinal);
        }

        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{one}/step/100"), await Led(renna, $"/scan?code={PaperCode.OfStep(one, 100).Text}&from=/machines/{one}"));
        var wrong = (await Page(renna, $"/scan?code={PaperCode.OfInstrument("TRK-01").Text}&from=/machines/{one}/as-built&asks=component")).Text;
        Assert.Contains("This is the code of <b>instrument TRK-01 Tracker</b>; here <b>a component</b> is asked", wrong, StringComparison.Ordinal);
        Assert.DoesNotContain("//elsewhere", (await Page(renna, "/scan?from=//elsewhere")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_station_leads_to_its_place_in_the_open_run_and_else_to_its_step()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var page = (await Page(renna, $"/machines/{serial}/station-labels?layout=three-by-three-triangle")).Text;
        Assert.Contains("class=\"qr\"", page, StringComparison.Ordinal);
        var station = StationsOf(page).Skip(1).First();
        var code = PaperCode.OfStation(serial, station).Text;
        var (status, url) = await Led(renna, $"/scan?code={code}");
        Assert.Equal(HttpStatusCode.Redirect, status);
        Assert.StartsWith($"/machines/{serial}/step/100?survey=", url, StringComparison.Ordinal);
        var run = await Survey.BeginRun(renna, serial, "triangle-heights");
        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{serial}/runs/{run}/station?at={Uri.EscapeDataString(station.Id)}"), await Led(renna, $"/scan?code={code}"));
        // Somebody else has no run open there.
        Assert.StartsWith($"/machines/{serial}/step/100?survey=", (await Led(server.As("jorin"), $"/scan?code={code}")).Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_component_is_found_where_it_is_now_and_its_code_is_taken_for_its_number()
    {
        var (one, two) = (await Survey.Order(server, "TST-3T"), await Survey.Order(server, "TST-3T"));
        var renna = server.As("renna");
        var number = $"K-{one}";
        await renna.Post($"/machines/{one}/components", new { place = "chiller/1", serial = number });
        var id = (long)(await renna.Get($"/components?serial={number}"))[0]!["component"]!["id"]!;
        var code = PaperCode.OfComponent(one, id).Text;
        Assert.Contains($"Code of a component listed on {one}", (await Page(renna, $"/machines/{one}/component-labels")).Text, StringComparison.Ordinal);
        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{one}/as-built?place=chiller%2F1"), await Led(renna, $"/scan?code={code}"));

        await renna.Post($"/machines/{one}/components/swap", new { place = "chiller/1", old = number, serial = $"{number}-B", reason = "pump loud" });
        async Task<(HttpStatusCode Status, string? Location, string Text)> Fit(string scanned)
        {
            var url = $"/machines/{two}/as-built";
            using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["Key"] = Guid.NewGuid().ToString(), ["Form.Place"] = "chiller/1", ["Form.Serial"] = scanned });
            return await Sent(renna, await Page(renna, $"{url}?place=chiller%2F1"), $"{url}?handler=Fit", form);
        }

        var wrong = await Fit(PaperCode.OfInstrument("TRK-01").Text);
        Assert.Equal(HttpStatusCode.BadRequest, wrong.Status);
        Assert.Contains("the code of instrument TRK-01", wrong.Text, StringComparison.Ordinal);
        Assert.Contains("a component is asked here", wrong.Text, StringComparison.Ordinal);
        Assert.Contains("not read whole", (await Fit(code[..^1])).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Fit(code)).Status);
        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{two}/as-built?place=chiller%2F1"), await Led(renna, $"/scan?code={code}"));
        Assert.Null((string?)(await renna.Get($"/scan?code={PaperCode.OfComponent(two, id).Text}"))["sheet"]);
    }

    private static async Task<(HttpStatusCode Status, string? Url)> Led(HttpClient person, string url)
    {
        var answer = await person.GetAsync(url);
        return (answer.StatusCode, answer.Headers.Location?.OriginalString);
    }

    // <b>P1</b><span>x 0 mm</span>
    private static IEnumerable<Station> StationsOf(string page) =>
        System.Text.RegularExpressions.Regex.Matches(page, "<b>([^<]+)</b><span>x ([0-9.]+) mm</span>")
            .Select(m => new Station(m.Groups[1].Value, double.Parse(m.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture), 0));
}
