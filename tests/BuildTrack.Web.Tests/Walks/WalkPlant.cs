using BuildTrack.Domain.Tests.Route.Walking;
using BuildTrack.Records.Storage;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;

namespace BuildTrack.Web.Tests.Walks;

/// <summary>A server whose checklists are the small plant of the walks: a list of one question at each hold point.</summary>
public sealed class WalkPlant : IAsyncLifetime
{
    public const string Model = "W-1";

    private readonly string folder = Directory.CreateTempSubdirectory("buildtrack-walks-").FullName;
    private readonly Dictionary<string, HttpClient> clients = [];

    public WalkPlant() => Server = new Server { ChecklistFolder = folder };

    internal Server Server { get; }

    /// <summary>The client of a person of the walks.</summary>
    public HttpClient As(string person) => clients[person];

    public async ValueTask InitializeAsync()
    {
        foreach (var (path, text) in Checklists)
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.Combine(folder, path))!);
            await File.WriteAllTextAsync(Path.Combine(folder, path), text);
        }

        await Server.InitializeAsync();

        // Every release asks for the password. Its 210,000 rounds would be most of the walks' time, and are not what is tried here.
        var few = new PasswordHasher<object>(Options.Create(new PasswordHasherOptions { IterationCount = 100 })).HashPassword(this, Server.Password);
        await using var db = Server.Services.GetRequiredService<Store>().Open();
        await db.Persons.ExecuteUpdateAsync(p => p.SetProperty(x => x.PasswordHash, few));
        foreach (var (person, _) in RouteStatement.People)
        {
            clients[person] = Server.As(person);
        }
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var client in clients.Values)
        {
            client.Dispose();
        }

        await Server.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    private static IEnumerable<(string Path, string Text)> Checklists
    {
        get
        {
            var holds = RouteStatement.Steps.Where(s => s.Hold is not null).ToArray();
            static string Lines<T>(IEnumerable<T> of, Func<T, string> line) => string.Concat(of.Select(o => $"  - {line(o)}\n"));
            yield return ("route.yaml", "edition: W\nsteps:\n"
                + Lines(RouteStatement.Steps, s => $"{{number: {s.Number}, name: Step {s.Number}, work-centre: bench, after: [{string.Join(", ", s.After)}]{(s.Hold is null ? "" : $", holds: [{{id: {s.Hold}, name: Point {s.Hold}}}]")}}}")
                + "rework:\n" + Lines(RouteStatement.Triggers, t => $"{{id: {t.Id}, title: Found {t.Id}, found-at: [{string.Join(", ", t.FoundAt)}], returns-to: {t.ReturnsTo}, origin: company standard}}")
                + $"scopes:\n  - {{id: all, title: All, holds: [{string.Join(", ", holds.Select(s => s.Hold))}]}}\n");
            yield return ("work-centres.yaml", "work-centres: [{id: bench, name: Bench}]\n");
            yield return ("models/walk.yaml", $"models:\n  - {{id: {Model}, class: A, name: Walk, seat-length: 1000, gauge: 1000, bed-depth: 100}}\n");
            yield return ("surveys/lists.yaml", "surveys:\n" + Lines(holds, s =>
                $"{{id: list-{s.Hold}, step: {s.Number}, title: List of {s.Hold}, places: whole, columns: [{{id: q1, title: 'Is everything in order?', kind: choice, choices: [yes, no]}}]}}"));
            yield return ("characteristics/lists.yaml", "characteristics:\n" + Lines(holds, s =>
                $"{{id: answers-{s.Hold}, line: {s.Number}-01, hold: {s.Hold}, title: List of {s.Hold}, evaluator: yes-no-list, from: {{q1: list-{s.Hold}.q1}}, limit: answered-no}}"));
            yield return ("limits/class-a.yaml", "class: A\nlimits:\n  answered-no: {upper: 0 1, rule: simple, origin: company standard, edition: W}\n");
            yield return ("invalidation.yaml", "invalidation:\n" + Lines(holds, s => $"{{change: again-{s.Hold}, title: Worked on again, surveys: [list-{s.Hold}]}}"));
        }
    }
}
