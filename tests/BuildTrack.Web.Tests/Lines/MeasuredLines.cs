using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Records.Certificates;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests.Lines;

/// <summary>A machine on which every published and constructed set along lines was measured over the network: registered, typed, finished, released, certified.</summary>
public sealed class MeasuredLines : IAsyncLifetime
{
    public const string Model = "LINES";
    private readonly Server server = new();

    internal Server Server => server;

    public string Serial { get; private set; } = "";

    /// <summary>Results by line as the API gives them.</summary>
    public Dictionary<string, JsonNode> Results { get; } = [];

    /// <summary>The same in the certificate's record.</summary>
    public Dictionary<string, JsonNode> Certified { get; } = [];

    /// <summary>The certificate as another program reads it, line by line as printed.</summary>
    public string[] Printed { get; private set; } = [];

    public byte[] Pdf { get; private set; } = [];

    public string KeyFingerprint { get; private set; } = "";

    public async ValueTask InitializeAsync()
    {
        await server.InitializeAsync();
        await Register("LVL-DIV", "slope", "div", "slope", 2, new { value = 0.01m, unit = "mm/m" });
        await Register("LVL-UM", "slope", "µm/m", "slope", 1);
        await Register("AC-SEC", "slope", "arcsec", "slope", 1);
        await Register("IND-UM", "deviation", "µm", "small difference", 0.4m);
        await Register("TRK-FINE", "height", "µm", "small difference", 2);
        await Register("IFM-UM", "position", "µm", "small difference", 0.2m);
        Serial = await Survey.Order(server, Model);
        await MeasureLevels();
        await MeasureAxes();
        await MeasureRails();
        await MeasureGrid();

        var renna = server.As("renna");
        var lines = (await renna.Get($"/machines/{Serial}"))["holds"]!.AsArray().Single(h => (string)h!["id"]! == "H1")!["results"]!.AsArray().Select(r => (string)r!["line"]!).ToList();
        foreach (var line in lines)
        {
            Results[line] = (await renna.Get($"/machines/{Serial}/results/{line}"))["evaluation"]!["result"]!;
        }

        var number = (string)(await Survey.Release(server, "maren", Serial))["certificate"]!;
        await server.Services.GetRequiredService<OutboxWorker>().Drain(CancellationToken.None);
        Pdf = await renna.GetByteArrayAsync($"/api/v1/certificates/{number}/1/pdf");
        Printed = await PrintedLines(Pdf);
        var record = JsonNode.Parse(await renna.GetStringAsync($"/api/v1/certificates/{number}/1/record"))!;
        KeyFingerprint = (string)record["keyFingerprint"]!;
        foreach (var result in record["results"]!.AsArray())
        {
            Certified[(string)result!["line"]!] = result["evaluation"]!["result"]!;
        }
    }

    public ValueTask DisposeAsync() => server.DisposeAsync();

    /// <summary>The sheet of a result, decoded.</summary>
    public async Task<string> Sheet(string line)
    {
        var answer = await server.As("renna").GetAsync($"/machines/{Serial}/results/{line}");
        Assert.True(answer.IsSuccessStatusCode, $"{(int)answer.StatusCode} for the sheet of {line}");
        return System.Net.WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }

    private async Task MeasureLevels()
    {
        var level = ReferenceFile.Load("straightness-level-1200mm");
        await Measure("level-line", "LVL-DIV", [("s", Steps("L", level.At("readings").GetArrayLength() + 1), Decimals(level.At("readings")))], arrow: "plusX");

        // The notes take the first station as reference: its reading is the zero of the six others.
        var collimator = ReferenceFile.Load("straightness-autocollimator-600mm");
        foreach (var (readings, direction) in new[] { ("forward_seconds_over_2min", "outward"), ("backward_seconds_over_2min", "back") })
        {
            var seconds = Decimals(collimator.At("readings", readings));
            await Measure("mirror-line", "AC-SEC", [("s", Steps("M", seconds.Length), [.. seconds.Skip(1).Select(s => s - seconds[0])])], direction, "plusX");
        }
    }

    private async Task MeasureAxes()
    {
        var axes = ReferenceFile.Load("straightness-squareness-two-axes");
        foreach (var (survey, axis, name) in new[] { ("first-axis", "axis1", "U"), ("second-axis", "axis2", "V") })
        {
            decimal[] readings = [.. axes.At(axis).EnumerateArray().Select(p => p[1].GetDecimal())];
            await Measure(survey, "IND-UM", [("d", [.. readings.Select((_, i) => $"{name}{i}")], readings)]);
        }

        // The report gives positions in mm; what is recorded is position less target, in µm.
        var slit = ReferenceFile.Load("acc-iso230-2-slit-axis");
        var targets = Decimals(slit.At("targets"));
        string[] places = [.. targets.Select((_, i) => $"T{i}")];
        for (var run = 0; run < 5; run++)
        {
            decimal[] Of(string positions) => [.. targets.Select((t, i) => (slit.At(positions)[i][run].GetDecimal() - t) * 1000)];
            await Measure("slit-axis", "IFM-UM", [("forward", places, Of("forward_positions")), ("backward", places, Of("backward_positions"))]);
        }
    }

    private async Task MeasureRails()
    {
        var rails = ReferenceFile.Load("constructed-two-rails");
        var points = rails.At("points").EnumerateArray().ToArray();
        await Measure(
            "two-rails-1200", "TRK-FINE",
            [("z", [.. points.Select((_, i) => $"A-{i}"), .. points.Select((_, i) => $"B-{i}")], [.. points.Select(p => p.GetProperty("rail_A_um").GetDecimal()), .. points.Select(p => p.GetProperty("rail_B_um").GetDecimal())])]);
        var across = Decimals(rails.At("recomputed", "height_difference_B_minus_A_um"));
        await Measure("bridge-1200", "LVL-UM", [("s", [.. across.Select((_, i) => $"C{i}")], [.. across.Select(a => decimal.Round(a * 1000 / rails.At("gauge_mm").GetDecimal(), 9))])]);
    }

    private Task MeasureGrid()
    {
        var grid = ReferenceFile.Load("constructed-grid-level-network-3x4");
        var rows = grid.At("readings", "rows").EnumerateArray().SelectMany((row, i) => row.EnumerateArray().Select((v, j) => ($"N{i}{j}→N{i}{j + 1}", v.GetDecimal())));
        var columns = grid.At("readings", "columns").EnumerateArray().SelectMany((column, j) => column.EnumerateArray().Select((v, i) => ($"N{i}{j}→N{i + 1}{j}", v.GetDecimal())));
        (string Place, decimal Value)[] all = [.. rows, .. columns];
        return Measure("grid-3x4", "LVL-UM", [("s", [.. all.Select(a => a.Place)], [.. all.Select(a => a.Value)])]);
    }

    private async Task Measure(string survey, string instrument, (string Column, string[] Places, decimal[] Values)[] columns, string? direction = null, string? arrow = null)
    {
        var renna = server.As("renna");
        var run = (long)(await renna.Post($"/machines/{Serial}/runs", new
        {
            survey, kind = "pass", direction, arrow, instruments = new[] { instrument }, checks = new[] { new { instrument, found = "zero by reversal", inOrder = true } },
        }))["run"]!;
        var readings = columns.SelectMany(c => c.Places.Zip(c.Values, (place, value) => new { place, column = c.Column, typed = value.ToString(CultureInfo.InvariantCulture) }));
        await renna.Post($"/machines/{Serial}/runs/{run}/readings", new { readings });
        await renna.Post($"/machines/{Serial}/runs/{run}/finish");
    }

    private Task<JsonNode> Register(string id, string quantity, string unit, string use, decimal u, object? division = null) => server.As("odo").Post("/instruments", new
    {
        id, name = id, serial = "S 1", quantity, unit, figures = new[] { new { use, a = new { value = u, unit = unit == "div" ? "µm/m" : unit }, k = 2 } },
        calibratedOn = "2015-01-01", validTo = "2099-12-31", certificate = "K-2", state = "inService", revision = 0, division,
    });

    private static string[] Steps(string name, int stations) => [.. Enumerable.Range(1, stations - 1).Select(i => $"{name}{i - 1}→{name}{i}")];

    private static decimal[] Decimals(JsonElement array) => [.. array.EnumerateArray().Select(v => v.GetDecimal())];

    private static async Task<string[]> PrintedLines(byte[] pdf)
    {
        var file = Path.GetTempFileName();
        try
        {
            await File.WriteAllBytesAsync(file, pdf);
            using var reader = Process.Start(new ProcessStartInfo("pdftotext", ["-layout", "-enc", "UTF-8", file, "-"]) { RedirectStandardOutput = true })!;
            var text = await reader.StandardOutput.ReadToEndAsync();
            await reader.WaitForExitAsync();
            Assert.Equal(0, reader.ExitCode);
            return text.Split('\n');
        }
        finally
        {
            File.Delete(file);
        }
    }
}
