using System.Net;
using System.Text.Json.Nodes;
using BuildTrack.Domain.Tests.Route.Walking;

namespace BuildTrack.Web.Tests.Walks;

/// <summary>A machine on a walk through the server: every act is a request with the token of the person who tries it.</summary>
internal sealed class MachineOnServer(WalkPlant plant, string serial)
{
    private readonly Dictionary<int, long> runs = [];
    private readonly Dictionary<int, Queue<int>> open = [];
    private readonly Queue<int> items = [];
    private int itemsSoFar;

    public Task Order() => plant.As("tilda").Post("/machines", new { serial, model = WalkPlant.Model, customer = "Brackwater Fabrications" });

    /// <summary>Tries the act: null where it was done, else the rule that forbade it or that the role does not allow it.</summary>
    public async Task<string?> Try(WalkAct act)
    {
        if (act.Kind == WalkKind.Settle)
        {
            await Settle(open[act.Step].Dequeue());
            return null;
        }

        var (path, body) = Asked(act);
        var sheet = act.Kind is WalkKind.Release or WalkKind.Return ? await Survey.Sheet(plant.As(act.Person), serial, RouteStatement.HoldOf(act.Step)!) : null;
        using var answer = await plant.As(act.Person).Send(HttpMethod.Post, path, body, ifMatch: sheet);
        switch (answer.StatusCode)
        {
            case HttpStatusCode.Forbidden:
                await answer.Problem(403);
                return RouteStatement.WrongRole;
            case HttpStatusCode.Conflict:
                return (string)(await answer.Problem(409))["rule"]!;
        }

        await Note(act, await answer.Good());
        return null;
    }

    /// <summary>How every step stands, every hold point with who released it, and how many certificates were issued, as the API tells it.</summary>
    public async Task<(Dictionary<int, string> Steps, Dictionary<string, (string Word, string? By)> Holds, int Certificates)> Read()
    {
        var route = await plant.As("odo").Get($"/machines/{serial}/route");
        var machine = await plant.As("odo").Get($"/machines/{serial}");
        return (
            route["steps"]!.AsArray().ToDictionary(s => (int)s!["number"]!, s => (string)s!["state"]!),
            machine["holds"]!.AsArray().ToDictionary(h => (string)h!["id"]!, h => ((string)h!["state"]!, (string?)h["releasedBy"])),
            machine["certificates"]!.AsArray().Count);
    }

    private (string Path, object? Body) Asked(WalkAct act)
    {
        var (machine, hold) = ($"/machines/{serial}", RouteStatement.Steps.FirstOrDefault(s => s.Number == act.Step).Hold);
        string Step(string what) => $"{machine}/steps/{act.Step}/{what}";
        string Run(string what) => $"{machine}/runs/{runs[act.Step]}/{what}";
        var reason = new { reason = "as the walk says" };
        return act.Kind switch
        {
            WalkKind.Start => (Step("start"), null),
            WalkKind.Pause => (Step("pause"), reason),
            WalkKind.Finish => (Step("finish"), null),
            WalkKind.NotApplicable => (Step("not-applicable"), reason),
            WalkKind.Reopen => (Step("reopen"), reason),
            WalkKind.SendBack => (Step("send-back"), new { trigger = act.Trigger, reason.reason }),
            WalkKind.PutOnHold => ($"{machine}/hold", reason),
            WalkKind.LiftHold => ($"{machine}/hold/lift", null),
            WalkKind.Begin => ($"{machine}/runs", new { survey = $"list-{hold}", kind = "pass", helpers = act.Helper is null ? [] : new[] { act.Helper } }),
            WalkKind.Answer => (Run("readings"), new { readings = new[] { new { place = "whole", column = "q1", typed = act.Yes ? "yes" : "no" } } }),
            WalkKind.Discard => (Run("discard"), reason),
            WalkKind.Rework => ($"{machine}/bed-changes", new { change = $"again-{hold}", note = "as the walk says" }),
            WalkKind.AddItem => ($"{machine}/punch-list", new { text = "Sharp edge", @class = "A", owner = act.Helper, outside = false, due = "2099-12-01" }),
            WalkKind.CloseItem => ($"{machine}/punch-list/{items.Peek()}/close", new { evidence = "as the walk says" }),
            WalkKind.Issue => ($"{machine}/certificates/all", new { password = Server.Password }),
            WalkKind.Release => ($"{machine}/holds/{hold}/release", new { password = Server.Password }),
            WalkKind.Return => ($"{machine}/holds/{hold}/return", reason),
            _ => ($"{machine}/nonconformances", new { step = act.Step, required = "Ra 3.2", found = "Ra 3.9", origin = "company standard", severity = "minor" }),
        };
    }

    private async Task Note(WalkAct act, JsonNode answer)
    {
        switch (act.Kind)
        {
            case WalkKind.Begin:
                runs[act.Step] = (long)answer["run"]!;
                break;
            case WalkKind.Answer:
                await plant.As(act.Person).Post($"/machines/{serial}/runs/{runs[act.Step]}/finish");
                break;
            case WalkKind.AddItem:
                items.Enqueue(++itemsSoFar);
                break;
            case WalkKind.CloseItem:
                items.Dequeue();
                break;
            case WalkKind.Raise:
                open.TryAdd(act.Step, new Queue<int>());
                open[act.Step].Enqueue((int)answer["number"]!);
                break;
        }
    }

    private async Task Settle(int number)
    {
        var text = new { text = "as the walk says" };
        Task<JsonNode> Enter(string person, string what, object body) => plant.As(person).Post($"/nonconformances/{number}/{what}", body);
        await Enter("renna", "contain", new { text.text, tag = "red 7", place = "bay 2" });
        await Enter("maren", "propose", new { text.text, cause = "method", disposition = "rework" });
        await Enter("dov", "approve", text);
        await Enter("renna", "action", text);
        await Enter("maren", "verify", text);
        Assert.Equal("closed", (string)(await Enter("maren", "close", text))["state"]!);
    }
}
