using System.Text;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

public sealed partial class WalkTests
{
    private const string Whole = "OV1212-0099";

    private const string FitAll = """
        async serial => {
            const address = `/api/v1/machines/${serial}/components`;
            const list = await (await fetch(address)).json();
            for (const { place } of list.places) {
                const answer = await fetch(address, { method: 'POST', headers: { 'Content-Type': 'application/json', 'Idempotency-Key': `fit ${place}` },
                    body: JSON.stringify({ place, serial: `W ${place}`, firmware: '4.2', certificate: 'H-1' }) });
                if (answer.status !== 201) throw new Error(`${place}: ${await answer.text()}`);
            }
            return list.places.length;
        }
        """;

    /// <summary>Weld, mill, H1, coat, H2, rails, squareness with one rework loop, positioning, power, cuts, factory certificate: typed on the sheets by
    /// technician, inspector and planner signed in side by side, with the readings of the demo's smallest machine.</summary>
    [Fact]
    public async Task A_machine_goes_from_its_order_to_its_factory_certificate()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        await Order(Whole, "OV-1212/03", null);
        var (renna, maren, tilda) = (await Comes("renna.tallworth"), await Comes("maren.ostley"), await Comes("tilda.averne"));
        var (bexley, corin) = (await Comes("bexley.orme"), await Comes("corin.mossfield"));
        var password = await DemoPassword(maren);

        await Starts(renna, 10);
        await Answers(renna, "h0-list", 10);
        await Ends(renna, 10);
        await Releases(maren, "H0", password);
        await Works(renna, 20, 30, 40);
        await MeasuredWork(bexley, 50);
        await Works(renna, 60, 70, 80);
        await MeasuredWork(renna, 90);

        // The planner stops the machine, nothing is begun meanwhile, and sets it going again.
        await tilda.GotoAsync($"/machines/{Whole}/route");
        await tilda.FillAsync("form:has(button:text('Put on hold')) [name=Reason]", "the customer asks for a day");
        await tilda.GetByRole(AriaRole.Button, new() { Name = "Put on hold" }).ClickAsync();
        await renna.GotoAsync($"/machines/{Whole}/step/100?survey=bed-heights");
        await Expect(renna.Locator("#begin")).ToContainTextAsync("R-HOLD-01");
        await tilda.GetByRole(AriaRole.Button, new() { Name = "Lift the hold" }).ClickAsync();

        await Starts(renna, 100);
        await Measures(renna, 100);
        foreach (var survey in new[] { "bed-heights", "pad-thickness" })
        {
            await Begins(renna, 100, survey, null, null);
            await Upload(renna, $"OV1212-0088-{survey}.csv");
        }

        await Ends(renna, 100);

        // Who measured releases nothing, nor does a wrong password.
        await renna.GotoAsync($"/machines/{Whole}/release/H1");
        await Expect(renna.GetByRole(AriaRole.Button, new() { Name = "Release", Exact = true })).ToHaveCountAsync(0);
        await maren.GotoAsync($"/machines/{Whole}/release/H1");
        await maren.FillAsync("#password", "not the password");
        await Release(maren);
        await Expect(maren.Locator(".told--refused")).ToContainTextAsync("R-RELEASE-06");
        await Releases(maren, "H1", password);

        await MeasuredWork(renna, 110, "mask-list");
        await MeasuredWork(renna, 120, "h2-list");
        await Releases(maren, "H2", password);
        await Works(renna, 130);
        await MeasuredWork(renna, 140, "h3-list");
        await Releases(maren, "H3", password);
        await Point(renna, maren, 150, "H4", password);
        await Checks(renna, "IND-12", "0.1");
        await MeasuredWork(renna, 160, "h5-list");
        await Releases(maren, "H5", password);
        await MeasuredWork(renna, 170, "h6-list");

        // One rework loop: the gantry is shifted after its diagonals were measured, and they are measured anew.
        await Starts(renna, 175);
        await Measures(renna, 175);
        await renna.GotoAsync($"/machines/{Whole}/bed-change");
        await renna.CheckAsync("[name=Change][value=gantry-shift]");
        await renna.FillAsync("[name=Note]", "home offset of R2 shifted by 0.02 mm");
        await renna.ClickAsync(".act--next");
        await Expect(renna.Locator("body")).ToContainTextAsync("Gantry drive or home offset shifted: home offset of R2 shifted by 0.02 mm");
        await maren.GotoAsync($"/machines/{Whole}/release/H6");
        await Expect(maren.Locator("main")).ToContainTextAsync("to be repeated");
        await Expect(maren.GetByRole(AriaRole.Button, new() { Name = "Release", Exact = true })).ToBeDisabledAsync();
        await Measures(renna, 175);
        await Ends(renna, 175);
        await Releases(maren, "H6", password);

        await MeasuredWork(renna, 180);
        await Works(renna, 185, 190);
        await Starts(renna, 200);
        await Measures(renna, 200, "bonding", "insulation");
        await Answers(renna, "h7a-list", 200);
        await Releases(maren, "H7a", password);
        await Answers(renna, "h7b-list", 200);
        await Measures(renna, 200, "live-electrical");
        await Answers(renna, "h7-list", 200);
        await ReleasesTogether(maren, ["H7b", "H7"], password);
        await Ends(renna, 200);
        await MeasuredWork(renna, 210, "h8-list");
        await Releases(maren, "H8", password);
        await Starts(renna, 220);
        await Measures(renna, 220, "extraction");
        await Answers(renna, "safety-functions", 220);
        await Answers(renna, "h9a-list", 220);
        await Releases(corin, "H9a", password, "Corin Mossfield");
        await Measures(renna, 220, "coolant", "coolant-flow", "head", "beam-caustic", "radiation", "power");
        await Answers(renna, "h9b-list", 220);
        await Ends(renna, 220);
        await Releases(corin, "H9b", password, "Corin Mossfield");
        await MeasuredWork(renna, 230);
        await MeasuredWork(renna, 240);
        // Nothing is ready for the customer before the plates are scanned.
        await maren.GotoAsync($"/machines/{Whole}/inspection-plan?hold=H10");
        await Expect(maren.Locator("main")).ToContainTextAsync("H10 waits for the as-built list, 0 of ");
        Assert.InRange(await renna.EvaluateAsync<int>(FitAll, Whole), 20, 40);
        await Point(renna, maren, 250, "H10", password);
        await Starts(renna, 260);
        await Answers(renna, "h11-list", 260);
        await Ends(renna, 260);
        await Witnessed(maren, 260, "H11");
        await Releases(maren, "H11", password);
        await Downloaded(maren);
    }

    /// <summary>The customer's witness is invited for today with a letter, comes, and signs the printed statement; its scan is attached and attested.</summary>
    private static async Task Witnessed(IPage page, int step, string point)
    {
        await page.GotoAsync($"/machines/{Whole}/witness");
        await Expect(page.Locator(".lead")).ToContainTextAsync($"{point} is a witness point");
        var today = await page.Locator("#act .hint").Last.InnerTextAsync();
        await page.FillAsync("[name='Form.Witness']:not([type=hidden]) >> nth=0", "Hollis Brandt-Leigh");
        await page.FillAsync("[name='Form.Visit']", today.Split("Today is ")[1][..10]);
        await page.FillAsync("[name='Form.Letter'] >> nth=0", "BF 411");
        await page.GetByRole(AriaRole.Button, new() { Name = "The invitation is sent" }).ClickAsync();
        await page.GotoAsync($"/machines/{Whole}/witness/{point}");
        var code = await page.Locator(".lead b").InnerTextAsync();
        await page.GotoAsync($"/machines/{Whole}/step/{step}/files");
        await page.SetInputFilesAsync("input[name=file]", new FilePayload { Name = "signed.pdf", MimeType = "application/pdf", Buffer = "%PDF-1.7 signed"u8.ToArray() });
        await page.FillAsync("[name=Shows]", "signed statement");
        await page.GetByRole(AriaRole.Button, new() { Name = "Attach it" }).ClickAsync();
        await Expect(page.Locator("main")).ToContainTextAsync("signed.pdf");
        await page.GotoAsync($"/machines/{Whole}/witness");
        await page.SelectOptionAsync("[name='Form.Outcome']", "Accepts");
        await page.FillAsync("[name='Form.Remark']", "Edges of the 20 mm sample are better than asked.");
        await page.FillAsync("[name='Form.Statement']", code);
        await page.SelectOptionAsync("[name='Form.Scan']", new SelectOptionValue { Index = 1 });
        await page.GetByRole(AriaRole.Button, new() { Name = "Record it" }).ClickAsync();
        await Expect(page.Locator("tr").Filter(new() { HasText = point })).ToContainTextAsync("accepts");
    }

    /// <summary>The work of steps is begun and finished on the route card.</summary>
    private static async Task Works(IPage page, params int[] steps)
    {
        foreach (var step in steps)
        {
            await Starts(page, step);
            await Ends(page, step);
        }
    }

    /// <summary>The check of the day, without which no run is begun with it.</summary>
    private static async Task Checks(IPage page, string instrument, string departure)
    {
        await page.GotoAsync($"/instruments/{instrument}");
        await page.FillAsync("[name='Looked.Found']", departure);
        await page.ClickAsync("#checks button");
        await Expect(page.Locator("main")).ToContainTextAsync("today's check is good");
    }

    private static async Task MeasuredWork(IPage page, int step, string? list = null)
    {
        await Starts(page, step);
        await Measures(page, step);
        if (list is not null)
        {
            await Answers(page, list, step);
        }

        await Ends(page, step);
    }

    private static async Task Point(IPage technician, IPage inspector, int step, string point, string password)
    {
        await Starts(technician, step);
        await Answers(technician, $"{point.ToLowerInvariant()}-list", step);
        await Ends(technician, step);
        await Releases(inspector, point, password);
    }

    private static async Task Starts(IPage page, int step)
    {
        await page.GotoAsync($"/machines/{Whole}/route?step={step}");
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin the work" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "The work is finished" })).ToBeVisibleAsync();
    }

    private static async Task Ends(IPage page, int step)
    {
        await PhotographsWhatIsMissing(page, Whole, step);
        await page.GotoAsync($"/machines/{Whole}/route?step={step}");
        await page.GetByRole(AriaRole.Button, new() { Name = "The work is finished" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "The work is finished" })).ToHaveCountAsync(0);
    }

    /// <summary>The photos that a step is not finished without: one point of grey each.</summary>
    private static async Task PhotographsWhatIsMissing(IPage page, string serial, int step)
    {
        await page.GotoAsync($"/machines/{serial}/step/{step}/files");
        for (var missing = await page.Locator(".photo--missing").CountAsync(); missing > 0; missing--)
        {
            await page.SetInputFilesAsync("#attach [name=photo]", new FilePayload
            {
                Name = "photo.png", MimeType = "image/png",
                Buffer = Convert.FromBase64String("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg=="),
            });
            await page.ClickAsync("#attach button");
            await Expect(page.Locator(".photo--missing")).ToHaveCountAsync(missing - 1);
        }
    }

    private static async Task Answers(IPage page, string survey, int step)
    {
        await page.GotoAsync($"/machines/{Whole}/step/{step}?survey={survey}");
        await page.ClickAsync("#begin .act--next");
        await ToTheTable(page);
        foreach (var yes in await page.Locator(".questions input[value=yes]").AllAsync())
        {
            await yes.CheckAsync();
        }

        await page.GetByRole(AriaRole.Button, new() { Name = "Record the answers" }).ClickAsync();
        await Finished(page);
    }

    /// <summary>Every run of a step, typed from the file of readings of the demo's machine.</summary>
    private static async Task Measures(IPage page, int step, params string[] only)
    {
        foreach (var run in RunsOf(step).Where(r => only.Length == 0 || only.Contains(r.Survey)))
        {
            if (ByProgram.Contains(run.Survey))
            {
                await Records(page, step, run.Survey, run.Feature, run.Direction, run.Readings);
                continue;
            }

            await Begins(page, step, run.Survey, run.Feature, run.Direction);
            if (FromFile.TryGetValue(run.Survey, out var unit))
            {
                await Uploads(page, run.Readings, unit);
                continue;
            }

            foreach (var (place, column, typed) in run.Readings)
            {
                var field = $"[name='v:{place}:{column}']";
                if (typed is "yes" or "no")
                {
                    await page.CheckAsync($"{field}[value={typed}]");
                }
                else
                {
                    await page.FillAsync(field, typed);
                }
            }

            await page.GetByRole(AriaRole.Button, new() { Name = "Record what is typed" }).ClickAsync();
            await Finished(page);
        }
    }

    /// <summary>A log is read from its file: previewed, then recorded.</summary>
    private static async Task Uploads(IPage page, List<(string Place, string Column, string Typed)> readings, string unit)
    {
        var columns = readings.Select(r => r.Column).Distinct().Select(c => $"{c}_{unit}");
        var text = string.Join('\n', readings.GroupBy(r => r.Place).Select(g => string.Join(',', g.Select(r => r.Typed).Prepend(g.Key))).Prepend(string.Join(',', columns.Prepend("station"))));
        await page.SetInputFilesAsync("input[name=file]", new FilePayload { Name = "log.csv", MimeType = "text/csv", Buffer = Encoding.UTF8.GetBytes(text) });
        await page.GetByRole(AriaRole.Button, new() { Name = "Read the file" }).ClickAsync();
        await Expect(page.Locator(".preview-file")).ToContainTextAsync($"{readings.Count} readings");
        await page.GetByRole(AriaRole.Button, new() { Name = $"Record these {readings.Count} readings" }).ClickAsync();
        await Finished(page);
    }

    private static async Task Begins(IPage page, int step, string survey, string? feature, string? direction)
    {
        await page.GotoAsync($"/machines/{Whole}/step/{step}?survey={survey}{(feature is null ? "" : $"&feature={feature}")}");
        var instruments = UsedFor(survey);
        for (var i = 0; i < instruments.Length; i++)
        {
            await page.Locator("[name='Begin.Instruments']").Nth(i).SelectOptionAsync(instruments[i]);
            await page.Locator("[name='Begin.Checks']").Nth(i).FillAsync("looked at, in order");
        }

        if (direction is not null)
        {
            await page.SelectOptionAsync("[name='Begin.Direction']", direction == "back" ? "Back" : "Outward");
        }

        foreach (var (name, value) in new[] { ("Top", "20.2"), ("Bottom", "20.1") })
        {
            foreach (var field in await page.Locator($"[name='Begin.{name}']").AllAsync())
            {
                await field.FillAsync(value);
            }
        }

        await page.ClickAsync("#begin .act--next");
        await ToTheTable(page);
    }

    private static async Task Finished(IPage page)
    {
        await page.ClickAsync(".closing .act--next");
        await DemoServer.Reached(page, Results());
    }

    private static async Task Releases(IPage page, string point, string password, string name = "Maren Ostley")
    {
        await page.GotoAsync($"/machines/{Whole}/release/{point}");
        await page.FillAsync("#password", password);
        await Release(page);
        await Expect(page.Locator(".signet").Filter(new() { HasText = point }).Last).ToContainTextAsync(name);
    }

    /// <summary>The sheet of points: each is ticked, one password releases them.</summary>
    private static async Task ReleasesTogether(IPage page, string[] points, string password)
    {
        await page.GotoAsync($"/machines/{Whole}/release");
        foreach (var point in points)
        {
            await page.Locator($"[name=points][value^='{point} ']").CheckAsync();
        }

        await page.FillAsync("#password", password);
        await page.ClickAsync(".sign .act--next");
        foreach (var point in points)
        {
            await Expect(page.Locator(".signet").Filter(new() { HasText = point }).Last).ToContainTextAsync("Maren Ostley");
        }
    }

    /// <summary>The factory certificate is listed with its machine, and its document is a PDF.</summary>
    private static async Task Downloaded(IPage page)
    {
        await page.GotoAsync("/certificates");
        var line = page.Locator("tr").Filter(new() { HasText = Whole }).Filter(new() { HasText = "Factory acceptance" });
        var pdf = line.GetByRole(AriaRole.Link, new() { Name = "PDF", Exact = true });
        for (var tries = 0; await pdf.CountAsync() == 0; tries++)
        {
            Assert.True(tries < 90, "no document a minute and a half after the release");
            await page.WaitForTimeoutAsync(1000);
            await page.ReloadAsync();
        }

        var download = await page.RunAndWaitForDownloadAsync(() => pdf.First.ClickAsync());
        var bytes = await File.ReadAllBytesAsync(await download.PathAsync());
        Assert.Equal("%PDF-"u8.ToArray(), bytes[..5]);
    }
}
