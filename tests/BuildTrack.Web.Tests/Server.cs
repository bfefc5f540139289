using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>The server as a plant would have it: people of every role, instruments, approved test checklists. On SQLite in a folder of its own.</summary>
public sealed class Server : IAsyncLifetime
{
    public const string Password = "a long test password";

    /// <summary>For what happens before an administrator has loaded any.</summary>
    public bool WithoutChecklists { get; init; }

    /// <summary>Where the checklists are read from: the test checklists, unless said otherwise.</summary>
    public string ChecklistFolder { get; init; } = TestChecklists;

    private readonly string folder = Directory.CreateTempSubdirectory("buildtrack-web-").FullName;
    private WebApplicationFactory<Program> factory = null!;
    private readonly Dictionary<string, string> tokens = [];

    public static string TestChecklists { get; } = Path.Combine(AppContext.BaseDirectory, "TestChecklists");

    public IServiceProvider Services => factory.Services;

    public async ValueTask InitializeAsync()
    {
        factory = new WebApplicationFactory<Program>().WithWebHostBuilder(b => b.UseSetting("Data:Folder", folder).UseSetting("Checklists:Folder", ChecklistFolder).UseSetting("Logging:LogLevel:Default", "Warning").UseSetting("Logging:LogLevel:Microsoft.AspNetCore", "Warning").UseEnvironment("Production"));
        var ct = CancellationToken.None;
        var first = Services.GetRequiredService<FirstStart>();
        await first.CreateAdministrator(first.Code, "odo", "Odo Fenn", Password, ct);
        var odo = new Caller("odo", "Odo Fenn", [Roles.Administrator]);
        var people = Services.GetRequiredService<PeopleActs>();
        foreach (var (person, name, role) in new[]
        {
            ("renna", "Renna Tallworth", Roles.Technician), ("jorin", "Jorin Pell", Roles.Technician), ("maren", "Maren Ostley", Roles.Inspector),
            ("dov", "Dov Harrickson", Roles.Inspector), ("tilda", "Tilda Averne", Roles.Planner),
        })
        {
            await people.AddPerson(odo, new AddPersonRequest(person, name, Password, [role]), null, ct);
        }

        foreach (var line in await Services.GetRequiredService<PeopleReader>().List(ct))
        {
            tokens[line.Person] = (await people.IssueToken(new Caller(line.Person, line.Name, line.Roles), ct)).Secret;
        }

        await Services.GetRequiredService<PlantActs>().Set(odo, new PlantSettings("Ostrel Vale Machine Works", "TST", 1, "Europe/Vienna"), null, ct);
        await Register("TRK-01", "height", "mm", "2099-12-31", odo);
        await Register("TRK-UM", "height", "µm", "2099-12-31", odo);
        await Register("TRK-OLD", "height", "mm", "2020-12-31", odo);
        await Register("IFM-01", "position", "µm", "2099-12-31", odo);
        foreach (var id in new[] { "THM-01", "THM-02", "THM-03", "THM-04" })
        {
            await Register(id, "temperature", "°C", "2099-12-31", odo);
        }

        if (WithoutChecklists)
        {
            return;
        }

        var checklists = Services.GetRequiredService<ChecklistActs>();
        FurtherEvaluators.ForTests = new HashSet<string> { "level-network", "axis-accuracy", "drift", "answers", "file-kept", "largest-value", "change" };
        var loaded = await checklists.Load(odo, ChecklistLoader.ReadFolder(ChecklistFolder), null, ct);
        await checklists.Approve(odo, loaded.Subject, null, ct);
    }

    public async ValueTask DisposeAsync()
    {
        await factory.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    /// <summary>A client that carries a person's token.</summary>
    public HttpClient As(string person)
    {
        var client = factory.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", tokens[person]);
        return client;
    }

    public HttpClient Nobody() => factory.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });

    private async Task Register(string id, string quantity, string unit, string validTo, Caller who) =>
        await Services.GetRequiredService<InstrumentActs>().Register(who, new RegisterInstrumentRequest(new RegisterEntry(
            id, "Tracker", "T 1", quantity, unit, [quantity == "temperature" ? new RegisterFigure("absolute", null, new Amount(0.2m, "°C"), null, 2, null, null) : new RegisterFigure("small difference", null, new Amount(2, "µm"), null, 2, null, null)],
            "2015-01-01", validTo, "K-1", InstrumentState.InService, 0)), null, CancellationToken.None);
}

/// <summary>Short ways to send and read.</summary>
public static class Http
{
    public static async Task<HttpResponseMessage> Send(this HttpClient client, HttpMethod method, string path, object? body = null, string? key = null, string? ifMatch = null)
    {
        using var request = new HttpRequestMessage(method, "/api/v1" + path);
        request.Content = body switch
        {
            null => null,
            byte[] file => File(file),
            _ => JsonContent.Create(body),
        };
        if (key is not "")
        {
            request.Headers.Add("Idempotency-Key", key ?? Guid.NewGuid().ToString("N"));
        }

        if (ifMatch is not null)
        {
            request.Headers.TryAddWithoutValidation("If-Match", $"\"{ifMatch}\"");
        }

        return await client.SendAsync(request);
    }

    public static async Task<JsonNode> Post(this HttpClient client, string path, object? body = null, string? key = null, string? ifMatch = null) =>
        await (await client.Send(HttpMethod.Post, path, body, key, ifMatch)).Good();

    public static async Task<JsonNode> Get(this HttpClient client, string path) => await (await client.GetAsync("/api/v1" + path)).Good();

    public static async Task<JsonNode> Good(this HttpResponseMessage answer)
    {
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.IsSuccessStatusCode, $"{(int)answer.StatusCode} {answer.RequestMessage!.Method} {answer.RequestMessage.RequestUri}: {text}");
        return JsonNode.Parse(text)!;
    }

    public static async Task<JsonNode> Problem(this HttpResponseMessage answer, int status)
    {
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True((int)answer.StatusCode == status, $"expected {status}, found {(int)answer.StatusCode}: {text}");
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType?.MediaType);
        return JsonNode.Parse(text)!;
    }

    private static ByteArrayContent File(byte[] bytes)
    {
        var content = new ByteArrayContent(bytes);
        content.Headers.ContentType = new MediaTypeHeaderValue("text/csv");
        return content;
    }
}
