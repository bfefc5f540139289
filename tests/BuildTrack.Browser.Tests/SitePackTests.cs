using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Everything about one machine, carried to where there is no network.</summary>
public sealed class SitePackTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    private const string Pack = "/machines/OV1530-0416/site-pack";

    [Fact]
    public async Task The_pack_of_a_machine_opens_without_network_calculates_and_is_refused_when_it_is_old()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var run = await WithoutNetworkTests.BeginBed(renna);
        await renna.GotoAsync(Pack);
        await WithoutNetworkTests.Controlled(renna);
        await renna.GetByRole(AriaRole.Button, new() { Name = "Carry it on this device" }).ClickAsync();
        await Expect(renna.Locator("[data-carried]")).ToContainTextAsync("On this device since", new() { Timeout = 120_000 });

        await renna.Context.SetOfflineAsync(true);
        await renna.GotoAsync("/machines/OV1530-0416");
        await Expect(renna.GetByRole(AriaRole.Heading, new() { Name = "No connection" })).ToBeVisibleAsync();
        await renna.GetByRole(AriaRole.Link, new() { Name = "machines / OV1530-0416 / site-pack" }).ClickAsync();
        await Expect(renna.GetByRole(AriaRole.Heading, new() { Name = "Site pack of OV1530-0416" })).ToBeVisibleAsync();
        await Expect(renna.Locator("[data-carried]")).ToContainTextAsync("On this device since");

        // 25 °C at 50 %: 13.9 °C by the Magnus formula (acc-dew-point.json).
        await renna.FillAsync("#dew-point [name=Air]", "25");
        await renna.FillAsync("#dew-point [name=Humidity]", "50");
        await renna.ClickAsync("#dew-point .act");
        await Expect(renna.Locator("#dew-point [data-answer]")).ToHaveTextAsync("Dew point 13.9 °C.", new() { Timeout = 60_000 });
        await renna.FillAsync("#dew-point [name=Humidity]", "500");
        await renna.ClickAsync("#dew-point .act");
        await Expect(renna.Locator("#dew-point [data-answer]")).ToContainTextAsync("Found '500', expected relative humidity");

        // The run that was begun before leaving goes on, and the protocol can be printed.
        await renna.ClickAsync("[data-run]");
        await Expect(renna).ToHaveURLAsync(Server.Address + run);
        await Expect(renna.Locator(".measuring h1")).ToBeVisibleAsync();
        await renna.GotoAsync("/machines/OV1530-0416/site-protocol");
        await Expect(renna.GetByText("Protocol of work on site").First).ToBeVisibleAsync();

        await renna.EvaluateAsync(
            """
            async (pack) => {
              const cache = await caches.open('buildtrack-sheets');
              const kept = await cache.match(pack);
              const headers = new Headers(kept.headers);
              headers.set('Date', new Date(Date.now() - 10.1 * 86400000).toUTCString());
              await cache.put(pack, new Response(await kept.text(), { headers }));
            }
            """,
            Pack);
        await renna.GotoAsync(Pack);
        await Expect(renna.GetByRole(AriaRole.Heading, new() { Name = "Site pack too old" })).ToBeVisibleAsync();

        // With network it is packed anew by being opened.
        await renna.Context.SetOfflineAsync(false);
        await renna.GotoAsync(Pack);
        await renna.Context.SetOfflineAsync(true);
        await renna.GotoAsync(Pack);
        await Expect(renna.GetByRole(AriaRole.Heading, new() { Name = "Site pack of OV1530-0416" })).ToBeVisibleAsync();
    }
}
