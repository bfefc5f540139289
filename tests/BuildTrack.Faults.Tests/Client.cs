using System.Collections.Concurrent;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;

namespace BuildTrack.Faults.Tests;

/// <summary>A person's program: sends each request under a key of its own, again and again until an answer comes.</summary>
internal sealed class Client(Server server, string token) : IDisposable
{
    private readonly HttpClient http = new() { Timeout = TimeSpan.FromSeconds(20) };

    /// <summary>Requests whose answer was lost, and which were sent again under the same key.</summary>
    public int SentAgain { get; private set; }

    public async Task<JsonNode> Send(HttpMethod method, string path, object? body = null, string? ifMatch = null)
    {
        var key = Guid.NewGuid().ToString("N");
        for (var patience = 0; ; patience++)
        {
            var at = await server.Address;
            try
            {
                using var request = new HttpRequestMessage(method, new Uri(at, "/api/v1" + path)) { Content = body is null ? null : JsonContent.Create(body) };
                request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
                request.Headers.Add("Idempotency-Key", key);
                if (ifMatch is not null)
                {
                    request.Headers.TryAddWithoutValidation("If-Match", $"\"{ifMatch}\"");
                }

                using var answer = await http.SendAsync(request);
                var text = await answer.Content.ReadAsStringAsync();
                if (answer.IsSuccessStatusCode)
                {
                    return JsonNode.Parse(text)!;
                }

                if (answer.StatusCode != HttpStatusCode.ServiceUnavailable)
                {
                    // What it logged comes by another way, a moment later.
                    await Task.Delay(1000);
                    throw new InvalidOperationException($"{(int)answer.StatusCode} {method} {path}: {text}\nThe server's last lines:\n{string.Join('\n', server.LastLines())}");
                }
            }
            catch (Exception e) when (e is HttpRequestException or TaskCanceledException or IOException && patience < 1000)
            {
                SentAgain++;
            }

            await Task.Delay(20);
        }
    }

    public void Dispose() => http.Dispose();
}

/// <summary>A reading that the server has said it holds.</summary>
internal sealed record Acknowledged(string Serial, long Run, long Id, string Place, string Typed);

/// <summary>Records reading after reading at the stations of a bed: begins a run, fills it, sets it aside, begins the next.</summary>
internal sealed class Recorder(Client client, string serial, int stations, Random random)
{
    private const int MostAtOnce = 4;

    public ConcurrentQueue<Acknowledged> Held { get; } = [];

    public async Task Work(CancellationToken until)
    {
        while (!until.IsCancellationRequested)
        {
            var run = (long)(await client.Send(HttpMethod.Post, $"/machines/{serial}/runs", new
            {
                survey = "bed-heights",
                kind = "pass",
                instruments = new[] { "TRK-01" },
                checks = new[] { new { instrument = "TRK-01", found = "in order", inOrder = true } },
                conditions = Bed.Conditions,
            }))["run"]!;
            for (var station = 0; station < stations && !until.IsCancellationRequested;)
            {
                var readings = Enumerable.Range(station, Math.Min(1 + random.Next(MostAtOnce), stations - station)).Select(s => new { place = Place(s), column = "z", typed = Typed() }).ToArray();
                var answer = await client.Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/readings", new { readings });
                foreach (var (id, reading) in answer["ids"]!.AsArray().Zip(readings))
                {
                    Held.Enqueue(new Acknowledged(serial, run, (long)id!, reading.place, reading.typed));
                }

                station += readings.Length;
            }

            await client.Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/discard", new { reason = "the next run is wanted" });
        }
    }

    // Both rail seats from the operator's end: R1-01, R1-02 … R2-01 …
    private string Place(int index) => FormattableString.Invariant($"R{(index / (stations / 2)) + 1}-{(index % (stations / 2)) + 1:00}");

    private string Typed() => FormattableString.Invariant($"{random.Next(-500, 500) / 10000.0:0.0000}");
}
