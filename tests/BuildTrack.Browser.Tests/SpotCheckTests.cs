using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>An inspector looks at three places himself, on a tablet, and sees them beside the passes.</summary>
public sealed class SpotCheckTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    [Fact]
    public async Task Three_places_are_chosen_measured_and_compared()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var maren = await Server.SignIn("maren.ostley", 820, 1180);
        await maren.GotoAsync("/machines/OV1530-0417/step/100?survey=bed-along&feature=R2&spot=true#begin");
        foreach (var place in new[] { "R2-01→R2-02", "R2-05→R2-06", "R2-08→R2-09" })
        {
            await maren.CheckAsync($"[name='Begin.Places'][value='{place}']");
        }

        await maren.FillAsync("[name='Begin.Checks']", "turned over, same within 1");
        foreach (var field in await maren.Locator("[name='Begin.Top'], [name='Begin.Bottom']").AllAsync())
        {
            await field.FillAsync("20.2");
        }

        await maren.ClickAsync("#begin .act--next");
        await Expect(maren.Locator(".place .count")).ToHaveTextAsync("1 of 3, next: R2-05 → R2-06, 1\u2009000 to 1\u2009250 mm");
        await maren.ClickAsync(".ways-on .row-link");
        var fields = maren.Locator(".stations-form input[inputmode=decimal]");
        await Expect(fields).ToHaveCountAsync(3);
        for (var i = 0; i < 3; i++)
        {
            await fields.Nth(i).FillAsync("900");
        }

        await maren.GetByRole(Microsoft.Playwright.AriaRole.Button, new() { Name = "Record what is typed" }).ClickAsync();
        await maren.ClickAsync(".closing .act--next");
        await Expect(maren.Locator(".spot-check tbody tr")).ToHaveCountAsync(3);
        await Expect(maren.Locator(".spot-check")).ToContainTextAsync("measure again before release");
        await maren.GetByRole(Microsoft.Playwright.AriaRole.Link, new() { Name = "Runs side by side" }).ClickAsync();
        await Expect(maren.Locator(".raw-readings thead a").Last).ToBeVisibleAsync();
        await Expect(maren.Locator(".spot-check tbody th")).ToHaveTextAsync(["R2-01→R2-02", "R2-05→R2-06", "R2-08→R2-09"]);
        await maren.GotoAsync("/machines/OV1530-0417/release/H1");
        await Expect(maren.Locator(".spot-check")).ToContainTextAsync("decides nothing by itself");
        await Expect(maren.Locator(".sign .act--next")).ToBeEnabledAsync();
    }
}
