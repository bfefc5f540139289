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
            foreach (var (_, value) in expected)
            {
                await renna.Keyboard.TypeAsync(value, new KeyboardTypeOptions { Delay = 1 });
                await renna.Keyboard.PressAsync(n % 2 == 0 ? "Enter" : "Tab");
            }

            await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync($"All {expected.Length} places are done", new() { Timeout = 120_000 });
            var standing = (await Run(renna, sheet)).GetProperty("readings").EnumerateArray().Select(r => (r.GetProperty("place").GetString()!, r.GetProperty("typed").GetString()!)).ToArray();
            Assert.Equal(expected, standing);
            await renna.GetByRole(AriaRole.Button, new() { Name = "Finish and calculate" }).ClickAsync();
            await DemoServer.Reached(renna, new Regex("/results/"));
        }
    }

    [Fact]
    public async Task Two_gauges_at_once_a_double_Enter_and_a_pasted_table_record_nothing_wrong()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("bexley.orme");
        var sheet = await WithoutNetworkTests.BeginBed(renna);
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
        Assert.Equal(["1.5"], (await Run(renna, sheet)).GetProperty("readings").EnumerateArray().Select(r => r.GetProperty("typed").GetString()));
    }

    // Small steps from place to place, so that nothing is asked about; twelve characters each, as gauges send them, and no two of a run alike.
    private static string Smooth(int run, int place) => ((run * 0.01) + (place * 0.125)).ToString("+0000.000000", CultureInfo.InvariantCulture);

    private static async Task<System.Text.Json.JsonElement> Run(IPage page, string sheet) =>
        (await (await page.Context.APIRequest.GetAsync($"/api/v1{sheet[..sheet.LastIndexOf('/')]}")).JsonAsync())!.Value;
}
