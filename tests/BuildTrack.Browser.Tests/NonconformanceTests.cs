using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>A nonconformance from the first tag to its closure, each act by who may; and an item of the punch list.</summary>
public sealed class NonconformanceTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    [Fact]
    public async Task Something_seen_is_raised_contained_reworked_verified_and_closed()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var (renna, maren, dov) = (await Server.SignIn("renna.tallworth", 820, 1180), await Server.SignIn("maren.ostley"), await Server.SignIn("dov.harrickson"));
        await renna.GotoAsync("/machines/OV1530-0417/nonconformances");
        await renna.FillAsync("[name='Form.Required']", "no weld spatter on the pads");
        await renna.FillAsync("[name='Form.Origin']", "company standard");
        await renna.FillAsync("[name='Form.Found']", "spatter on pad R1-07");
        await renna.CheckAsync("[name='Form.Severity'][value=Minor]");
        await renna.ClickAsync(".act--next");
        await Expect(renna.Locator("h1")).ToHaveTextAsync("NCR-0044: raised");
        var sheet = new Uri(renna.Url).AbsolutePath;

        await renna.FillAsync("[name='Form.Tag']", "red 21");
        await renna.FillAsync("[name='Form.Place']", "metrology area");
        await Enter(renna, "not to be coated", "It is contained");
        await Expect(renna.Locator(".next-act form")).ToHaveCountAsync(0);

        await maren.GotoAsync("/machines/OV1530-0417/release/H1");
        await Expect(maren.Locator(".told--refused")).ToContainTextAsync("NCR-0044");
        await maren.GotoAsync("/nonconformances");
        await maren.GetByRole(AriaRole.Link, new() { Name = "NCR-0044" }).ClickAsync();
        await maren.SelectOptionAsync("[name='Form.Disposition']", "Rework");
        await maren.SelectOptionAsync("[name='Form.Cause']", "Method");
        await Enter(maren, "scrape it off", "Propose the disposition");
        await Expect(maren.Locator(".told")).ToContainTextAsync(["disposition proposed", "R-NCR-05"]);

        await dov.GotoAsync(sheet);
        await Enter(dov, "seen at the bed", "Approve rework");
        await renna.ReloadAsync();
        await Enter(renna, "scraped and stoned", "The action is done");
        await maren.ReloadAsync();
        await Enter(maren, "nothing to be felt", "It is verified");
        await dov.ReloadAsync();
        await Enter(dov, "cover the pads when welding near them", "Close it");
        await Expect(dov.Locator("h1")).ToHaveTextAsync("NCR-0044: closed");
        await Expect(dov.Locator(".entries tbody th")).ToHaveTextAsync(["raised", "contained", "proposed: rework", "approved", "action done", "verified", "closed"]);
        await maren.GotoAsync("/machines/OV1530-0417/release/H1");
        await Expect(maren.Locator(".told--refused")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task An_item_of_the_punch_list_is_added_and_closed_by_another()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var maren = await Server.SignIn("maren.ostley", 820, 1180);
        await maren.GotoAsync("/machines/OV1212-0088/punch-list");
        await maren.FillAsync("#add [name='Form.Text']", "guard of the tool changer is loose");
        await maren.CheckAsync("#add [name='Form.Class'][value=A]");
        await maren.SelectOptionAsync("#add [name='Form.Owner']", "renna.tallworth");
        await maren.FillAsync("#add [name='Form.Due']", "2027-01-15");
        await maren.ClickAsync(".act--next");
        await Expect(maren.Locator(".told").Last).ToContainTextAsync("R-PUNCH-04");

        var renna = await Server.SignIn("renna.tallworth");
        await renna.GotoAsync("/machines/OV1212-0088/punch-list?item=3");
        await Expect(renna.Locator("#item")).ToContainTextAsync("R-PUNCH-02");
        await maren.GetByRole(AriaRole.Link, new() { Name = "guard of the tool changer is loose" }).ClickAsync();
        await maren.FillAsync("[name='Form.Text'] >> nth=0", "screws with thread lock");
        await maren.SetInputFilesAsync("input[type=file]", DemoServer.DemoFile("plant.json"));
        await maren.GetByRole(AriaRole.Button, new() { Name = "Close the item" }).ClickAsync();
        await Expect(maren.Locator("tbody tr").Last).ToContainTextAsync("closed by Maren Ostley");
        await Expect(maren.Locator("tbody tr").Last).ToContainTextAsync("(file ");
    }

    private static async Task Enter(IPage page, string text, string button)
    {
        var form = page.Locator(".next-act form").Filter(new() { Has = page.GetByRole(AriaRole.Button, new() { Name = button }) });
        await form.Locator("[name='Form.Text']").FillAsync(text);
        await form.GetByRole(AriaRole.Button, new() { Name = button }).ClickAsync();
    }
}
