namespace BuildTrack.Browser.Tests;

/// <summary>An administrator compares a later edition with the one in force, on a tablet and on a wide screen, and approves it.</summary>
[Collection("sheets")]
public sealed class RevisionTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    private const string LoadFiles = """
        async files => (await fetch('/api/v1/checklists', {method: 'POST', headers: {'Content-Type': 'application/json', 'Idempotency-Key': 'edition-z'}, body: JSON.stringify({files})})).status
        """;

    [Fact]
    public async Task A_later_edition_is_compared_and_approved_with_a_reason()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await Server.SignIn("pavel.thornwell");
        Assert.Equal(201, await page.EvaluateAsync<int>(LoadFiles, Tightened()));
        await page.GotoAsync("/checklists");
        await page.ClickAsync("text=Compare and approve edition Z");
        Assert.Equal("Edition Z against edition A", await page.InnerTextAsync("h1"));
        Assert.Contains("0.050 mm\t0.034 mm (tighter)", await page.InnerTextAsync("table >> nth=0"), StringComparison.Ordinal);
        Assert.Contains("OV1530-0416", await page.InnerTextAsync("table >> nth=1"), StringComparison.Ordinal);
        Assert.Contains("not proven, another result", await page.InnerTextAsync("table >> nth=2"), StringComparison.Ordinal);
        Assert.Equal(1, await page.Locator(".act--next:visible").CountAsync());
        Assert.Empty(await SheetLook.Faults(page));

        var approving = await Server.SignIn("pavel.thornwell");
        await approving.GotoAsync("/checklists");
        await approving.ClickAsync("text=Compare and approve edition Z");
        await approving.FillAsync("textarea[name=Reason]", "tubes of the new series need it");
        await approving.ClickAsync("text=Approve edition Z");
        await DemoServer.Reached(approving, Server.Address + "/checklists");
        Assert.Contains("The edition is approved.", await approving.InnerTextAsync("[role=status]"), StringComparison.Ordinal);
        Assert.Contains("of edition Z, by size class", await approving.InnerTextAsync("body"), StringComparison.Ordinal);
        await approving.GotoAsync("/machines/OV1530-0417/results/100-01");
        Assert.Contains("at most 0.050 mm", await approving.InnerTextAsync(".head"), StringComparison.Ordinal);
    }

    // 31 µm with U = 6 µm keeps 50 µm, and does not prove 34 µm.
    private static Dictionary<string, string> Tightened()
    {
        var folder = Path.Combine(DemoServer.Root, "checklists");
        var files = Directory.GetFiles(folder, "*.yaml", SearchOption.AllDirectories).ToDictionary(f => Path.GetRelativePath(folder, f).Replace('\\', '/'), File.ReadAllText);
        files["route.yaml"] = System.Text.RegularExpressions.Regex.Replace(files["route.yaml"], "(?m)^edition: .*$", "edition: Z");
        files["limits/class-b.yaml"] = files["limits/class-b.yaml"].Replace("upper: 0.050 mm", "upper: 0.034 mm", StringComparison.Ordinal);
        return files;
    }
}
