using System.Diagnostics;
using System.Globalization;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using Microsoft.Extensions.DependencyInjection;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>How long each page of the demo takes, asked one at a time over the loopback address: the server's time and a fraction of a millisecond.</summary>
internal static class PageTimes
{
    private const int Warm = 30;
    private const int Rounds = 100;
    private const string Machine = "OV2661-0031";

    public static async Task Run()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-pages-");
        try
        {
            var (published, data) = (Path.Combine(folder.FullName, "server"), Path.Combine(folder.FullName, "data"));
            await ServerProcess.Publish(published);
            using var server = await ServerProcess.Start(published, data, demo: true);
            await using var records = DemoData.Open(data);
            var run = (await records.GetRequiredService<MachineReader>().Load(Machine, CancellationToken.None)).Measurements.SelectMany(m => m.Runs).First().Id;
            await Measure(server, records, Machine, run);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    /// <summary>The median of every page that answered, in ms; each is written as a line as well.</summary>
    public static async Task<List<double>> Measure(ServerProcess server, IServiceProvider records, string machine, long run)
    {
        var sessions = records.GetRequiredService<SessionStore>();
        var cookies = new Dictionary<string, string>();
        foreach (var person in new[] { "renna.tallworth", "maren.ostley", "tilda.averne", "odo.fenn" })
        {
            cookies[person] = (await sessions.SignIn(person, DemoData.Password, CancellationToken.None)).Secret ?? throw new InvalidOperationException($"{person} could not sign in.");
        }

        Line(("page", -48), ("as", -18), ("median", 10), ("95 %", 10), ("kB", 8));
        var medians = new List<double>();
        foreach (var (path, person) in Pages(machine, run))
        {
            if (await One(new Uri(server.Address, path), path, person, cookies[person]) is { } median)
            {
                medians.Add(median);
            }
        }

        return medians;
    }

    private static IEnumerable<(string Path, string Person)> Pages(string machine, long run) =>
    [
        ("/", "renna.tallworth"), ("/machines", "tilda.averne"), ("/machines/new", "tilda.averne"), ($"/machines/{machine}", "renna.tallworth"),
        ($"/machines/{machine}/step/100", "renna.tallworth"), ($"/machines/{machine}/runs/{run.ToString(CultureInfo.InvariantCulture)}", "renna.tallworth"),
        ($"/machines/{machine}/results/100-01", "renna.tallworth"), ($"/machines/{machine}/release/H1", "maren.ostley"), ($"/machines/{machine}/bed-change", "renna.tallworth"),
        ($"/machines/{machine}/route", "tilda.averne"), ($"/machines/{machine}/nonconformances", "maren.ostley"), ($"/machines/{machine}/punch-list", "maren.ostley"), ($"/machines/{machine}/surveys/bed-heights", "maren.ostley"), ("/work-centres", "tilda.averne"), ("/nonconformances", "maren.ostley"),
        ("/waiting", "maren.ostley"), ("/certificates", "maren.ostley"), ("/instruments", "odo.fenn"), ("/checklists", "odo.fenn"), ("/people", "odo.fenn"), ("/plant", "odo.fenn"),
        ("/history", "odo.fenn"), ("/tokens", "renna.tallworth"), ("/api/v1/machines", "tilda.averne"), ($"/api/v1/machines/{machine}", "tilda.averne"),
    ];

    private static async Task<double?> One(Uri address, string path, string person, string secret)
    {
        using var http = new HttpClient(new SocketsHttpHandler { UseCookies = false, AllowAutoRedirect = false });
        var times = new List<double>();
        var size = 0;
        for (var round = -Warm; round < Rounds; round++)
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, address);
            request.Headers.TryAddWithoutValidation("Cookie", $"{Web.Security.SessionSchemes.CookieName}={secret}");
            var begun = Stopwatch.GetTimestamp();
            using var answer = await http.SendAsync(request);
            size = (await answer.Content.ReadAsByteArrayAsync()).Length;
            if (!answer.IsSuccessStatusCode)
            {
                Line((path, -48), (person, -18), ($"{(int)answer.StatusCode} instead of 200", 20));
                return null;
            }

            if (round >= 0)
            {
                times.Add(Stopwatch.GetElapsedTime(begun).TotalMilliseconds);
            }
        }

        Line((path, -48), (person, -18), (Ms(Median(times)), 10), (Ms(Quantile(times, 0.95)), 10), ((size / 1024.0).ToString("0.0", CultureInfo.InvariantCulture), 8));
        return Median(times);
    }
}
