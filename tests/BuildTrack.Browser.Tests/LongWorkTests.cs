using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Work that takes longer than a person waits: it shows how far it is, goes on when its sheet is left, and is cancelled.</summary>
public sealed class LongWorkTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    [Fact]
    public async Task The_check_of_the_whole_record_goes_on_when_its_sheet_is_left_and_is_cancelled_by_who_asked()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var (renna, jorin) = (await Server.SignIn("renna.tallworth"), await Server.SignIn("jorin.pell"));

        // Asked for, and left at once; somebody else sees it come to its end without touching anything.
        await renna.GotoAsync("/history");
        await renna.ClickAsync(".act--next");
        await Expect(renna.Locator("[data-long-work]")).ToBeVisibleAsync();
        await renna.GotoAsync("/");
        await jorin.GotoAsync("/history");
        await Expect(jorin.Locator(".told")).ToContainTextAsync("As it was written", new() { Timeout = 120_000 });
        await Expect(jorin.Locator(".told")).ToContainTextAsync("Asked for by Renna Tallworth");
        await Expect(jorin.Locator(".told")).ToContainTextAsync(new Regex("[0-9],[0-9]{3} readings, [0-9],[0-9]{3} calculations"));

        // Under way, looked at in all sizes: what it says of itself stands still meanwhile.
        await renna.RouteAsync("**/api/v1/history/checks/*", route => route.FulfillAsync(new()
        {
            ContentType = "application/json", Body = """{ "state": "underWay", "words": "Stage 3 of 5, calculations: 500 of 2,000.", "progress": { "total": 2000, "done": 500 } }""",
        }));
        await renna.GotoAsync("/history");
        await renna.ClickAsync(".act--next");
        await Expect(renna.Locator("[data-words]")).ToHaveTextAsync("Stage 3 of 5, calculations: 500 of 2,000.");
        Assert.Equal(new double[] { 500, 2000 }, await renna.Locator("progress").EvaluateAsync<double[]>("p => [p.value, p.max]"));
        await renna.ClickAsync("text=Cancel this check");
        await Expect(renna.Locator(".told").First).ToContainTextAsync(new Regex("is cancelled|has ended at"));

        await renna.ClickAsync(".act--next");
        await Expect(renna.Locator("[data-words]")).ToHaveTextAsync("Stage 3 of 5, calculations: 500 of 2,000.");
        Assert.Empty(await SheetLook.Faults(renna));
    }
}
