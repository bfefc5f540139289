using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>A run measured one place at a time, on a tablet: by touches on the keypad, by hand, by a gauge that types, and without script.</summary>
public sealed partial class MeasuringSheetTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    private const string Machine = "OV1212-0089";

    /// <summary>Keys smaller than a gloved thumb, or nearer to each other; 96 px and 12 px: trade notes on gloves, 20 mm keys.</summary>
    private const string CloseKeys = """
        () => {
            const keys = [...document.querySelectorAll('.keypad .key')].map(k => [k.textContent.trim(), k.getBoundingClientRect()]);
            const apart = (a, b) => Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);
            return [
                ...keys.filter(([, r]) => r.width < 95.5 || r.height < 95.5).map(([t, r]) => `${t} is ${Math.round(r.width)} by ${Math.round(r.height)} px`),
                ...keys.flatMap(([t, r], i) => keys.slice(i + 1).filter(([, o]) => apart(r, o) < 11.5).map(([u]) => `${t} and ${u} are too near`)),
            ];
        }
        """;

    [Fact]
    public async Task A_run_is_measured_by_touch_by_hand_and_by_gauge_and_a_slip_is_taken_back()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth", 820, 1180);
        await Begin(renna, 160, "rail-along", "R1");
        await Here(renna, "R1-01 → R1-02");
        await Expect(renna.Locator(".place")).ToContainTextAsync("rail R1, master, 0 to 250 mm");
        await Expect(renna.Locator(".place .count")).ToHaveTextAsync("1 of 7, next: R1-02 → R1-03, 250 to 500 mm");

        await Touch(renna, "1", "2", "8", "rub", "−", ",", "5");
        await Expect(renna.Locator("[data-value]")).ToHaveValueAsync("−12,5");
        await renna.ClickAsync("[data-record-key]");
        await Here(renna, "R1-02 → R1-03");
        await Typed(renna, "8.5", "Enter");
        await Here(renna, "R1-03 → R1-04");

        // One touch takes the last one back.
        await renna.ClickAsync(".take-back button");
        await Here(renna, "R1-02 → R1-03");
        await Expect(renna.Locator(".took-back")).ToContainTextAsync("R1-02 → R1-03: 8.5 is taken back");
        await Expect(renna.Locator(".readings tbody tr")).ToHaveCountAsync(1);

        // A gauge does not wait for the answer: twelve characters at a millisecond each, and the next value at once.
        var gauge = new[] { ("+0009.250000", "Enter"), ("-0007.125000", "Tab"), ("+0011.500000", "Enter") };
        foreach (var (value, ended) in gauge)
        {
            await renna.Keyboard.TypeAsync(value, new KeyboardTypeOptions { Delay = 1 });
            await renna.Keyboard.PressAsync(ended);
        }

        await Here(renna, "R1-05 → R1-06");

        // A slip of two digits is asked about, and one key records it all the same; a touch takes it back.
        await Typed(renna, "412", "Enter");
        await Expect(renna.Locator(".asked")).ToContainTextAsync("R1-05 → R1-06 reads 412, its neighbours +0011.500000 and −0007.125000.");
        await renna.Keyboard.PressAsync("Enter");
        await Here(renna, "R1-06 → R1-07");
        await renna.ClickAsync(".take-back button");
        await Here(renna, "R1-05 → R1-06");

        // Asked again, and read anew: what is typed then takes its place.
        await Typed(renna, "412", "Enter");
        await Expect(renna.Locator("[data-question]")).ToBeVisibleAsync();
        await Typed(renna, "4,12", "Enter");
        await Here(renna, "R1-06 → R1-07");
        await Typed(renna, "1.2.3", "Enter");
        await Expect(renna.Locator(".told--refused")).ToContainTextAsync("one decimal sign");
        await Typed(renna, "3", "Enter");
        await Here(renna, "R1-07 → R1-08");
        await Expect(renna.Locator(".place .count")).ToHaveTextAsync("7 of 7, the last");
        await Typed(renna, "-2", "Enter");
        await Here(renna, "All 7 places are done");
        await Expect(renna.Locator(".finish")).ToContainTextAsync("That was pass 1 of 2; the next one is back.");

        var sheet = renna.Url;
        await renna.ClickAsync(".ways-on .row-link");
        await Expect(renna.Locator(".grid tbody td")).ToHaveTextAsync(Values("−12,5", "+0009.250000", "-0007.125000", "+0011.500000", "4,12", "3", "-2"));
        await Expect(renna.Locator(".closing")).ToContainTextAsync("asked and confirmed: R1-05 → R1-06 reads 412");
        await renna.GotoAsync(sheet);
        await renna.GetByRole(AriaRole.Button, new() { Name = "Finish and calculate" }).ClickAsync();
        await DemoServer.Reached(renna, Results());

        // On the way back the last place comes first, and the outward reading is shown once its own is recorded.
        await Begin(renna, 160, "rail-along", "R1", "Back");
        await Here(renna, "R1-07 → R1-08");
        await Expect(renna.Locator(".place .count")).ToContainTextAsync("1 of 7, next: R1-06 → R1-07");
        await Expect(renna.Locator(".measuring")).Not.ToContainTextAsync("Outward");
        await Typed(renna, "-3.5", "Enter");
        await Here(renna, "R1-06 → R1-07");
        await Expect(renna.Locator(".readings tbody tr td")).ToHaveTextAsync(["−3.5 µm/m", "−2 µm/m", "−1.5 µm/m"]);
        await Typed(renna, "-3", "Enter");
        await Here(renna, "R1-05 → R1-06");
    }

    [Fact]
    public async Task Three_readings_of_one_place_go_together_and_the_sheet_fits_every_window()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth", 1024, 768);
        await renna.GotoAsync("/machines/OV2040-0203/step/110?survey=film");
        await renna.FillAsync("[name='Begin.Checks']", "zero and foil, in order");
        await renna.ClickAsync("#begin .act--next");
        await Here(renna, "P1");
        await DemoServer.Listens(renna);
        foreach (var value in new[] { "71", "69.5", "70" })
        {
            await Typed(renna, value, "Enter");
        }

        await Here(renna, "P2");
        await Expect(renna.Locator(".readings tbody th")).ToHaveTextAsync(["P1 First", "P1 Second", "P1 Third"]);
        await renna.ClickAsync(".take-back button");
        await Here(renna, "P1");
        await Expect(renna.Locator(".readings")).ToHaveCountAsync(0);

        var faults = new List<string>();
        foreach (var (width, height) in new[] { (820, 1180), (1024, 768), (1440, 900), (390, 844) })
        {
            await renna.SetViewportSizeAsync(width, height);
            faults.AddRange((await renna.EvaluateAsync<string[]>(CloseKeys)).Concat(await renna.EvaluateAsync<string[]>(SheetLook.SmallTargets)).Select(f => $"{width}: {f}"));
            if (await renna.EvaluateAsync<int>("() => document.documentElement.scrollWidth - innerWidth") is > 0 and var over)
            {
                faults.Add($"{over} px wider than {width}");
            }

            if (await renna.Locator(".act--next:visible, .key--next:visible").CountAsync() is not 1 and var filled)
            {
                faults.Add($"{filled} filled acts at {width}");
            }
        }

        Assert.Empty(faults);

        // The last field stands far below what is wrong with the first: the answer comes into view.
        await renna.SetViewportSizeAsync(1024, 500);
        foreach (var value in new[] { "71x", "69", "70" })
        {
            await Typed(renna, value, "Enter");
        }

        await Expect(renna.Locator(".told--refused")).ToContainTextAsync("'71x'");
        await Expect(renna.Locator(".told--refused")).ToBeInViewportAsync();
        await Expect(renna.Locator("[data-value]").Nth(1)).ToHaveValueAsync("69");
    }

    [Fact]
    public async Task Without_script_every_place_is_a_form_and_a_question_a_button()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth", 820, 1180, script: false);
        await Begin(renna, 160, "rail-along", "R2", script: false);
        await Here(renna, "R2-01 → R2-02");
        await Typed(renna, "12", "Enter");
        await Here(renna, "R2-02 → R2-03");
        await renna.FillAsync("[data-value]", "−8,5");
        await renna.ClickAsync("[data-record-key]");
        await Here(renna, "R2-03 → R2-04");
        await Typed(renna, "120", "Enter");
        await Expect(renna.Locator(".asked")).ToContainTextAsync("R2-03 → R2-04 reads 120, its neighbours −8,5 and 12.");
        await renna.ClickAsync(".asked button");
        await Here(renna, "R2-04 → R2-05");
        await renna.ClickAsync(".take-back button");
        await Here(renna, "R2-03 → R2-04");

        await renna.GotoAsync($"/machines/{Machine}/step/160?survey=h5-list");
        await renna.ClickAsync("#begin .act--next");
        await Expect(renna.Locator(".place .count")).ToContainTextAsync("1 of 3");
        for (var question = 0; question < 3; question++)
        {
            await renna.ClickAsync(".answers button[value=yes]");
        }

        await Here(renna, "All 3 questions are answered");
        await renna.GetByRole(AriaRole.Button, new() { Name = "Finish and calculate" }).ClickAsync();
        await DemoServer.Reached(renna, Results());
    }

    private static async Task Begin(IPage page, int step, string survey, string feature, string direction = "Outward", bool script = true)
    {
        await page.GotoAsync($"/machines/{Machine}/step/{step}?survey={survey}&feature={feature}");
        await page.SelectOptionAsync("[name='Begin.Instruments']", "LVL-02");
        await page.FillAsync("[name='Begin.Checks']", "turned over, the same within 1");
        await page.SelectOptionAsync("[name='Begin.Direction']", direction);
        await page.ClickAsync("#begin .act--next");
        await DemoServer.Reached(page, Station());
        if (script)
        {
            await DemoServer.Listens(page);
        }
    }

    private static async Task Here(IPage page, string place) => await Expect(page.Locator(".measuring h1")).ToHaveTextAsync(place);

    private static async Task Touch(IPage page, params string[] keys)
    {
        foreach (var key in keys)
        {
            await page.ClickAsync($"[data-key='{key}']");
        }
    }

    /// <summary>Typed on the keys of a keyboard, wherever the sheet listens.</summary>
    private static async Task Typed(IPage page, string value, string ended)
    {
        await page.Keyboard.TypeAsync(value);
        await page.Keyboard.PressAsync(ended);
    }

    // What stands in a cell begins with the value; the link to correct it follows.
    private static Regex[] Values(params string[] values) => [.. values.Select(v => new Regex($@"^\s*{Regex.Escape(v)}\s*(correct)?\s*$"))];

    [GeneratedRegex("/runs/[0-9]+/station$")]
    private static partial Regex Station();

    [GeneratedRegex("/results/")]
    private static partial Regex Results();
}
