using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>The three main tasks without mouse or touch: Tab, arrows, Enter and typing, and at every stop it is seen where the keys go (WCAG 2.2, 2.1.1, 2.1.2, 2.4.7, 2.4.11).</summary>
public sealed class KeyboardTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    /// <summary>Of the element that has the focus: whether it is the one looked for, whether that is seen, and whether it is in view.</summary>
    private const string Stop = """
        wanted => {
            const e = document.activeElement;
            if (!e || e === document.body) return { name: 'nothing', found: false, seen: true, inView: true };
            const style = getComputedStyle(e);
            const outlined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
            const underlined = parseFloat(style.borderBottomWidth) >= 5;
            const r = e.getBoundingClientRect();
            const at = (x, y) => document.elementFromPoint(r.left + r.width * x, r.top + r.height * y);
            const inView = [0.1, 0.5, 0.9].some(x => [0.1, 0.5, 0.9].some(y => { const hit = at(x, y); return hit && (e.contains(hit) || hit.contains(e) && hit.matches('label, a, td, th, .wide')); }));
            return { name: `${e.tagName} "${(e.textContent || e.name || '').trim().slice(0, 30)}"`, found: e.matches(wanted), seen: outlined || underlined, inView };
        }
        """;

    private readonly List<string> faults = [];

    [Fact]
    public async Task A_technician_begins_a_run_and_measures_a_place()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await ByKeys("renna.tallworth", 820, 1180);
        await Press(renna, "a[href='/machines/OV1212-0089/route?step=160#step']");
        await DemoServer.Reached(renna, new Regex("/route\\?step=160"));
        await Press(renna, "a[href='/machines/OV1212-0089/step/160']");
        await Press(renna, "a[href^='?survey=rail-along&feature=R1']");
        await DemoServer.Reached(renna, new Regex("survey=rail-along&feature=R1"));
        await TabTo(renna, "[name='Begin.Instruments']");
        await renna.Keyboard.TypeAsync("LVL-02");
        await TabTo(renna, "[name='Begin.Checks']");
        await renna.Keyboard.TypeAsync("turned over, the same within 1");
        await TabTo(renna, "[name='Begin.Direction']");
        await renna.Keyboard.TypeAsync("Out");
        await Press(renna, "#begin .act--next");
        await DemoServer.Reached(renna, new Regex("/station(#begin)?$"));
        await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync("R1-01 → R1-02");
        await TabTo(renna, "[data-value]");
        await renna.Keyboard.TypeAsync("-12,5");
        await renna.Keyboard.PressAsync("Enter");
        await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync("R1-02 → R1-03");

        // Nothing holds the focus: from the value through all the rest of the sheet.
        await TabTo(renna, ".take-back button");
        await TabTo(renna, ".tb-number");
        await Press(renna, ".skip");
        await Expect(renna.Locator("#work")).ToBeFocusedAsync();
        await Press(renna, ".take-back button");
        await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync("R1-01 → R1-02");
        Assert.Empty(faults);
    }

    [Fact]
    public async Task An_inspector_opens_a_release_sheet_and_releases()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var maren = await ByKeys("maren.ostley", 1024, 768);
        var password = await WalkTests.DemoPassword(maren);
        await Press(maren, "a[href='/machines/OV1530-0417/release/H1']");
        await DemoServer.Reached(maren, new Regex("/release/H1$"));
        await TabTo(maren, "#password");
        await maren.Keyboard.TypeAsync(password);
        await Press(maren, ".sign .act--next");
        await Expect(maren.Locator(".signet").Filter(new() { HasText = "H1" })).ToContainTextAsync("Maren Ostley");
        Assert.Empty(faults);
    }

    [Fact]
    public async Task A_planner_orders_a_machine()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var tilda = await ByKeys("tilda.averne", 1920, 1080);
        await Press(tilda, "main a[href='/machines/new']");
        await TabTo(tilda, "[name=Serial]");
        await tilda.Keyboard.TypeAsync("OV1212-0098");
        await TabTo(tilda, "[name=MachineModel]");
        await tilda.Keyboard.TypeAsync("OV-1212/03");
        await TabTo(tilda, "[name=Customer]");
        await tilda.Keyboard.TypeAsync("Greyhaven Lift Works");
        await Press(tilda, ".act--next");
        await DemoServer.Reached(tilda, new Regex("/machines/OV1212-0098$"));
        Assert.Empty(faults);
    }

    /// <summary>Signed in by keys; on the first sheet the first stop leads past everything to the work.</summary>
    private async Task<IPage> ByKeys(string person, int width, int height)
    {
        var page = await Server.Window(width, height);
        await page.GotoAsync($"/sign-in?as={person}");
        await Press(page, ".act--next");
        await DemoServer.Reached(page, Server.Address + "/");
        await page.Keyboard.PressAsync("Tab");
        await Expect(page.Locator(".skip")).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#work")).ToBeFocusedAsync();
        return page;
    }

    private async Task Press(IPage page, string wanted)
    {
        await TabTo(page, wanted);
        await page.Keyboard.PressAsync("Enter");
    }

    // The sheet that was led to may come between a key and the look at what it did.
    private static async Task<JsonElement> Look(IPage page, string wanted)
    {
        while (true)
        {
            try
            {
                return await page.EvaluateAsync<JsonElement>(Stop, wanted);
            }
            catch (PlaywrightException e) when (e.Message.Contains("context was destroyed", StringComparison.Ordinal))
            {
                await page.WaitForLoadStateAsync();
            }
        }
    }

    private async Task TabTo(IPage page, string wanted)
    {
        for (var stops = 0; stops < 400; stops++)
        {
            await page.Keyboard.PressAsync("Tab");
            var stop = await Look(page, wanted);
            bool Is(string what) => stop.GetProperty(what).GetBoolean();
            if (!Is("seen") || !Is("inView"))
            {
                faults.Add($"{new Uri(page.Url).AbsolutePath}: {stop.GetProperty("name")} has the focus and {(Is("seen") ? "is out of view" : "does not show it")}");
            }

            if (Is("found"))
            {
                return;
            }
        }

        Assert.Fail($"{page.Url}: no stop of the Tab key is {wanted}");
    }
}
