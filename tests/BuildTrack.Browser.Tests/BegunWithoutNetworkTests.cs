using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Runs that are begun where there is no network: kept, measured, finished and begun again on the tablet, sent in their order, begun once each, and decided by the server.</summary>
public sealed partial class BegunWithoutNetworkTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    // The one machine of the demo on which something may be measured on site.
    private const string Machine = "OV2661-0030";
    private const string Survey = "visit-across";

    private static LocatorAssertionsToContainTextOptions Patient { get; } = new() { Timeout = 60_000 };

    [Fact]
    public async Task Two_runs_begun_and_finished_without_network_one_behind_the_other_stand_in_the_record_once_each_also_when_answers_are_lost()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var before = await Runs(renna, Machine);
        await Carry(renna, Machine);
        await renna.Context.SetOfflineAsync(true);
        await Open(renna, Machine);

        // What the server would refuse is refused here, with its words.
        await Fill(renna, "Outward", " ");
        await renna.ClickAsync("[data-begin] .act--next");
        await Expect(renna.Locator("[data-refused]")).ToContainTextAsync("Not begun: check before use of LVL-02: found nothing, expected what was checked and found, for this run.", Patient);
        Assert.Empty(await SheetLook.Faults(renna));
        await SheetLook.Restore(renna);
        await Fill(renna, "Outward", "turned over, the same within 1");
        await renna.ClickAsync("[data-begin] .act--next");
        await Expect(renna.Locator(".alone")).ToContainTextAsync("Begun on this device.", Patient);
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("the begin of the run on this device");
        await Expect(renna.Locator(".station-head")).ToContainTextAsync("Begun here, pass, 2 planned, outward");
        await Expect(renna.Locator(".station-head")).ToContainTextAsync("LVL-02 Electronic level pair, valid to");
        await Expect(renna.Locator(".with-unit")).ToContainTextAsync("µm/m");

        // Three values; the page goes and comes, and they are there.
        List<(string Place, string Value)> first = [];
        while (first.Count < 3)
        {
            first.Add(await Take(renna, $"{first.Count + 1}"));
        }

        await renna.ReloadAsync();
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("the begin of the run on this device, 3 on this device");
        await Rest(renna, first);
        await Expect(renna.Locator(".provisional")).ToContainTextAsync("310-01", Patient);
        await renna.ClickAsync("[data-finish='yes']");
        await Expect(renna.Locator(".kept-line")).ToContainTextAsync("the end of the run on this device");
        Assert.Empty(await SheetLook.Faults(renna));
        await SheetLook.Restore(renna);

        // The next one, the same way back, begun behind it: walked from the other end, and asked about beside the first.
        await renna.GetByRole(AriaRole.Link, new() { Name = "Begin the next run" }).ClickAsync();
        await Expect(renna.Locator("[data-own]")).ToContainTextAsync($"the begin of a run, {first.Count} reading(s), the end of a run");
        await Fill(renna, "Back", "turned over, the same within 1");
        await renna.ClickAsync("[data-begin] .act--next");
        await Expect(renna.Locator(".measuring h1")).ToHaveTextAsync(first[^1].Place, new() { Timeout = 60_000 });
        await renna.Keyboard.TypeAsync("900");
        await renna.Keyboard.PressAsync("Enter");
        await Expect(renna.Locator("[data-question]")).ToContainTextAsync($"where the outward run read {first[^1].Value}", Patient);
        List<(string Place, string Value)> second = [await Take(renna, "2")];
        await Rest(renna, second);
        await renna.ClickAsync("[data-finish='yes']");
        await Expect(renna.Locator(".alone")).ToContainTextAsync("Then the run is finished.");

        // Every begin, every end and one value arrive and their answers do not; the keys let each act once.
        List<string> order = [];
        HashSet<string> lost = [];
        await renna.Context.RouteAsync("**/api/v1/**", async route =>
        {
            var (path, key) = (new Uri(route.Request.Url).AbsolutePath, route.Request.Headers.GetValueOrDefault("idempotency-key") ?? "");
            order.Add(path);
            if ((path.EndsWith("/begun", StringComparison.Ordinal) || path.EndsWith("/finish", StringComparison.Ordinal) || order.Count == 5) && lost.Add(key))
            {
                await route.FetchAsync();
                await route.AbortAsync();
                return;
            }

            await route.ContinueAsync();
        });
        await renna.Context.SetOfflineAsync(false);
        await Expect(renna).ToHaveURLAsync(new Regex("/results/310-01$"), new() { Timeout = 240_000 });
        Assert.Equal(5, lost.Count);
        await renna.Context.UnrouteAllAsync();
        Assert.Equal(before.Count + 2, (await Runs(renna, Machine)).Count);
        var moved = await Moved(renna);
        Assert.Equal(2, moved.Length);
        foreach (var (run, values, direction) in new[] { (moved[0], first, "outward"), (moved[1], second, "back") })
        {
            await renna.GotoAsync($"/machines/{Machine}/runs/{run}");
            await Expect(renna.Locator("main dd", new() { HasText = ", finished " })).ToBeVisibleAsync();
            await Expect(renna.Locator("main")).ToContainTextAsync(direction);
            await Expect(renna.Locator(".closing")).ToContainTextAsync("The run was begun on a tablet without network and sent");
            Assert.Equal(values.Order(), await Standing(renna, Machine, run));
        }

        // Strictly in the order in which they were begun: the second begin comes after the end of the first.
        Assert.True(order.FindLastIndex(a => a.EndsWith("/runs/begun", StringComparison.Ordinal)) > order.FindIndex(a => a.EndsWith($"/runs/{moved[0]}/finish", StringComparison.Ordinal)), string.Join('\n', order));
        Assert.Equal("[]", await renna.EvaluateAsync<string>("async () => { const { all, waits } = await import('/js/kept.js'); return JSON.stringify((await all()).filter((e) => waits(e) || e.begin)); }"));
    }

    [Fact]
    public async Task A_run_that_the_server_does_not_begin_is_kept_with_the_reason_and_put_into_another_or_set_aside_by_a_person()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var (here, there) = (await Server.SignIn("renna.tallworth"), await Server.SignIn("renna.tallworth"));
        await Carry(here, Machine);
        await here.Context.SetOfflineAsync(true);
        await Open(here, Machine);
        await Fill(here, "Outward", "turned over, the same within 1");
        await here.ClickAsync("[data-begin] .act--next");
        List<(string Place, string Value)> kept = [await Take(here, "4"), await Take(here, "5"), await Take(here, "6")];

        // Meanwhile the same survey is begun on line, and one place is read there.
        await there.GotoAsync($"/machines/{Machine}/step/310?survey={Survey}");
        await there.SelectOptionAsync("[name='Begin.Instruments']", "LVL-02");
        await there.FillAsync("[name='Begin.Checks']", "turned over, the same within 1");
        await there.SelectOptionAsync("[name='Begin.Direction']", "Outward");
        await there.ClickAsync("#begin .act--next");
        await DemoServer.Reached(there, new Regex("/station$"));
        await DemoServer.Listens(there);
        var run = RunNumber().Match(there.Url).Groups[1].Value;
        await Take(there, "7");

        await here.Context.SetOfflineAsync(false);
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync(new Regex("The server did not begin this run. Run \\d+ of survey visit-across by renna.tallworth is still open"), Patient);
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync("On this device stay 3 reading(s); nothing of it is lost, and nothing was put into another run.");
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync(new Regex("run \\d+ of this survey is open with 1 reading"), Patient);
        Assert.Empty(await SheetLook.Faults(here));
        await SheetLook.Restore(here);
        Assert.Single(await Standing(here, Machine, run));

        // Elsewhere the reason is told, too.
        await here.GotoAsync("/machines");
        await Expect(here.Locator(".waiting-strip")).ToContainTextAsync(new Regex("the server did not begin a run: Run \\d+ of survey visit-across"), Patient);
        await here.ClickAsync(".waiting-strip a");
        await here.ClickAsync("[data-settle=put]");

        // The values go into that run in their order; the place that is filled there shows both values, and the person chooses.
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync("this device has 4, and 7 was recorded from elsewhere meanwhile", Patient);
        await here.ClickAsync("[data-settle=drop]");
        await DemoServer.Reached(here, new Regex($"/runs/{run}/station$"));
        kept[0] = (kept[0].Place, "7");
        Assert.Equal(kept.Order(), await Standing(here, Machine, run));

        // Another one, begun while that is open to another eye only: set aside with a touch that says what is lost.
        await here.GotoAsync($"/machines/{Machine}/without-network/{Survey}");
        await Expect(here.Locator("[data-own]")).ToContainTextAsync(new Regex("Run \\d+ of this survey is open in the record. It is finished first"));
        await Expect(here.Locator("[data-begin]")).ToBeHiddenAsync();
        await here.EvaluateAsync(
            """
            async (at) => {
              const { keepBegin } = await import('/js/begun.js');
              const { keep, HERE } = await import('/js/kept.js');
              const about = { run: 'here-second', serial: 'OV2661-0030', name: 'Level', sheet: at };
              const begin = { survey: 'visit-across', direction: 'back', instruments: ['LVL-02'], checks: ['turned'], helpers: [] };
              const [old] = [...document.querySelectorAll('template[data-variant=Back]')];
              await keepBegin({ ...about, key: 'second-begin', begin, by: 'renna.tallworth', typedUs: Date.now() * 1000, state: HERE }, { ...about, at: Date.now(), html: `${old.innerHTML}<script type="application/json" data-taken-run>{"run":{"readings":[]},"columns":[{"id":"slope","kind":"number","unit":"µm/m"}]}</script>` });
              await keep({ ...about, key: 'second-value', values: [{ place: 'B-01', column: 'slope', typed: '1' }], confirmed: false, gauge: false, typedUs: Date.now() * 1000, state: HERE });
            }
            """,
            $"/machines/{Machine}/without-network/{Survey}");
        await here.GotoAsync($"/machines/{Machine}/without-network/{Survey}?run=here-second");
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync("What is here cannot be put into it", Patient);
        await Expect(here.Locator("[data-settle=put]")).ToHaveCountAsync(0);
        await here.ClickAsync("[data-trouble] summary");
        await Expect(here.Locator("[data-settle=aside]")).ToHaveTextAsync("Set aside: 1 reading(s) are lost");
        await here.ClickAsync("[data-settle=aside]");
        await DemoServer.Reached(here, new Regex($"/without-network/{Survey}$"));
        Assert.Equal(0, await here.EvaluateAsync<int>("async () => (await (await import('/js/kept.js')).all()).filter((e) => e.run === 'here-second').length"));
        await Discard(there, run);
    }

    [Fact]
    public async Task Only_who_began_it_sends_it_signing_out_is_asked_about_and_an_old_sheet_begins_nothing()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var bexley = await Server.SignIn("bexley.orme");
        await Carry(bexley, Machine);
        await bexley.Context.SetOfflineAsync(true);
        await Open(bexley, Machine);
        await Aged(bexley, $"/machines/{Machine}/without-network/{Survey}");
        await bexley.ReloadAsync();
        await Fill(bexley, "Outward", "turned over");
        await bexley.ClickAsync("[data-begin] .act--next");
        await Expect(bexley.Locator("[data-refused]")).ToContainTextAsync("taken along more than 10 days ago");

        await bexley.Context.SetOfflineAsync(false);
        await bexley.GotoAsync($"/machines/{Machine}/without-network/{Survey}");
        await bexley.Context.SetOfflineAsync(true);
        await Fill(bexley, "Outward", "turned over");
        await bexley.ClickAsync("[data-begin] .act--next");
        await Take(bexley, "3");
        await bexley.Context.RouteAsync("**/api/**", route => route.AbortAsync());
        await bexley.Context.SetOfflineAsync(false);
        await bexley.GotoAsync("/sign-out");
        await bexley.ClickAsync("[data-sign-out] button");
        await Expect(bexley.Locator(".told--refused")).ToContainTextAsync("Only on this device: the begin of a run, 1 reading(s). It stays here");
        await bexley.ClickAsync("[data-sign-out] button");
        await DemoServer.Reached(bexley, Server.Address + "/sign-in");
        await bexley.Context.UnrouteAllAsync();

        await SignsIn(bexley, "jorin.pell");
        await Expect(bexley.Locator(".waiting-strip")).ToContainTextAsync("when the person who read it is signed in", Patient);
        await SignsIn(bexley, "bexley.orme");
        await Expect(bexley.Locator(".waiting-strip")).ToContainTextAsync("is in the record now: the begin of a run, 1 reading(s)", Patient);
        var run = (await Moved(bexley)).Single();
        await bexley.GotoAsync($"/machines/{Machine}/runs/{run}");
        await Expect(bexley.Locator("main")).ToContainTextAsync("Bexley Orme");
        await Discard(bexley, run);
    }

    /// <summary>A tablet that was last used before runs could be begun on it: its database has the shape of then, with values that wait.</summary>
    [Fact]
    public async Task What_an_earlier_edition_kept_on_the_tablet_is_there_after_the_update_and_is_sent()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var sheet = await WithoutNetworkTests.BeginBed(await Server.SignIn("renna.tallworth"));
        var run = RunNumber().Match(sheet).Groups[1].Value;
        var tablet = await Server.Window();
        await tablet.GotoAsync("/icon.svg");
        await tablet.EvaluateAsync(
            """
            (run) => new Promise((resolve, reject) => {
              const request = indexedDB.open('buildtrack', 1);
              request.onupgradeneeded = () => {
                request.result.createObjectStore('entries', { keyPath: 'n', autoIncrement: true }).createIndex('run', 'run');
                request.result.createObjectStore('runs', { keyPath: 'run' });
              };
              request.onerror = () => reject(request.error);
              request.onsuccess = () => {
                const db = request.result;
                const transaction = db.transaction(['entries', 'runs'], 'readwrite');
                const about = { run, serial: 'OV1530-0416', name: 'Heights of the seats' };
                for (const [place, typed] of [['R1-01', '0,010'], ['R1-02', '0,011'], ['R1-03', '0,012']]) {
                  transaction.objectStore('entries').add({ ...about, key: `old-${place}`, values: [{ place, column: 'z', typed }], gauge: false, confirmed: true, typedUs: Date.now() * 1000, state: 'here' });
                }
                transaction.objectStore('runs').put({ ...about, html: '', at: Date.now() });
                transaction.oncomplete = () => { db.close(); resolve(); };
                transaction.onabort = () => reject(transaction.error);
              };
            })
            """,
            int.Parse(run, System.Globalization.CultureInfo.InvariantCulture));
        await SignsIn(tablet, "renna.tallworth");
        await Expect(tablet.Locator(".waiting-strip")).ToContainTextAsync("is in the record now: 3 reading(s)", Patient);
        Assert.Equal([("R1-01", "0,010"), ("R1-02", "0,011"), ("R1-03", "0,012")], await Standing(tablet, WithoutNetworkTests.Bed, run));
        Assert.Equal(["entries", "moved", "runs"], await tablet.EvaluateAsync<string[]>("() => new Promise((resolve) => { const r = indexedDB.open('buildtrack'); r.onsuccess = () => resolve([...r.result.objectStoreNames]); })"));
    }

    private static async Task Carry(IPage page, string serial)
    {
        await page.GotoAsync($"/machines/{serial}/site-pack");
        await WithoutNetworkTests.Controlled(page);
        await page.GetByRole(AriaRole.Button, new() { Name = "Carry it on this device" }).ClickAsync();
        await Expect(page.Locator("[data-carried]")).ToContainTextAsync("On this device since", new() { Timeout = 120_000 });
    }

    private static async Task Open(IPage page, string serial)
    {
        await page.GotoAsync($"/machines/{serial}/site-pack");
        await page.GetByRole(AriaRole.Link, new() { Name = "Begin without network: Level across the rails at the follow-up visit" }).ClickAsync();
        await Expect(page.Locator("[data-begin]")).ToBeVisibleAsync(new() { Timeout = 60_000 });
    }

    private static async Task Fill(IPage page, string direction, string check)
    {
        await page.SelectOptionAsync("[name='Begin.Direction']", direction);
        await page.SelectOptionAsync("[name='Begin.Instruments']", "LVL-02");
        await page.FillAsync("[name='Begin.Checks']", check);
    }

    private static async Task<(string Place, string Value)> Take(IPage page, string value)
    {
        await DemoServer.Listens(page);
        var place = await page.Locator(".measuring h1").TextContentAsync() ?? "";
        foreach (var field in await page.Locator("[data-value]").AllAsync())
        {
            await field.FillAsync("");
        }

        await page.Keyboard.TypeAsync(value);
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator(".measuring h1")).Not.ToHaveTextAsync(place, new() { Timeout = 60_000 });
        return (place, value);
    }

    private static async Task Rest(IPage page, List<(string Place, string Value)> values)
    {
        while (await page.Locator(".finish").CountAsync() == 0)
        {
            values.Add(await Take(page, $"{(values.Count % 3) + 1}"));
        }
    }

    private static async Task<IReadOnlyList<string>> Runs(IPage page, string serial)
    {
        await page.GotoAsync($"/machines/{serial}/step/310");
        return await page.Locator("a.run-link[href*='/runs/']").AllTextContentsAsync();
    }

    // What one test leaves open would stand in the way of the next.
    private static async Task Discard(IPage page, object run) => Assert.Equal(200, await page.EvaluateAsync<int>(
        $$"""
        async () => (await fetch('/api/v1/machines/{{Machine}}/runs/{{run}}/discard', { method: 'POST', headers: { 'Content-Type': 'application/json', 'Idempotency-Key': crypto.randomUUID() }, body: '{"reason":"for the next test"}' })).status
        """));

    private static Task<long[]> Moved(IPage page) => page.EvaluateAsync<long[]>(
        "async () => { const { within, asked } = await import('/js/store.js'); return (await within(['moved'], 'readonly', (moved) => asked(moved.getAll()))).map((m) => m.run).sort((a, b) => a - b); }");

    private static async Task<IEnumerable<(string Place, string Value)>> Standing(IPage page, string serial, object run) =>
        (await (await page.Context.APIRequest.GetAsync($"/api/v1/machines/{serial}/runs/{run}")).JsonAsync())!.Value.GetProperty("readings").EnumerateArray()
            .Select(r => (r.GetProperty("place").GetString()!, r.GetProperty("typed").GetString()!)).Order();

    private static async Task Aged(IPage page, string sheet) => await page.EvaluateAsync(
        """
        async (sheet) => {
          const cache = await caches.open('buildtrack-sheets');
          const kept = await cache.match(sheet);
          const text = (await kept.text()).replace(/data-at="\d+"/, `data-at="${(Date.now() - 10.1 * 86400000) * 1000}"`);
          await cache.put(sheet, new Response(text, { headers: kept.headers }));
        }
        """,
        sheet);

    private static async Task SignsIn(IPage page, string person)
    {
        await page.GotoAsync($"/sign-in?as={person}");
        await page.ClickAsync(".act--next");
        await DemoServer.Reached(page, new Regex("://[^/]+/$"));
    }

    [GeneratedRegex(@"/runs/(\d+)")]
    private static partial Regex RunNumber();
}
