using System.Text;
using System.Text.Json.Nodes;

namespace BuildTrack.Web.Tests;

/// <summary>The steps of measuring through the API, as a person takes them.</summary>
public static class Survey
{
    private static int serials;

    /// <summary>Orders a machine with a serial number of its own.</summary>
    public static async Task<string> Order(Server server, string model, params object[] changes)
    {
        var serial = $"{model}-{Interlocked.Increment(ref serials):0000}";
        await server.As("tilda").Post("/machines", new { serial, model, customer = "Brackwater Fabrications", changes });
        return serial;
    }

    public static object Begin(string survey, string kind = "pass", string? proves = null, string instrument = "TRK-01", params string[] helpers) => new
    {
        survey,
        kind,
        proves,
        instruments = new[] { instrument },
        checks = new[] { new { instrument, found = "drift 1 µm", inOrder = true } },
        helpers,
    };

    public static async Task<long> BeginRun(HttpClient person, string serial, string survey, string kind = "pass", string? proves = null, string instrument = "TRK-01", params string[] helpers) =>
        (long)(await person.Post($"/machines/{serial}/runs", Begin(survey, kind, proves, instrument, helpers)))["run"]!;

    /// <summary>Begins, uploads and finishes; returns the finished run's results by line.</summary>
    public static async Task<JsonNode> Measure(HttpClient person, string serial, string survey, string csv, string kind = "pass", string? proves = null, string instrument = "TRK-01", params string[] helpers)
    {
        var run = await BeginRun(person, serial, survey, kind, proves, instrument, helpers);
        await person.Post($"/machines/{serial}/runs/{run}/file?name=survey.csv", Encoding.UTF8.GetBytes(csv));
        return (await person.Post($"/machines/{serial}/runs/{run}/finish"))["results"]![0]!["result"]!;
    }

    public static async Task<JsonNode> Release(Server server, string person, string serial, string password = Server.Password)
    {
        var client = server.As(person);
        var sheet = await Sheet(client, serial);
        return await client.Post($"/machines/{serial}/holds/H1/release", new { password }, null, sheet);
    }

    public static async Task<string> Sheet(HttpClient client, string serial, string hold = "H1") =>
        (string)(await client.Get($"/machines/{serial}"))["holds"]!.AsArray().Single(h => (string)h!["id"]! == hold)!["sheet"]!;

    public static double Figure(JsonNode result, string name) =>
        (double)result["figures"]!.AsArray().Single(f => (string)f!["name"]! == name)!["value"]!;
}
