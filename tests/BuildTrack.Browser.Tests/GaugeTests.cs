using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Gauges that type like keyboards, faster than the network answers; and what hands and gauges do wrong.</summary>
public sealed class GaugeTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    // Each run has 34 places: two in every build, fifteen and with them more than five hundred readings in a nightly run.
    private static readonly int Runs = int.TryParse(Environment.GetEnvironmentVariable("BUILDTRACK_GAUGE_RUNS"), CultureInfo.InvariantCulture, out var wanted) ? wanted : 2;

    [Fact]
    public async Task Whole_runs_typed_in_one_go_stand_in_the_record_each_at_its_place()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var places = (await File.ReadAllLinesAsync(DemoServer.DemoFile("OV1530-0417-bed-heights.csv"))).Skip(1).Select(l => l.Split(',')[0]).ToArray();
        for (var n = 0; n < Runs; n++)
        {
            var sheet = await WithoutNetworkTests.BeginBed(renna);
            var expected = places.Select((p, i) => (Place: p, Value: Smooth(n, i))).ToArray();
            await Types(renna, n % 2 == 0 ? "Enter" : "Tab", expected.Select(e => e.Value));
            await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync($"All {expected.Length} places are done", new() { Timeout = 120_000 });
            Assert.Equal(expected, await Standing(renna, sheet));
            await Finish(renna);
        }
    }

    [Fact]
    public async Task The_network_goes_and_comes_again_while_a_gauge_types_on()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var places = (await File.ReadAllLinesAsync(DemoServer.DemoFile("OV1530-0417-bed-heights.csv"))).Skip(1).Select(l => l.Split(',')[0]).ToArray();
        var sheet = await WithoutNetworkTests.BeginBed(renna);
        await WithoutNetworkTests.CalculationsAreThere(renna);
        foreach (var (n, six) in Enumerable.Range(0, places.Length).Select(i => Smooth(40, i)).Chunk(6).Index())
        {
            await renna.Context.SetOfflineAsync(n % 2 == 1);
            await Types(renna, "Enter", six);
        }

        await renna.Context.SetOfflineAsync(false);
        await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync($"All {places.Length} places are done", new() { Timeout = 120_000 });
        await Expect(renna.Locator(".kept-line")).ToContainTextAsync("all confirmed", new() { Timeout = 60_000 });
        Assert.Equal(places.Select((p, i) => (p, Smooth(40, i))), await Standing(renna, sheet));
        await Finish(renna);
    }

    [Fact]
    public async Task What_a_gauge_types_behind_a_question_waits_for_the_answer_and_keeps_its_order()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var jorin = await Server.SignIn("jorin.pell");
        var sheet = await WithoutNetworkTests.BeginRail(jorin, "R2");
        string[] values = ["+0008.500000", "+0009.250000", "+0900.000000", "+0010.500000", "+0011.000000", "+0012.500000", "+0013.000000"];
        await Types(jorin, "Enter", values);
        await Expect(jorin.Locator("[data-question]")).ToContainTextAsync("900");
        await Expect(jorin.GetByText("4 more value(s) wait until this one is settled")).ToBeVisibleAsync();

        // Each question is confirmed by its one key; a value beside a doubtful one is asked about, too.
        var done = jorin.Locator(".measuring h1", new() { HasText = "All 7 places are done" });
        for (var asked = jorin.Locator("[data-question]"); await done.CountAsync() == 0;)
        {
            await Expect(asked.Or(done)).ToBeVisibleAsync();
            if (await asked.CountAsync() > 0 && await asked.TextContentAsync() is { } text)
            {
                await jorin.Keyboard.PressAsync("Enter");
                await Expect(asked.Filter(new() { HasText = text })).ToHaveCountAsync(0);
            }
        }

        Assert.Equal(values, (await Standing(jorin, sheet)).Select(r => r.Typed));
    }

    [Fact]
    public async Task Two_gauges_at_once_a_double_Enter_and_a_pasted_table_record_nothing_wrong()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var sheet = await WithoutNetworkTests.BeginRail(renna, "R1");
        var here = renna.Locator(".measuring h1");
        var first = await here.TextContentAsync();

        // Characters of two gauges fall between each other: that is no number.
        await renna.Keyboard.TypeAsync("+-00000079..12255000");
        await renna.Keyboard.PressAsync("Enter");
        await renna.Keyboard.PressAsync("Enter");
        await Expect(renna.Locator(".told--refused")).ToBeVisibleAsync();
        await Expect(here).ToHaveTextAsync(first!);

        await renna.EvaluateAsync(
            """
            () => {
              const clipboardData = new DataTransfer();
              clipboardData.setData('text', '12.5\t13\n14\n');
              document.activeElement.dispatchEvent(new ClipboardEvent('paste', { bubbles: true, cancelable: true, clipboardData }));
            }
            """);
        await Expect(renna.GetByText("a field takes one value, and 3 were pasted")).ToBeVisibleAsync();

        // Enter twice ends one value, not two.
        await renna.Keyboard.TypeAsync("1.5");
        await renna.Keyboard.PressAsync("Enter");
        await renna.Keyboard.PressAsync("Enter");
        await Expect(here).Not.ToHaveTextAsync(first!);

        // Reloaded in the middle of a run, the sheet goes on where it was.
        var second = await here.TextContentAsync();
        await renna.ReloadAsync();
        await Expect(here).ToHaveTextAsync(second!);
        Assert.Equal(["1.5"], (await Standing(renna, sheet)).Select(r => r.Typed));
    }

    // Small steps from place to place, so that nothing is asked about; twelve characters each, as gauges send them, and no two of a run alike.
    private static string Smooth(int run, int place) => ((run * 0.0001) + (place * 0.0005)).ToString("+0000.000000", CultureInfo.InvariantCulture);

    /// <summary>Twelve characters at a millisecond each, and the next value at once.</summary>
    private static async Task Types(IPage page, string ended, IEnumerable<string> values)
    {
        await DemoServer.Listens(page);
        foreach (var value in values)
        {
            await page.Keyboard.TypeAsync(value, new KeyboardTypeOptions { Delay = 1 });
            await page.Keyboard.PressAsync(ended);
        }
    }

    // One run of a survey is open at a time: whoever comes next begins another.
    private static async Task Finish(IPage page)
    {
        await page.GetByRole(AriaRole.Button, new() { Name = "Finish and calculate" }).ClickAsync();
        await DemoServer.Reached(page, new Regex("/results/"));
    }

    /// <summary>What the record holds, in the order in which it came.</summary>
    private static async Task<(string Place, string Typed)[]> Standing(IPage page, string sheet)
    {
        var run = (await (await page.Context.APIRequest.GetAsync($"/api/v1{sheet[..sheet.LastIndexOf('/')]}")).JsonAsync())!.Value;
        return [.. run.GetProperty("readings").EnumerateArray().Select(r => (r.GetProperty("place").GetString()!, r.GetProperty("typed").GetString()!))];
    }
}
