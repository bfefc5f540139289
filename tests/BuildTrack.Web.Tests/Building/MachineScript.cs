using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;

namespace BuildTrack.Web.Tests.Building;

/// <summary>An answer of the server that was not the one the script needs.</summary>
internal sealed class ScriptStoppedException(string part, HttpStatusCode status, string text) : Exception($"{part}: {(int)status} {text}")
{
    /// <summary>A rule forbade it, or it is not there.</summary>
    public bool Refused => status is HttpStatusCode.Conflict;
}

/// <summary>One part of building a machine, with a name by which it can be left out.</summary>
internal sealed record ScriptPart(string Name, Func<Task> Do);

/// <summary>The people who build: each a client that carries the person's own token.</summary>
internal sealed record Crew(HttpClient Planner, HttpClient Technician, HttpClient Inspector, string Password);

/// <summary>A class-B machine from order to factory certificate over the network: steps, surveys, yes/no lists, and releases by a second person.</summary>
internal sealed class MachineScript
{
    public const string Model = "OV-1530/03";

    // Steps of the route up to factory acceptance; the lists answered and the points released at each.
    private static readonly (int Step, (string List, int Questions)[] Lists, string[] Holds)[] Route =
    [
        (10, [("h0-list", 5)], ["H0"]), (20, [], []), (30, [], []), (40, [], []), (50, [], []), (60, [], []), (70, [], []), (80, [], []), (90, [], []),
        (100, [], ["H1"]), (110, [("mask-list", 3)], []), (120, [("h2-list", 3)], ["H2"]), (130, [], []), (140, [("h3-list", 1)], ["H3"]), (150, [("h4-list", 4)], ["H4"]),
        (160, [("h5-list", 3)], ["H5"]), (170, [("h6-list", 2)], []), (175, [], ["H6"]), (180, [], []), (185, [], []), (190, [], []),
        (200, [("h7a-list", 3), ("h7b-list", 4), ("h7-list", 3)], ["H7a", "H7b", "H7"]), (210, [("h8-list", 1)], ["H8"]), (220, [("h9a-list", 2), ("h9b-list", 1)], ["H9a", "H9b"]),
        (230, [], []), (240, [], []), (250, [("h10-list", 3)], ["H10"]), (260, [("h11-list", 3)], ["H11"]),
    ];

    /// <summary>Steps at which components of the as-built list are fitted.</summary>
    private static readonly int[] Carrying = [160, 170, 180, 190, 200];

    /// <summary>Photos that the route asks for, by step.</summary>
    private static readonly Dictionary<int, string[]> Photos = new() { [90] = ["clamp-pattern"], [110] = ["masking"] };

    private readonly Crew crew;
    private readonly string serial;
    private readonly IReadOnlyList<TypedRun> runs;
    private readonly HashSet<string> looked = [];

    public MachineScript(Crew crew, string serial, int seed)
    {
        (this.crew, this.serial, runs) = (crew, serial, SmoothReadings.Of(seed));
        Parts = [.. Build()];
    }

    public IReadOnlyList<ScriptPart> Parts { get; }

    /// <summary>Readings typed by the whole script, answers to questions included.</summary>
    public int Readings => runs.Sum(r => r.Readings.Length) + Route.SelectMany(r => r.Lists).Sum(l => l.Questions);

    /// <summary>Requests that wrote.</summary>
    public int Written { get; private set; }

    /// <summary>Number of the factory certificate; null where none was issued.</summary>
    public string? Certificate { get; private set; }

    /// <summary>The parts that the certificate needs: a step with a hold point may be noted late, so its work is not among them.</summary>
    public static bool IsNeeded(ScriptPart part) =>
        part.Name != "order" && !Route.Any(r => r.Holds.Length > 0 && part.Name.EndsWith($" {r.Step}", StringComparison.Ordinal));

    /// <summary>Does everything in its order, but one part.</summary>
    /// <param name="without">Name of the part that is left out; what the rules then refuse is left out too.</param>
    /// <returns>Parts that were refused.</returns>
    public async Task<int> Run(string? without = null)
    {
        var refused = 0;
        foreach (var part in Parts.Where(p => p.Name != without))
        {
            try
            {
                await part.Do();
            }
            catch (ScriptStoppedException e) when (without is not null && e.Refused)
            {
                refused++;
            }
        }

        return refused;
    }

    private IEnumerable<ScriptPart> Build()
    {
        yield return new ScriptPart("order", () => Post(crew.Planner, "order", "/machines", new { serial, model = Model, customer = "Brackwater Fabrications" }));
        foreach (var (step, lists, holds) in Route)
        {
            // The work of a step is one part: what is not begun is not finished either.
            var begun = false;
            yield return new ScriptPart($"work {step}", async () =>
            {
                await Post(crew.Technician, $"start {step}", $"/machines/{serial}/steps/{step}/start");
                begun = true;
            });
            foreach (var survey in runs.Where(r => r.Step == step).GroupBy(r => r.Survey))
            {
                yield return new ScriptPart($"survey {survey.Key}", async () =>
                {
                    foreach (var run in survey)
                    {
                        await Measure(run);
                    }
                });
            }

            if (Carrying.Contains(step))
            {
                yield return new ScriptPart($"components {step}", () => List(step));
            }

            foreach (var (list, questions) in lists)
            {
                var answers = Enumerable.Range(1, questions).Select(q => ("whole", $"q{q}", "yes")).ToArray();
                yield return new ScriptPart($"list {list}", () => Measure(new TypedRun(list, step, null, null, [], answers)));
                if (holds.Length == lists.Length && holds.Length > 1)
                {
                    var hold = holds[Array.FindIndex(lists, l => l.List == list)];
                    yield return new ScriptPart($"release {hold}", () => Release(hold));
                }
            }

            yield return new ScriptPart($"end of work {step}", async () =>
            {
                if (begun)
                {
                    foreach (var subject in Photos.GetValueOrDefault(step, []))
                    {
                        await Attach(step, subject);
                    }

                    await Post(crew.Technician, $"finish {step}", $"/machines/{serial}/steps/{step}/finish");
                }
            });
            foreach (var hold in holds.Length > 1 ? [] : holds)
            {
                if (hold == "H11")
                {
                    yield return new ScriptPart($"witness {hold}", () => Post(
                        crew.Inspector, $"witness {hold}", $"/machines/{serial}/holds/{hold}/witness", new { outcome = "waived", witness = "Hollis Brandt-Leigh", letter = "BF 411, by post" }));
                }

                yield return new ScriptPart($"release {hold}", () => Release(hold));
            }
        }
    }

    private async Task Measure(TypedRun run)
    {
        var name = $"{run.Survey} {run.Feature} {run.Direction}";
        foreach (var instrument in run.Instruments.Where(looked.Add))
        {
            await CheckFirst(instrument);
        }

        var stepped = run.Readings[0].Place.Contains('→', StringComparison.Ordinal);
        var begun = await Post(crew.Technician, name, $"/machines/{serial}/runs", new
        {
            survey = run.Survey, feature = run.Feature, kind = "pass", direction = run.Direction, arrow = stepped ? "plusX" : null, instruments = run.Instruments,
            checks = run.Instruments.Select(i => new { instrument = i, found = "in order", inOrder = true }),
            conditions = run.Step is 100 or 120 && run.Instruments.Length > 0 ? new { air = 20.4m, top = new[] { 20.3m, 20.3m }, bottom = new[] { 20.2m, 20.2m } } : null,
        });
        await Post(crew.Technician, name, $"/machines/{serial}/runs/{begun["run"]}/readings", new { readings = run.Readings.Select(r => new { place = r.Place, column = r.Column, typed = r.Typed }) });
        await Post(crew.Technician, name, $"/machines/{serial}/runs/{begun["run"]}/finish");
    }

    /// <summary>Lists every component of a step.</summary>
    private async Task List(int step)
    {
        var list = JsonNode.Parse(await crew.Technician.GetStringAsync($"/api/v1/machines/{serial}/components"))!["places"]!.AsArray();
        foreach (var place in list.Where(p => (int)p!["step"]! == step).Select(p => (string)p!["place"]!))
        {
            await Post(crew.Technician, $"component {place}", $"/machines/{serial}/components", new { place, serial = $"{serial} {place}", firmware = "4.2", certificate = "H-1" });
        }
    }

    /// <summary>The check of the day, where the register asks for one.</summary>
    private async Task CheckFirst(string instrument)
    {
        var entry = JsonNode.Parse(await crew.Technician.GetStringAsync($"/api/v1/instruments/{instrument}"))!["entry"]!;
        if ((bool?)entry["needsCheck"] == true)
        {
            await Post(crew.Technician, $"check {instrument}", $"/instruments/{instrument}/checks", new { reference = "gauge block", found = "0", limit = "1" });
        }
    }

    /// <summary>The photo a step is not finished without: a picture of no size, another one for each subject.</summary>
    private async Task Attach(int step, string subject)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/v1/machines/{serial}/steps/{step}/files?name={subject}.png&subject={subject}")
        {
            Content = new ByteArrayContent([0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, .. System.Text.Encoding.UTF8.GetBytes($"{serial} {subject}")]),
        };
        await Send(crew.Technician, $"photo {subject}", request);
    }

    private async Task Release(string hold)
    {
        var machine = JsonNode.Parse(await crew.Inspector.GetStringAsync($"/api/v1/machines/{serial}"))!;
        var sheet = (string)machine["holds"]!.AsArray().Single(h => (string)h!["id"]! == hold)!["sheet"]!;
        var receipt = await Post(crew.Inspector, $"release {hold}", $"/machines/{serial}/holds/{hold}/release", new { password = crew.Password }, sheet);
        if (hold == "H11")
        {
            Certificate = (string?)receipt["certificate"];
        }
    }

    private async Task<JsonNode> Post(HttpClient client, string part, string path, object? body = null, string? ifMatch = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/v1" + path) { Content = body is null ? null : JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.TryAddWithoutValidation("If-Match", $"\"{ifMatch}\"");
        }

        return await Send(client, part, request);
    }

    private async Task<JsonNode> Send(HttpClient client, string part, HttpRequestMessage request)
    {
        request.Headers.Add("Idempotency-Key", Guid.NewGuid().ToString("N"));
        using var answer = await client.SendAsync(request);
        var text = await answer.Content.ReadAsStringAsync();
        if (!answer.IsSuccessStatusCode)
        {
            throw new ScriptStoppedException(part, answer.StatusCode, text);
        }

        Written++;
        return JsonNode.Parse(text)!;
    }
}
