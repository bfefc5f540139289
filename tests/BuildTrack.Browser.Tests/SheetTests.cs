using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>Every sheet, at a tablet's and a wide screen's size, light and dark: what the house rules ask of all of them.</summary>
// With the comparison of editions one after the other: three servers and browsers at once are more than two cores serve in time.
[Collection("sheets")]
public sealed class SheetTests(DemoServer server) : IClassFixture<DemoServer>
{
    /// <summary>Targets lower than 48 px, but for links inside a sentence and fields that only a password manager sees.</summary>
    internal const string SmallTargets = """
        () => [...document.querySelectorAll('a, button, input:not([type=hidden]), select, summary, textarea')]
            .filter(e => !e.closest('.visually-hidden, .skip, p') || e.matches('.act'))
            .map(e => [e, (e.matches('.choice input') ? e.closest('label') : e).getBoundingClientRect()])
            .filter(([, r]) => r.height > 0 && r.height < 47.5)
            .map(([e, r]) => `${e.tagName} "${(e.textContent || e.name).trim().slice(0, 30)}" ${Math.round(r.height)} px`)
        """;

    [Theory]
    [InlineData("renna.tallworth", "/ /machines /machines/OV2661-0031 /machines/OV2661-0031/step/100 /machines/OV2661-0031/results/100-01 /machines/OV2661-0031/results/100-09 /machines/OV2661-0031/bed-change /machines/OV1530-0417/nonconformances /machines/OV2661-0031/step/90/files /machines/OV2661-0031/as-built /machines/OV1530-0413/results/310-01 /machines/OV1212-0088/punch-list /nonconformances /instruments /history /tokens /sign-out")]
    [InlineData("maren.ostley", "/ /waiting /machines/OV1530-0417/release/H1 /machines/OV1212-0088/release/H1 /machines/OV1212-0088 /machines/OV1212-0088/punch-list?item=1 /machines/OV2661-0031/nonconformances/42 /machines/OV2661-0030/nonconformances/40 /certificates /checklists")]
    [InlineData("odo.fenn", "/ /people /people?person=tilda.averne /find?text=OV1 /plant /instruments /checklists")]
    [InlineData("tilda.averne", "/ /machines/new /find /work-centres")]
    public async Task A_sheet_has_one_filled_act_large_targets_nothing_cut_off_and_no_complaint(string person, string addresses)
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var faults = new List<string>();
        foreach (var (width, height, scheme) in new[] { (1024, 768, ColorScheme.Light), (1920, 1080, ColorScheme.Dark) })
        {
            var page = await server.SignIn(person, width, height, scheme);
            page.Console += (_, message) =>
            {
                if (message.Type == "error")
                {
                    faults.Add($"{page.Url}: {message.Text}");
                }
            };
            page.Request += (_, request) =>
            {
                if (!request.Url.StartsWith(server.Address, StringComparison.Ordinal))
                {
                    faults.Add($"{page.Url} asks {request.Url}");
                }
            };
            foreach (var address in addresses.Split(' '))
            {
                var answer = await page.GotoAsync(address);
                var where = $"{address} at {width}";
                if (answer!.Status != 200)
                {
                    faults.Add($"{where}: answer {answer.Status}");
                }

                if (await page.Locator(".act--next:visible").CountAsync() is > 1 and var filled)
                {
                    faults.Add($"{where}: {filled} filled acts");
                }

                if (await page.EvaluateAsync<int>("() => document.documentElement.scrollWidth - innerWidth") is > 0 and var over)
                {
                    faults.Add($"{where}: {over} px wider than the window");
                }

                faults.AddRange((await page.EvaluateAsync<string[]>(SmallTargets)).Select(t => $"{where}: {t}"));
            }
        }

        Assert.Empty(faults);
    }
}
