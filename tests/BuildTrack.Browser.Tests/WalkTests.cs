using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>The paths as people walk them: a bed that is rejected, and (FactoryWalk.cs) a machine from its order to its factory certificate.</summary>
public sealed partial class WalkTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    [Fact]
    public async Task A_bed_beyond_its_limit_is_rejected_only_when_its_contact_places_are_measured_again()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        await Order("OV2661-0099", "OV-2661/12", "0.105 mm");
        await UpToTheMilledBed("OV2661-0099");
        var renna = await Comes("renna.tallworth");
        await Begin(renna, "OV2661-0099", "bed-heights");

        await Read(renna, "OV2661-0031-pad-thickness.csv");
        await Expect(renna.Locator(".faults tbody tr").First).ToBeVisibleAsync();
        await Upload(renna, "OV2661-0031-bed-heights.csv");
        await Expect(renna.Locator(".framed .stamp").First).ToHaveTextAsync("not proven");
        await renna.ClickAsync(".do .act--next");

        await FillConditions(renna);
        await Expect(renna.Locator(".stations input[inputmode=decimal]")).ToHaveCountAsync(4);
        await Upload(renna, "OV2661-0031-contacts-again.csv");
        await Expect(renna.Locator(".framed .stamp").First).ToHaveTextAsync("rejected");
        await Expect(renna.Locator(".because li").First).ToContainTextAsync("measured again");

        await renna.GetByRole(AriaRole.Link, new() { Name = "Raise a nonconformance" }).ClickAsync();
        await Expect(renna.Locator("#raise .pairs")).ToContainTextAsync("0.121 mm, U 0.014 mm, rejected");
        await Expect(renna.Locator("[name='Form.Found']")).ToHaveCountAsync(0);
        await renna.CheckAsync("[name='Form.Severity'][value=Major]");
        await renna.ClickAsync("#raise .act--next");
        await Expect(renna.Locator("h1")).ToHaveTextAsync("NCR-0044: raised");
        await renna.GotoAsync("/machines/OV2661-0099/results/100-01");
        await Expect(renna.GetByRole(AriaRole.Link, new() { Name = "Raise a nonconformance" })).ToHaveCountAsync(0);
        await Expect(renna.Locator(".do")).ToContainTextAsync("NCR-0044, raised");
    }

    // On line all the way: what stands between the window and the server without network has tests of its own, and costs a third of each of these sheets.
    private Task<IPage> Comes(string person) => Server.SignIn(person, worker: false);

    /// <summary>Contract review answered and released, then every step up to the finish mill begun and finished on the route card.</summary>
    private async Task UpToTheMilledBed(string serial)
    {
        var maren = await Comes("maren.ostley");
        await maren.GotoAsync($"/machines/{serial}/step/100");
        await Expect(maren.Locator("#begin")).ToContainTextAsync("R-STEP-01");
        await maren.GotoAsync($"/machines/{serial}/step/10");
        await maren.ClickAsync("#begin .act--next");
        await ToTheTable(maren);
        foreach (var yes in await maren.Locator(".questions input[value=yes]").AllAsync())
        {
            await yes.CheckAsync();
        }

        await maren.GetByRole(AriaRole.Button, new() { Name = "Record the answers" }).ClickAsync();
        await maren.ClickAsync(".closing .act--next");
        await Expect(maren.Locator(".framed .stamp").First).ToHaveTextAsync("accepted");

        var dov = await Comes("dov.harrickson");
        await dov.GotoAsync($"/machines/{serial}/release/H0");
        await dov.FillAsync("#password", await DemoPassword(dov));
        await Release(dov);
        await Expect(dov.Locator(".signet")).ToContainTextAsync("Dov Harrickson");

        var (sable, bexley) = (await Comes("sable.wick"), await Comes("bexley.orme"));
        foreach (var step in new[] { 20, 40, 50, 60, 70, 80, 90 })
        {
            var page = step == 50 ? bexley : sable;
            await PhotographsWhatIsMissing(page, serial, step);
            await page.GotoAsync($"/machines/{serial}/route?step={step}");
            await page.GetByRole(AriaRole.Button, new() { Name = "Begin the work" }).ClickAsync();
            await page.GetByRole(AriaRole.Button, new() { Name = "The work is finished" }).ClickAsync();
            await Expect(page.Locator(".route-do h2")).ToHaveTextAsync(new Regex("finished$"));
        }
    }

    private async Task Order(string serial, string model, string? limit)
    {
        var tilda = await Comes("tilda.averne");
        await tilda.GotoAsync("/machines/new");
        await tilda.FillAsync("[name=Serial]", serial);
        await tilda.SelectOptionAsync("[name=MachineModel]", model);
        await tilda.FillAsync("[name=Customer]", "Greyhaven Lift Works");
        if (limit is not null)
        {
            await tilda.SelectOptionAsync("[name='Term.Characteristic']", "bed-flatness");
            await tilda.FillAsync("[name='Term.Limit']", limit);
            await tilda.SelectOptionAsync("[name='Term.Reference']", "minimum-zone");
            foreach (var (field, text) in new[] { ("Origin", "contract annex 2"), ("Edition", "B"), ("ApprovedBy", "pavel.thornwell"), ("Reason", "the customer's own standard") })
            {
                await tilda.FillAsync($"[name='Term.{field}']", text);
            }
        }

        await tilda.ClickAsync(".act--next");
        await DemoServer.Reached(tilda, new Regex($"/machines/{serial}$"));
    }

    private static async Task Begin(IPage page, string serial, string survey)
    {
        await page.GotoAsync($"/machines/{serial}/step/100?survey={survey}");
        await FillConditions(page);
    }

    private static async Task FillConditions(IPage page)
    {
        await page.FillAsync("[name='Begin.Checks']", "drift nest 1 µm");
        foreach (var (name, value) in new[] { ("Top", "20,2"), ("Bottom", "20.1") })
        {
            foreach (var field in await page.Locator($"[name='Begin.{name}']").AllAsync())
            {
                await field.FillAsync(value);
            }
        }

        await page.ClickAsync("#begin .act--next");
        await ToTheTable(page);
    }

    /// <summary>A run begins on the measuring sheet; from there to the whole table.</summary>
    private static async Task ToTheTable(IPage page)
    {
        await page.ClickAsync(".ways-on .row-link");
        await DemoServer.Reached(page, Runs());
    }

    private static async Task Read(IPage page, string file)
    {
        await page.SetInputFilesAsync("input[type=file]", DemoServer.DemoFile(file));
        await page.GetByRole(AriaRole.Button, new() { Name = "Read the file" }).ClickAsync();
    }

    private static async Task Upload(IPage page, string file)
    {
        await Read(page, file);
        await page.ClickAsync(".confirm .act--next");
        await page.GetByRole(AriaRole.Button, new() { Name = "Finish and calculate" }).ClickAsync();
        await DemoServer.Reached(page, Results());
    }

    private static Task Release(IPage page) => page.GetByRole(AriaRole.Button, new() { Name = "Release", Exact = true }).ClickAsync();

    internal static async Task<string> DemoPassword(IPage page)
    {
        var other = await page.Context.NewPageAsync();
        await other.GotoAsync("/sign-in");
        var password = await other.Locator("caption b.num").InnerTextAsync();
        await other.CloseAsync();
        return password;
    }

    [GeneratedRegex("/runs/[0-9]+$")]
    private static partial Regex Runs();

    [GeneratedRegex("/results/")]
    private static partial Regex Results();
}
