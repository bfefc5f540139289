using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>Two people at one tablet: the title block changes the person and comes back to the same sheet.</summary>
public sealed class NextPersonTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    [Fact]
    public async Task The_next_person_signs_in_on_the_same_sheet_and_a_wrong_password_changes_nothing()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await Server.SignIn("renna.tallworth", 820, 1180);
        await page.GotoAsync("/machines/OV2661-0031/step/100?survey=pad-thickness");
        await page.ClickAsync(".tb-next");
        await page.FillAsync("[name=Person]", "jorin.pell");
        await page.FillAsync("[name=Password]", "not the password");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".told--refused")).ToContainTextAsync("Renna Tallworth is still signed in");
        await page.FillAsync("[name=Person]", "jorin.pell");
        await page.FillAsync("[name=Password]", "ostrel-vale-demo");
        await page.ClickAsync(".act--next");
        await Expect(page.Locator(".tb-person")).ToContainTextAsync("Jorin Pell");
        Assert.EndsWith("/machines/OV2661-0031/step/100?survey=pad-thickness", page.Url, StringComparison.Ordinal);
    }
}
