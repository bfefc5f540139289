using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.TakenAlong;

namespace BuildTrack.Browser.Tests;

/// <summary>The calculations in the browser are the server's.</summary>
public sealed class EngineTests(DemoServer server) : BrowserTest(server), IClassFixture<DemoServer>
{
    // A browser takes a quarter of a second for each: a hundred in every build, a thousand in a nightly run.
    private static readonly int Surveys = int.TryParse(Environment.GetEnvironmentVariable("BUILDTRACK_SURVEYS"), CultureInfo.InvariantCulture, out var wanted) ? wanted : 100;

    /// <summary>The server's assemblies in .NET and in Chromium: surveys with seeded heights, every character of every answer.</summary>
    [Fact]
    public async Task The_browser_and_the_server_calculate_surveys_alike_to_the_last_character()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var renna = await Server.SignIn("renna.tallworth");
        var sheet = await WithoutNetworkTests.BeginBed(renna);
        var text = await renna.EvaluateAsync<string>(
            "async (address) => new DOMParser().parseFromString(await (await fetch(address)).text(), 'text/html').querySelector('[data-taken-run]').textContent", sheet + "?handler=TakeAlong");
        // The law of the noise zone is worked out once for a layout, and takes a browser long: two kinds are enough, and every survey goes through each.
        var whole = CanonicalJson.Read<TakenRun>(text);
        var taken = whole with { Calculations = [.. whole.Calculations.Where(c => c.Characteristic.Evaluator is "flatness" or "local-straightness")] };
        Assert.Equal(2, taken.Calculations.Length);
        var random = new Random(20261128);
        var surveys = Enumerable.Range(0, Surveys).Select(_ => taken.Entries.Select(e => new KeptValue(e.Place, e.Columns[0], (random.Next(-900, 901) / 10.0).ToString(CultureInfo.InvariantCulture))).ToArray()).ToArray();
        var answers = await renna.EvaluateAsync<string[]>(
            """
            async ([taken, surveys]) => {
              const worker = new Worker('/js/engine.js', { type: 'module' });
              let n = 0;
              const call = (act, ...args) => new Promise((resolve, reject) => {
                worker.onmessage = ({ data }) => (data.fault === undefined ? resolve(data.answer) : reject(new Error(data.fault)));
                worker.postMessage({ id: n += 1, act, args });
              });
              await call('Take', taken);
              const answers = [];
              for (const survey of surveys) answers.push(await call('Calculate', survey));
              return answers;
            }
            """, new object[] { CanonicalJson.Of(taken), surveys.Select(s => CanonicalJson.Of(s)).ToArray() });
        for (var i = 0; i < Surveys; i++)
        {
            Assert.Equal(CanonicalJson.Of(TabletWork.Calculate(taken, surveys[i])), answers[i]);
        }
    }
}
