using System.Text.RegularExpressions;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Codes;
using Microsoft.Playwright;
using static BuildTrack.Browser.Tests.Scanner;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>A scanner that types a character a millisecond, on sheets of all sorts; and beside a gauge on the measuring sheet.</summary>
public sealed partial class ScanTests(DemoServer server) : IClassFixture<DemoServer>
{
    private const string Machine = "OV1212-0089";

    [Fact]
    public async Task Whatever_is_scanned_outside_a_field_leads_to_its_sheet()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await server.SignIn("renna.tallworth");
        foreach (var (from, text, ended, expected) in new[]
        {
            ("/machines", PaperCode.OfStep(Machine, 160).Text, "Enter", $"/machines/{Machine}/step/160"), ("/instruments", PaperCode.OfMachine(Machine).Text, "Tab", $"/machines/{Machine}"),
            ($"/machines/{Machine}", PaperCode.OfInstrument("TRK-01").Text, "Enter", "/instruments/TRK-01"), ("/history", Machine, "Enter", $"/machines/{Machine}"),
        })
        {
            await page.GotoAsync(from);
            await Scan(page, text, ended);
            await DemoServer.Reached(page, server.Address + expected);
        }

        // The button that has the focus is not pressed by the Enter of a scan.
        await page.GotoAsync("/sign-out");
        await page.FocusAsync("button.act--next");
        await Scan(page, PaperCode.OfMachine(Machine).Text);
        await DemoServer.Reached(page, $"{server.Address}/machines/{Machine}");

        // In a field the text stays in the field; Find reads it.
        await page.GotoAsync("/find");
        await Expect(page.Locator("input[name='Text'], input[name='text']")).ToBeFocusedAsync();
        await Scan(page, PaperCode.OfInstrument("TRK-01").Text);
        await DemoServer.Reached(page, $"{server.Address}/instruments/TRK-01");

        await page.GotoAsync($"/machines/{Machine}/step/160");
        await Scan(page, PaperCode.OfStep("OV1530-0417", 100).Text);
        await Expect(page.Locator("h1")).ToHaveTextAsync("Wrong machine scanned");
        await page.ClickAsync(".act--next");
        await DemoServer.Reached(page, $"{server.Address}/machines/{Machine}/step/160");

        await page.GotoAsync($"/machines/{Machine}/as-built");
        if (await page.Locator("[data-scan]").CountAsync() > 0)
        {
            await page.EvaluateAsync("() => document.activeElement.blur()");
            await Scan(page, PaperCode.OfInstrument("TRK-01").Text);
            await Expect(page.Locator(".lead")).ToContainTextAsync("here a component is asked");
        }
    }

    [Fact]
    public async Task Fingers_are_not_taken_for_a_scanner()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await server.SignIn("renna.tallworth");
        await page.GotoAsync("/machines");
        await page.Keyboard.TypeAsync("TRK-01", new KeyboardTypeOptions { Delay = 120 });
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForTimeoutAsync(500);
        Assert.EndsWith("/machines", page.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task On_the_measuring_sheet_a_gauge_keeps_every_character_and_a_code_leads_to_its_station()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await server.SignIn("renna.tallworth", 820, 1180);
        await page.GotoAsync($"/machines/{Machine}/step/160?survey=rail-along&feature=R1");
        await page.SelectOptionAsync("[name='Begin.Instruments']", "LVL-02");
        await page.FillAsync("[name='Begin.Checks']", "turned over, the same within 1");
        await page.SelectOptionAsync("[name='Begin.Direction']", "Outward");
        await page.ClickAsync("#begin .act--next");
        await DemoServer.Reached(page, Station());
        await DemoServer.Listens(page);
        var sheet = page.Url;

        // Half a code, and single letters, never reach the value; digits all do.
        await Half(page, "BT:P:");
        await Expect(page.Locator(".told--scan")).ToContainTextAsync("not read to its end");
        await Expect(page.Locator("[data-value]")).ToHaveValueAsync("");
        await Half(page, "B1");
        await Expect(page.Locator("[data-value]")).ToHaveValueAsync("B1");
        await page.Keyboard.PressAsync("Backspace");
        await page.Keyboard.PressAsync("Backspace");

        // Three values of a gauge, a millisecond between all characters.
        foreach (var (value, ended) in new[] { ("+0009.250000", "Enter"), ("-0007.125000", "Tab"), ("+0011.500000", "Enter") })
        {
            await Scan(page, value, ended);
        }

        await Here(page, "R1-04 → R1-05");
        await Expect(page.Locator(".readings tbody tr")).ToHaveCountAsync(3);
        await Expect(page.Locator(".readings tbody")).ToContainTextAsync("+0009.250000");

        // A value typed and not recorded is not left behind.
        await page.Keyboard.TypeAsync("12");
        await Scan(page, PaperCode.OfStation(Machine, new Station("R1-06", 1250, 0)).Text);
        await Expect(page.Locator(".told--scan")).ToContainTextAsync("not recorded");
        await Expect(page.Locator("[data-value]")).ToHaveValueAsync("12");
        await page.Keyboard.PressAsync("Backspace");
        await page.Keyboard.PressAsync("Backspace");

        await Scan(page, PaperCode.OfStation(Machine, new Station("R1-06", 1250, 0)).Text);
        await Here(page, "R1-06 → R1-07");
        await Expect(page.Locator("[data-value]")).ToHaveValueAsync("");
        await Scan(page, "+0010.000000");
        await Expect(page.Locator(".readings tbody")).ToContainTextAsync("+0010.000000");

        // Another machine's code asks before it leaves; this one's machine code leads to its record.
        await Scan(page, PaperCode.OfMachine("OV1530-0417").Text);
        await Expect(page.Locator("h1")).ToHaveTextAsync("Wrong machine scanned");
        await page.ClickAsync(".act--next");
        await DemoServer.Reached(page, new Regex(Regex.Escape(new Uri(sheet).AbsolutePath)));
        await Expect(page.Locator(".readings tbody tr")).ToHaveCountAsync(3);
    }

    [Fact]
    public async Task At_an_enrolled_tablet_the_next_person_takes_over_by_PIN_and_by_badge_on_the_same_sheet()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await server.SignIn("odo.fenn");
        await page.GotoAsync("/tablets");
        await page.FillAsync("[name=TabletName]", "Bay 2, north");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".told")).ToContainTextAsync("enrolled as Bay 2, north");
        await page.GotoAsync("/people/renna.tallworth/badge");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".label .qr")).ToBeVisibleAsync();
        var squares = (await page.Locator(".label .qr path").GetAttributeAsync("d"))!;

        await page.GotoAsync("/sign-in?as=jorin.pell");
        await page.ClickAsync("form:not([data-badge]):has([name=Password]) button");
        await Expect(page.Locator(".tb-person")).ToContainTextAsync("Jorin Pell");
        await page.GotoAsync("/pin");
        await page.FillAsync("[name=Pin]", "740295");
        await page.FillAsync("[name=Again]", "740295");
        await page.FillAsync("[name=Password]", "ostrel-vale-demo");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".told")).ToContainTextAsync("The PIN is set");

        // The badge is scanned on any sheet, a millisecond a character: the person changes, the sheet stays.
        await page.GotoAsync("/machines/OV2661-0031/step/100?survey=pad-thickness");
        await Scan(page, PrintedCode.Of(squares));
        await Expect(page.Locator(".tb-person dd")).ToHaveTextAsync("Renna Tallworth");
        await Expect(page.Locator(".tb-person dt")).ToContainTextAsync("by PIN");
        Assert.EndsWith("/machines/OV2661-0031/step/100?survey=pad-thickness", page.Url, StringComparison.Ordinal);

        await page.ClickAsync(".tb-next");
        await page.ClickAsync("label:has([value='jorin.pell'])");
        await page.FillAsync("[name=Pin]", "111222");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".told--refused")).ToContainTextAsync("4 more attempts");
        await page.FillAsync("[name=Pin]", "740295");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".tb-person dd")).ToHaveTextAsync("Jorin Pell");
        await Expect(page.Locator(".tb-person dt")).ToContainTextAsync("by PIN");
        Assert.EndsWith("/machines/OV2661-0031/step/100?survey=pad-thickness", page.Url, StringComparison.Ordinal);
    }

    private static async Task Here(IPage page, string place) => await Expect(page.Locator(".measuring h1")).ToHaveTextAsync(place);

    [GeneratedRegex("/runs/[0-9]+/station$")]
    private static partial Regex Station();
}
