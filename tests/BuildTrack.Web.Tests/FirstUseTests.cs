using System.Net;
using BuildTrack.Records.People;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>An empty installation, from the one-time link to the first answer at the first machine, by nothing but what the pages say to do next.</summary>
public sealed class FirstUseTests : IAsyncLifetime
{
    private const string Password = "a long first password";
    private readonly string folder = Directory.CreateTempSubdirectory("buildtrack-first-").FullName;
    private WebApplicationFactory<Program> factory = null!;

    public ValueTask InitializeAsync()
    {
        factory = new WebApplicationFactory<Program>().WithWebHostBuilder(b => b.UseSetting("Data:Folder", folder).UseSetting("Checklists:Folder", Path.Combine(AppContext.BaseDirectory, "checklists"))
            .UseSetting("Logging:LogLevel:Default", "Warning").UseSetting("Logging:LogLevel:Microsoft.AspNetCore", "Warning").UseEnvironment("Production"));
        return ValueTask.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        await factory.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    // Over https, as cookies demand; they are kept by the client as a browser keeps them.
    private HttpClient Browser()
    {
        var client = factory.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false, BaseAddress = new Uri("https://localhost") });
        client.DefaultRequestHeaders.Add("Sec-Fetch-Site", "same-origin");
        return client;
    }

    private static async Task<string> Post(HttpClient browser, string page, string url, params (string Name, string Value)[] fields)
    {
        var shown = await Page(browser, page);
        using var request = new HttpRequestMessage(HttpMethod.Post, url)
        {
            Content = new FormUrlEncodedContent(fields.Append(("Key", Guid.NewGuid().ToString())).Select(f => new KeyValuePair<string, string>(f.Item1, f.Item2))),
        };
        request.Headers.Add("RequestVerificationToken", shown.Token);
        var answer = await browser.SendAsync(request);
        Assert.True(answer.StatusCode == HttpStatusCode.Redirect, $"{url}: {answer.StatusCode} {WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync())}");
        var there = answer.Headers.Location!.OriginalString;
        return (await Page(browser, there.Split('#')[0])).Text;
    }

    private static void Says(string page, params string[] expected)
    {
        var text = WebUtility.HtmlDecode(page);
        Assert.All(expected, e => Assert.Contains(e, text, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Every_page_says_what_to_do_next_until_the_first_answer_is_recorded()
    {
        var browser = Browser();
        var code = factory.Services.GetRequiredService<FirstStart>().Code;
        var page = await Post(browser, $"/first-start?code={code}", "/first-start", ("Code", code), ("Person", "ada"), ("FullName", "Ada First"), ("Password", Password));
        Says(page, "You are the administrator", "To set up here: Name it as certificates print it");
        Says((await Page(browser, "/")).Text, "What is to be set up", "Name it as certificates print it", "href=\"/plant\"", "Load it from the folder", "a technician, who measures", "Enter at least the one", "Order it:");

        page = await Post(browser, "/plant", "/plant", ("Name", "First Works"), ("Prefix", "FW"), ("FirstNumber", "1"), ("FirstNonconformance", "1"), ("DueDays", "30"), ("TimeZone", "Europe/Vienna"));
        Says(page, "Plant: done.", "href=\"/checklists\"");
        Says((await Page(browser, "/machines/new")).Text, "No inspection and test plan is loaded", "href=\"/checklists\"");
        page = await Post(browser, "/checklists", "/checklists?handler=Load");
        Says(page, "Read its limits, and approve it");
        var hash = System.Text.RegularExpressions.Regex.Match(page, "name=\"Hash\" value=\"([0-9a-f]{64})\"").Groups[1].Value;
        page = await Post(browser, "/checklists", "/checklists?handler=Approve", ("Hash", hash));
        Says(page, "Inspection and test plan: done.", "href=\"/people\"");

        foreach (var (person, name, role) in new[] { ("pia", "Pia Plan", "planner"), ("tom", "Tom Tech", "technician"), ("ina", "Ina Inspect", "inspector") })
        {
            page = await Post(browser, "/people", "/people?handler=Add", ("Person", person), ("FullName", name), ("Password", Password), ("Roles", role));
        }

        Says(page, "People: done.", "href=\"/instruments#register\"");
        Says((await Page(await As("tom"), "/")).Text, "No machine is ordered yet");
        page = await Post(
            browser, "/instruments", "/instruments", ("Form.Id", "THK-01"), ("Form.Name", "Micrometer"), ("Form.Serial", "M 1"), ("Form.Quantity", "thickness"), ("Form.Unit", "mm"), ("Form.State", "InService"),
            ("Form.CalibratedOn", "2020-01-01"), ("Form.ValidTo", "2099-12-31"), ("Form.Certificate", "K-1"), ("Form.Use", "absolute"), ("Form.A", "0.006 mm"), ("Form.PerMetre", ""), ("Form.UpTo", ""),
            ("Form.Random", ""), ("Form.Common", ""), ("Form.Degrees", ""), ("Form.K", ""));
        Says(page, "Instruments: done.", "href=\"/machines/new\"");

        var pia = await As("pia");
        page = await Post(pia, "/machines/new", "/machines/new", ("Serial", "FW1212-0001"), ("MachineModel", "OV-1212/03"), ("Customer", "First Customer"));
        Says(page, "The build record of FW1212-0001 is open");
        Assert.DoesNotContain("What is to be set up", (await Page(browser, "/")).Text, StringComparison.Ordinal);

        // The technician is led from today's work to the step, on to its sheet, and by one form to the first answers.
        var tom = await As("tom");
        Says((await Page(tom, "/")).Text, "FW1212-0001", "href=\"/machines/FW1212-0001/route?step=10#step\"");
        Says((await Page(tom, "/machines/FW1212-0001/route?step=10")).Text, "act act--next\" href=\"/machines/FW1212-0001/step/10\"");
        page = (await Page(tom, "/machines/FW1212-0001/step/10")).Text;
        Says(page, "Answer the questions");
        page = await Post(tom, "/machines/FW1212-0001/step/10", "/machines/FW1212-0001/step/10", ("Begin.Survey", Field(page, "Begin.Survey")));
        var question = Field(page, "v:");
        var sheet = System.Text.RegularExpressions.Regex.Match(page, "/machines/FW1212-0001/runs/[0-9]+").Value + "/station";
        page = await Post(tom, sheet, $"{sheet}?handler=Record", (question, "yes"), ("Gauge", "false"));
        Says(page, "Take back", "yes");
    }

    [Fact]
    public async Task A_survey_without_a_registered_instrument_says_where_one_is_entered()
    {
        await using var server = new Server();
        await server.InitializeAsync();
        var serial = await Survey.Order(server, "LINES");
        Says((await Page(server.As("renna"), $"/machines/{serial}/step/100?survey=level-line")).Text, "No instrument for slope is in the register yet", "href=\"/instruments\"");
        Assert.DoesNotContain("No instrument for", (await Page(server.As("renna"), $"/machines/{serial}/step/100?survey=two-rails-1200")).Text, StringComparison.Ordinal);
    }

    // The value of a hidden field, or the name of the first field that begins so.
    private static string Field(string page, string name) =>
        System.Text.RegularExpressions.Regex.Match(page, name == "v:" ? "name=\"(v:[^\"]*)\"" : $"name=\"{name}\" value=\"([^\"]*)\"").Groups[1].Value;

    private async Task<HttpClient> As(string person)
    {
        var browser = Browser();
        await Post(browser, "/sign-in", "/sign-in", ("Person", person), ("Password", Password));
        return browser;
    }
}
