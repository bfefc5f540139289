using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Measuring where the network goes: nothing is lost, nothing is doubled, nothing is signed, and the tablet calculates what the server does.</summary>
public sealed partial class WithoutNetworkTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    internal const string Bed = "OV1530-0416";
    private const string Rails = "OV1212-0089";

    // In every build twenty; a nightly run asks for a hundred.
    private static readonly int Kills = int.TryParse(Environment.GetEnvironmentVariable("BUILDTRACK_KILLS"), CultureInfo.InvariantCulture, out var wanted) ? wanted : 20;

    private static LocatorAssertionsToHaveTextOptions Patient { get; } = new() { Timeout = 60_000 };

    [Fact]
    public async Task Readings_go_on_without_network_are_met_as_on_line_and_stand_in_the_record_once_and_in_order()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var sheet = await BeginRail(renna, "R2");
        await Take(renna, "R2-01 → R2-02", "12");
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("1 recorded here, all confirmed");
        await CalculationsAreThere(renna);

        await renna.Context.SetOfflineAsync(true);
        await Take(renna, "R2-02 → R2-03", "11,5");
        await Expect(renna.Locator(".alone")).ToContainTextAsync("1 reading is on this device");
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("1 on this device, 1 confirmed");
        await Take(renna, "R2-03 → R2-04", "1.2.3", moves: false);
        await Expect(renna.Locator(".told--refused")).ToContainTextAsync("expected one decimal sign");
        await renna.FillAsync("[data-value]", "");
        await Take(renna, "R2-03 → R2-04", "10");
        await Take(renna, "R2-04 → R2-05", "999", moves: false);
        await Expect(renna.Locator("[data-question]")).ToContainTextAsync("R2-04 → R2-05 reads 999, its neighbours 10 and 11,5");
        await renna.Keyboard.TypeAsync("9");
        await renna.Keyboard.PressAsync("Enter");
        await At(renna, "R2-05 → R2-06");
        await renna.ClickAsync("[data-take-back]");
        await At(renna, "R2-04 → R2-05");

        // The page goes and comes: what is kept is still there, and so is the sheet.
        await renna.ReloadAsync();
        await Expect(renna.Locator(".alone")).ToContainTextAsync("2 readings are on this device", new() { Timeout = 60_000 });
        foreach (var (place, value) in new[] { ("R2-04 → R2-05", "8"), ("R2-05 → R2-06", "7"), ("R2-06 → R2-07", "6"), ("R2-07 → R2-08", "5") })
        {
            await Take(renna, place, value);
        }

        await Expect(renna.Locator(".finish h1")).ToHaveTextAsync("All 7 places are read");
        await Expect(renna.Locator(".provisional caption")).ToContainTextAsync("the record decides", new() { Timeout = 60_000 });

        // Finished without network and thought better of: the run stays open.
        await renna.ClickAsync("[data-finish='yes']");
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("6 on this device, 1 confirmed, the end of the run on this device");
        await Expect(renna.Locator("[data-take-back]")).ToHaveCountAsync(0);
        await renna.ClickAsync("[data-finish='no']");
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync("6 on this device, 1 confirmed");

        // Two servers' worth of trouble: the request arrives and its answer does not; the key lets it act once.
        var lost = 0;
        await renna.Context.RouteAsync("**/api/v1/**/readings", async route =>
        {
            if (lost++ % 2 == 0)
            {
                await route.FetchAsync();
                await route.AbortAsync();
            }
            else
            {
                await route.ContinueAsync();
            }
        });
        await renna.Context.SetOfflineAsync(false);
        await Expect(renna.Locator(".finish h1")).ToHaveTextAsync("All 7 places are done", Patient);
        await Expect(renna.Locator(".kept-line")).ToContainTextAsync("all confirmed");
        Assert.True(lost > 8);

        await renna.GotoAsync(sheet.Replace("/station", "", StringComparison.Ordinal));
        await Expect(renna.Locator(".grid tbody td")).ToContainTextAsync(["12", "11,5", "10", "8", "7", "6", "5"]);
        await Expect(renna.Locator(".closing")).ToContainTextAsync("taken back");
    }

    /// <summary>The third of the readings that wait arrives, and the server dies before its answer leaves.</summary>
    [Fact]
    public async Task What_waits_is_sent_once_and_in_order_and_the_run_finished_also_when_the_server_dies_in_the_middle_of_it()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var sheet = await BeginRail(renna, "R1", "rail-side", "AC-01");
        await CalculationsAreThere(renna);
        await renna.Context.SetOfflineAsync(true);
        List<string> typed = [];
        while (await renna.Locator(".finish").CountAsync() == 0)
        {
            typed.Add($"0.{typed.Count + 1}");
            await Take(renna, await renna.Locator(".measuring h1").TextContentAsync() ?? "", typed[^1]);
        }

        // A glove touches twice: that finishes once, and does not take it back.
        await renna.DblClickAsync("[data-finish='yes']");
        await Expect(renna.Locator(".alone")).ToContainTextAsync("Then the run is finished.");
        Assert.Equal(1, await renna.EvaluateAsync<int>("async () => (await (await import('/js/kept.js')).all()).filter((e) => e.finish).length"));
        await Expect(renna.Locator(".provisional tbody tr").First).ToBeVisibleAsync();
        Assert.Empty(await SheetLook.Faults(renna));
        await SheetLook.Restore(renna);
        var (sent, dead) = (0, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously));
        await renna.Context.RouteAsync("**/api/v1/**/readings", async route =>
        {
            if (Interlocked.Increment(ref sent) != 3)
            {
                await route.ContinueAsync();
                return;
            }

            await route.FetchAsync();
            await Server.Kill();
            await route.AbortAsync();
            dead.SetResult();
        });
        await renna.Context.SetOfflineAsync(false);
        await dead.Task.WaitAsync(TimeSpan.FromMinutes(1));
        await Expect(renna.Locator(".kept-line")).ToHaveTextAsync($"{typed.Count - 2} on this device, 2 confirmed, the end of the run on this device");
        await Server.StartAgain();

        // All of it is sent, the run is finished by what was pressed without network, and its sheet shows that.
        await DemoServer.Reached(renna, new Regex("/results/160-[0-9]+$"));
        await renna.GotoAsync(sheet.Replace("/station", "", StringComparison.Ordinal));
        await Expect(renna.Locator("main dd", new() { HasText = ", finished " })).ToBeVisibleAsync();
        await Expect(renna.Locator(".grid tbody td")).ToContainTextAsync(typed);
    }

    [Fact]
    public async Task A_place_filled_from_elsewhere_shows_both_values_and_a_person_chooses()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var (here, there) = (await Server.SignIn("renna.tallworth"), await Server.SignIn("renna.tallworth"));
        var sheet = await BeginRail(here, "R1");
        await CalculationsAreThere(here);
        await here.Context.SetOfflineAsync(true);
        await Take(here, "R1-01 → R1-02", "5");
        await Take(here, "R1-02 → R1-03", "6");
        await there.GotoAsync(sheet);
        await Take(there, "R1-01 → R1-02", "7");

        await here.Context.SetOfflineAsync(false);
        await Expect(here.Locator("[data-trouble]")).ToContainTextAsync("R1-01 → R1-02: this device has 5, and 7 was recorded from elsewhere meanwhile", new() { Timeout = 30_000 });
        await here.ClickAsync("[data-settle=mine]");
        await Expect(here.Locator(".kept-line")).ToContainTextAsync("all confirmed", new() { Timeout = 30_000 });
        await here.GotoAsync(sheet.Replace("/station", "", StringComparison.Ordinal));
        await Expect(here.Locator(".grid tbody td").First).ToHaveTextAsync(new Regex(@"^\s*7\s+5\s"));
        await Expect(here.Locator(".closing tbody tr").First).ToContainTextAsync("the person chose between the two");

        // What was kept is sent from the sheet of a place chosen out of turn, and leaves the person there.
        await here.GotoAsync(sheet);
        await DemoServer.Listens(here);
        await here.Context.RouteAsync("**/runs/*/**", route => route.Request.Method == "POST" && !here.Url.Contains("?at=", StringComparison.Ordinal) ? route.AbortAsync() : route.ContinueAsync());
        await Take(here, "R1-03 → R1-04", "8");
        await Expect(here.Locator(".kept-line")).ToContainTextAsync("1 on this device");
        await here.GotoAsync($"{sheet}?at={Uri.EscapeDataString("R1-06→R1-07")}");
        await Expect(here.Locator(".kept-line")).ToContainTextAsync("all confirmed", new() { Timeout = 30_000 });
        await Expect(here.Locator(".readings tbody")).ToContainTextAsync("R1-03 → R1-04");
        await At(here, "R1-06 → R1-07");
    }

    [Fact]
    public async Task Nothing_is_signed_without_network_and_signing_out_with_unsent_readings_is_asked_about()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var maren = await Server.SignIn("maren.ostley");
        await Controlled(maren);
        await maren.GotoAsync("/machines/OV1530-0417/release/H1");
        await maren.FillAsync("#password", "ostrel-vale-demo");
        await maren.Context.SetOfflineAsync(true);
        await maren.GetByRole(AriaRole.Button, new() { Name = "Release", Exact = true }).ClickAsync();
        await Expect(maren.Locator("[role=alert]")).ToContainTextAsync("Nothing was signed.");
        await maren.Context.SetOfflineAsync(false);
        await maren.GotoAsync("/machines/OV1530-0417");
        await Expect(maren.Locator("body")).Not.ToContainTextAsync("H1 released");

        var jorin = await Server.SignIn("jorin.pell");
        await jorin.GotoAsync("/machines/OV2040-0203/step/110?survey=film");
        await jorin.FillAsync("[name='Begin.Checks']", "zero and foil, in order");
        await jorin.ClickAsync("#begin .act--next");
        await CalculationsAreThere(jorin);
        await jorin.Context.SetOfflineAsync(true);
        foreach (var value in new[] { "71", "70", "69" })
        {
            await jorin.Keyboard.TypeAsync(value);
            await jorin.Keyboard.PressAsync("Enter");
        }

        await At(jorin, "P2");
        await jorin.Context.RouteAsync("**/api/**", route => route.AbortAsync());
        await jorin.Context.SetOfflineAsync(false);
        await jorin.GotoAsync("/sign-out");

        // The sheet knows what waits by now; before its script has come, it is a plain form.
        await Expect(jorin.Locator(".waiting-strip")).ToContainTextAsync("Only on this device: 1 reading(s)");
        await jorin.ClickAsync("[data-sign-out] button");
        await Expect(jorin.Locator(".told--refused")).ToContainTextAsync("Only on this device: 1 reading(s). It stays here");
        await jorin.ClickAsync("[data-sign-out] button");
        await DemoServer.Reached(jorin, Server.Address + "/sign-in");

        // Somebody else does not send them; who read them does.
        await jorin.Context.UnrouteAllAsync();
        await SignsIn(jorin, "bexley.orme");
        await Expect(jorin.Locator(".waiting-strip")).ToContainTextAsync("when the person who read it is signed in", new() { Timeout = 30_000 });
        await SignsIn(jorin, "jorin.pell");
        await Expect(jorin.Locator(".waiting-strip")).ToContainTextAsync("is in the record now: 1 reading(s)", new() { Timeout = 30_000 });
    }

    /// <summary>The browser's processes are killed in the middle of the work, with and without network; what the sheet had moved on from is there every time.</summary>
    [Fact]
    public async Task A_browser_that_is_killed_again_and_again_loses_nothing_it_had_moved_on_from()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var seed = 20261128;
        var random = new Random(seed);
        var disk = Directory.CreateTempSubdirectory("buildtrack-tablet-").FullName;
        var heights = (await File.ReadAllLinesAsync(DemoServer.DemoFile("OV1530-0417-bed-heights.csv"))).Skip(1).Select(l => l.Split(',')).ToDictionary(l => l[0], l => l[1]);
        var moved = new Dictionary<string, string>();
        var tablet = await Server.Tablet(disk);
        var page = tablet.Pages[0];
        await SignsIn(page, "renna.tallworth");
        var sheet = await BeginBed(page);
        await CalculationsAreThere(page);
        for (var kill = 0; kill < Kills; kill++)
        {
            await tablet.SetOfflineAsync(kill % 3 != 0);
            for (var n = random.Next(1, 3); n > 0 && await page.Locator("[data-value]").CountAsync() > 0; n--)
            {
                var place = await page.Locator(".measuring h1").TextContentAsync() ?? "";
                await page.Keyboard.TypeAsync(heights[place]);
                await page.Keyboard.PressAsync("Enter");
                if (n > 1 || random.Next(2) == 0)
                {
                    await Expect(page.Locator(".measuring h1")).Not.ToHaveTextAsync(place, new() { Timeout = 30_000 });
                    moved[place] = heights[place];
                }
            }

            await Task.Delay(random.Next(0, 120));
            KillProcessesOf(disk);
            await Closed(tablet);
            tablet = await Server.Tablet(disk);
            page = tablet.Pages[0];
            if (kill % 2 == 0)
            {
                await SignsIn(page, "renna.tallworth");
            }
            else
            {
                await tablet.SetOfflineAsync(true);
            }

            await page.GotoAsync(sheet);
            await Expect(page.Locator(".kept-line")).ToBeAttachedAsync(new() { Timeout = 60_000 });
        }

        await tablet.SetOfflineAsync(false);
        await SignsIn(page, "renna.tallworth");
        await page.GotoAsync(sheet);
        var left = await page.EvaluateAsync<string>(
            """
            async () => {
              const { all, waits } = await import('/js/kept.js');
              for (let n = 0; n < 600 && (await all()).some(waits); n += 1) await new Promise((r) => { setTimeout(r, 100); });
              return JSON.stringify((await all()).filter(waits));
            }
            """);
        Assert.True(left == "[]", $"these are still on the tablet (seed {seed}): {left}");
        var (serial, run) = (Bed, Regex.Match(sheet, @"runs/(\d+)").Groups[1].Value);
        var standing = (await (await tablet.APIRequest.GetAsync($"/api/v1/machines/{serial}/runs/{run}")).JsonAsync())!.Value.GetProperty("readings").EnumerateArray()
            .ToLookup(r => r.GetProperty("place").GetString()!, r => r.GetProperty("typed").GetString()!);
        Assert.All(moved, m => Assert.True(standing[m.Key].SequenceEqual([m.Value]), $"{m.Key} was left with {m.Value} and holds {string.Join(" and ", standing[m.Key])} (seed {seed})"));
        Assert.True(moved.Count >= Kills / 2, $"only {moved.Count} places were left");
        await tablet.CloseAsync();
        Directory.Delete(disk, recursive: true);
    }

    /// <summary>The sheet is shown from this device from now on.</summary>
    internal static Task Controlled(IPage page) => page.EvaluateAsync("() => navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller ?? new Promise((done) => { navigator.serviceWorker.oncontrollerchange = done; }))");

    /// <summary>Every place was taken along, and the calculations answer.</summary>
    internal static async Task CalculationsAreThere(IPage page)
    {
        await Controlled(page);
        await page.EvaluateAsync(
            """
            async () => {
              const { takenRun } = await import('/js/kept.js');
              const run = Number(document.querySelector('[data-sheet-of-run]').dataset.sheetOfRun);
              for (let n = 0; !(await takenRun(run)); n += 1) { if (n > 600) throw new Error('not taken along in a minute'); await new Promise((r) => { setTimeout(r, 100); }); }
              const provisional = await import('/js/provisional.js');
              for (let n = 0; (await provisional.calculate([])) === null; n += 1) { if (n > 600) throw new Error('no calculations in two minutes'); await new Promise((r) => { setTimeout(r, 200); }); }
            }
            """);
    }

    internal static async Task<string> BeginBed(IPage page)
    {
        await page.GotoAsync($"/machines/{Bed}/step/100?survey=bed-heights");
        await FillBed(page, "20.2", "20.1");
        await DemoServer.Reached(page, Station());
        await DemoServer.Listens(page);
        return new Uri(page.Url).AbsolutePath;
    }

    /// <summary>Fills the form that begins a run of heights, with the same temperatures at all places, and sends it.</summary>
    internal static async Task FillBed(IPage page, string top, string bottom)
    {
        await page.SelectOptionAsync("[name='Begin.Instruments']", "TRK-01");
        await page.FillAsync("[name='Begin.Checks']", "looked at, in order");
        foreach (var (name, value) in new[] { ("Top", top), ("Bottom", bottom) })
        {
            foreach (var field in await page.Locator($"[name='Begin.{name}']").AllAsync())
            {
                await field.FillAsync(value);
            }
        }

        await page.ClickAsync("#begin .act--next");
    }

    internal static async Task<string> BeginRail(IPage page, string rail, string survey = "rail-along", string instrument = "LVL-02")
    {
        await page.GotoAsync($"/machines/{Rails}/step/160?survey={survey}&feature={rail}");
        await page.SelectOptionAsync("[name='Begin.Instruments']", instrument);
        await page.FillAsync("[name='Begin.Checks']", "turned over, the same within 1");
        await page.SelectOptionAsync("[name='Begin.Direction']", "Outward");
        await page.ClickAsync("#begin .act--next");
        await DemoServer.Reached(page, Station());
        await DemoServer.Listens(page);
        return new Uri(page.Url).AbsolutePath;
    }

    private static Task At(IPage page, string place) => Expect(page.Locator(".measuring h1")).ToHaveTextAsync(place, Patient);

    private static async Task Take(IPage page, string place, string value, bool moves = true)
    {
        await At(page, place);
        await page.Keyboard.TypeAsync(value);
        await page.Keyboard.PressAsync("Enter");
        if (moves)
        {
            await Expect(page.Locator(".measuring h1")).Not.ToHaveTextAsync(place, new() { Timeout = 60_000 });
        }
    }

    private static async Task SignsIn(IPage page, string person)
    {
        await page.GotoAsync($"/sign-in?as={person}");
        await page.ClickAsync(".act--next");
        await DemoServer.Reached(page, new Regex("://[^/]+/$"));
    }

    // As a battery does it: no page and no store is told.
    private static void KillProcessesOf(string disk)
    {
        foreach (var folder in Directory.EnumerateDirectories("/proc").Where(f => int.TryParse(Path.GetFileName(f), CultureInfo.InvariantCulture, out _)))
        {
            try
            {
                if (File.ReadAllText(Path.Combine(folder, "cmdline")).Contains(disk, StringComparison.Ordinal))
                {
                    Process.GetProcessById(int.Parse(Path.GetFileName(folder), CultureInfo.InvariantCulture)).Kill();
                }
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or InvalidOperationException)
            {
                // It ended by itself meanwhile.
            }
        }
    }

    private static async Task Closed(IBrowserContext tablet)
    {
        try
        {
            await tablet.CloseAsync();
        }
        catch (PlaywrightException)
        {
            // It is dead already.
        }
    }

    [GeneratedRegex("/station$")]
    private static partial Regex Station();
}
