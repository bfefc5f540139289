using System.Collections.Concurrent;
using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>Every sheet, opened once: at a tablet's, a wide screen's and a telephone's size and enlarged, light and dark, what the house rules ask of all of them.</summary>
// With the comparison of editions one after the other: three servers and browsers at once are more than two cores serve in time.
[Collection("sheets")]
public sealed class SheetTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    private readonly ConcurrentBag<string> faults = [];

    public static TheoryData<string> People => [.. SheetList.Of.Keys];

    [Fact]
    public void Every_page_of_the_server_is_opened_here_or_named_with_the_reason_why_not()
    {
        var opened = SheetList.Of.Values.SelectMany(a => a).Select(Pattern).ToHashSet();
        Assert.DoesNotContain(SheetList.Patterns(), p => !opened.Contains(p) && !SheetList.NotHere.ContainsKey(p));
        Assert.DoesNotContain(SheetList.NotHere.Keys, p => opened.Contains(p) || !SheetList.Patterns().Contains(p));

        // A link is known by its part alone.
        static string Pattern(string address) => address.Split('?')[0] switch
        {
            "begun" => "/machines/{serial}/runs/{id:long}",
            "begun/station" => "/machines/{serial}/runs/{id:long}/station",
            var link when link.Contains('→', StringComparison.Ordinal) => SheetList.Patterns().Single(p => p.Contains(link.Split("→ ")[1], StringComparison.Ordinal) && !p.EndsWith("/station", StringComparison.Ordinal)),
            var path => SheetList.PatternOf(path),
        };
    }

    [Theory]
    [MemberData(nameof(People))]
    public async Task A_sheet_has_one_filled_act_large_targets_nothing_cut_off_and_no_complaint(string person)
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var begun = person == "renna.tallworth" ? await Begun() : "";
        var addresses = SheetList.Of[person].Select(a => a.Replace("begun", begun, StringComparison.Ordinal)).ToArray();

        // Two windows side by side: while the server draws a sheet, the other is looked at.
        await Task.WhenAll(addresses.Chunk((addresses.Length + 1) / 2).Select(half => Visit(person, half)));
        Assert.Empty(faults.Order());
    }

    private async Task<string> Begun()
    {
        var renna = await Server.SignIn("renna.tallworth");
        await renna.GotoAsync("/machines/OV2040-0203/step/110?survey=film");
        await renna.FillAsync("[name='Begin.Checks']", "zero and foil, in order");
        await renna.ClickAsync("#begin .act--next");
        await DemoServer.Reached(renna, new System.Text.RegularExpressions.Regex("/station$"));
        var run = new Uri(renna.Url).AbsolutePath[..^"/station".Length];

        // With a photo of its first place, from the measuring sheet: the run is then looked at with it.
        await renna.ClickAsync("a[href*='/files?run=']");
        await renna.SetInputFilesAsync("#attach [name=photo]", new FilePayload
        {
            Name = "film.png", MimeType = "image/png",
            Buffer = Convert.FromBase64String("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg=="),
        });
        await renna.FillAsync("#attach [name=Shows]", "run in the film");
        await renna.ClickAsync("#attach button");
        await DemoServer.Reached(renna, new System.Text.RegularExpressions.Regex("#files$"));
        Assert.Equal(1, await renna.Locator(".photos--small img").CountAsync());
        await renna.GotoAsync(run);
        await renna.SetInputFilesAsync("input[type=file]", new FilePayload { Name = "film.csv", MimeType = "text/csv", Buffer = SheetList.FilmLog });
        await renna.GetByRole(AriaRole.Button, new() { Name = "Read the file" }).ClickAsync();
        await renna.Locator("#columns").WaitForAsync();
        return run;
    }

    private async Task Visit(string person, string[] addresses)
    {
        var page = person.Length == 0 ? await Server.Window(worker: false) : await Server.SignIn(person, worker: false);
        page.Console += (_, message) =>
        {
            if (message.Type == "error" && !page.Url.EndsWith("/error", StringComparison.Ordinal))
            {
                faults.Add($"{page.Url}: {message.Text}");
            }
        };
        page.Request += (_, request) =>
        {
            if (!request.Url.StartsWith(Server.Address, StringComparison.Ordinal))
            {
                faults.Add($"{page.Url} asks {request.Url}");
            }
        };
        foreach (var address in addresses)
        {
            await SheetLook.Restore(page);
            var answer = await Open(page, address);
            if (answer!.Status != (address == "/error" ? 404 : 200))
            {
                faults.Add($"{address}: answer {answer.Status}");
            }

            foreach (var fault in await SheetLook.Faults(page))
            {
                faults.Add($"{address}{fault}");
            }
        }
    }

    private static async Task<IResponse?> Open(IPage page, string address)
    {
        if (address.Split(" → ") is not [var from, var part])
        {
            return await page.GotoAsync(address);
        }

        await page.GotoAsync(from);
        return await page.GotoAsync((await page.Locator($"main a[href*='{part}']").First.GetAttributeAsync("href"))!);
    }
}
