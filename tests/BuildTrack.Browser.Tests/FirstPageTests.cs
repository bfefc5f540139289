using System.Globalization;
using System.Text.Json;

namespace BuildTrack.Browser.Tests;

/// <summary>A technician's first sheet on a slow tablet: what it weighs, how far it shifts, and, told but not judged here, how long it takes.</summary>
public sealed class FirstPageTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    private const int MostBytes = 200_000;

    // The definition of layout shift and of the largest contentful paint: W3C, Layout Instability and Largest Contentful Paint.
    private const string Figures = """
        async () => {
            const seen = type => new Promise(done => new PerformanceObserver(list => done(list.getEntries())).observe({ type, buffered: true }));
            const none = () => new Promise(done => setTimeout(() => done([]), 500));
            const [paints, shifts] = await Promise.all(['largest-contentful-paint', 'layout-shift'].map(type => Promise.race([seen(type), none()])));
            return { paint: paints.at(-1)?.startTime ?? 0, shift: shifts.filter(s => !s.hadRecentInput).reduce((sum, s) => sum + s.value, 0) };
        }
        """;

    [Fact]
    public async Task It_weighs_little_and_does_not_shift()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        // A first sheet comes over the network, not from what a service worker kept of the one before.
        var page = await Server.SignIn("renna.tallworth", 820, 1180, worker: false);
        var cdp = await page.Context.NewCDPSessionAsync(page);
        await cdp.SendAsync("Network.enable");
        await cdp.SendAsync("Network.setCacheDisabled", new() { ["cacheDisabled"] = true });
        await cdp.SendAsync("Network.emulateNetworkConditions", new() { ["offline"] = false, ["latency"] = 40, ["downloadThroughput"] = 10_000_000 / 8, ["uploadThroughput"] = 10_000_000 / 8 });
        await cdp.SendAsync("Emulation.setCPUThrottlingRate", new() { ["rate"] = 4 });
        var carried = 0.0;
        cdp.Event("Network.loadingFinished").OnEvent += (_, told) => carried += told!.Value.GetProperty("encodedDataLength").GetDouble();

        var answer = await page.GotoAsync("/");
        await page.WaitForLoadStateAsync(Microsoft.Playwright.LoadState.NetworkIdle);
        var whole = (await answer!.BodyAsync()).Length;
        var figures = await page.EvaluateAsync<JsonElement>(Figures);
        var (paint, shift) = (figures.GetProperty("paint").GetDouble(), figures.GetProperty("shift").GetDouble());
        TestContext.Current.TestOutputHelper!.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"First sheet: {carried / 1000:0.0} kB carried, page {whole / 1000.0:0.0} kB before compression, largest paint after {paint:0} ms, layout shift {shift:0.000}; processor 4 times slower, 10 Mbit/s, 40 ms"));
        Assert.InRange(carried, 5_000, MostBytes);

        // Over HTTPS the page itself is not compressed.
        Assert.InRange(carried + whole, 5_000, MostBytes);
        Assert.InRange(shift, 0, 0.02);
    }
}
