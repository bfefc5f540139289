using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>What is measured on the walk of a whole machine, with which instruments, and in which way it comes to its sheet.</summary>
public sealed partial class WalkTests
{
    // A run as a program records it.
    private const string RecordRun = """
        async ({ serial, name, begin, readings }) => {
            const send = async (part, path, body) => {
                const answer = await fetch(`/api/v1/machines/${serial}/runs${path}`, { method: 'POST',
                    headers: { 'Content-Type': 'application/json', 'Idempotency-Key': `${name} ${part}` }, body: JSON.stringify(body) });
                if (!answer.ok) throw new Error(`${name} ${part}: ${await answer.text()}`);
                return answer.json();
            };
            const { run } = await send('begin', '', begin);
            await send('readings', `/${run}/readings`, { readings });
            await send('finish', `/${run}/finish`, {});
        }
        """;

    // What nobody types: it comes from a file, in this unit.
    private static readonly Dictionary<string, string> FromFile = new() { ["power-log"] = "W", ["circle-slow"] = "um", ["circle-fast"] = "um" };

    private static int recorded;

    // Typed once before on the same kind of sheet: the bed before its coating, X before Y, the rails before the gantry stood on them.
    private static readonly HashSet<string> ByProgram = ["coated-along", "coated-across", "coated-side", "y-window", "loaded-along", "loaded-across"];

    // What is used where; the demo plant's register.
    private static readonly Dictionary<string, string[]> Instruments = new()
    {
        ["frame-size"] = ["TAP-01"], ["frame-pads"] = ["TRK-01"], ["unclamping"] = ["IND-11"], ["milled-depth"] = ["IND-11"], ["bed-heights"] = ["TRK-01"], ["pad-thickness"] = ["UTG-01"],
        ["coated-heights"] = ["TRK-01"], ["film"] = ["CTG-01"], ["oven"] = ["THM-01"], ["gauge"] = ["IND-11"], ["joint-steps"] = ["IND-12"], ["diagonals"] = ["DST-01"], ["square-reversal"] = ["IND-11"], ["x-window"] = ["IFM-01"],
        ["power"] = ["PWR-02"], ["power-log"] = ["PWR-02"], ["extraction"] = ["ANE-01"], ["radiation"] = ["RAD-01"], ["noise"] = ["SND-01"], ["sample-cuts"] = ["MIC-01", "RGH-01"], ["stopping"] = [], ["gas-cuts"] = [], ["gas-plant"] = [],
        ["beam-along"] = ["LVL-02"], ["beam-across"] = ["LVL-02"], ["z-square"] = ["IND-11"], ["z-travel"] = ["TAP-01"], ["rack-joints"] = ["IND-11"], ["rack-height"] = ["IND-11"], ["backlash"] = ["IND-11"], ["loaded-along"] = ["LVL-02"], ["loaded-across"] = ["LVL-02"],
        ["y-window"] = ["IFM-01"], ["circle-slow"] = ["CIR-01"], ["circle-fast"] = ["CIR-01"], ["recheck"] = ["IFM-01"], ["leak-test"] = ["PRG-01", "THM-02"], ["bonding"] = ["BND-01"], ["insulation"] = ["INS-01"], ["live-electrical"] = ["VLT-01"], ["coolant"] = ["THM-02", "HYG-01"], ["coolant-flow"] = ["TFM-01"], ["beam-caustic"] = ["PRF-01"], ["head"] = ["MIC-01"],
    };

    private static async Task Records(IPage page, int step, string survey, string? feature, string? direction, List<(string Place, string Column, string Typed)> readings)
    {
        recorded++;
        await page.EvaluateAsync(RecordRun, new
        {
            serial = Whole, name = $"{survey} {recorded}",
            begin = new
            {
                survey, feature, kind = "pass", direction, arrow = readings[0].Place.Contains('→', StringComparison.Ordinal) ? "plusX" : null, instruments = UsedFor(survey),
                checks = UsedFor(survey).Select(i => new { instrument = i, found = "looked at, in order", inOrder = true }).ToArray(),
                conditions = step is 120 ? new { air = 20.2, top = new[] { 20.2, 20.2 }, bottom = new[] { 20.1, 20.1 } } : null,
            },
            readings = readings.Select(r => new { place = r.Place, column = r.Column, typed = r.Typed }).ToArray(),
        });
    }

    private static string[] UsedFor(string survey) => Instruments.GetValueOrDefault(survey) ?? (survey.EndsWith("-side", StringComparison.Ordinal) ? ["AC-01"] : ["LVL-02"]);

    private static IEnumerable<(string Survey, string? Feature, string? Direction, List<(string, string, string)> Readings)> RunsOf(int step)
    {
        string[] surveys = step switch
        {
            50 => ["frame-size", "frame-pads"], 90 => ["unclamping", "milled-depth"], 100 => ["bed-along", "bed-across", "bed-side"], 110 => ["film", "oven"],
            120 => ["coated-heights", "coated-along", "coated-across", "coated-side"], 140 => ["beam-along", "beam-across", "z-square", "z-travel"],
            160 => ["rail-along", "rail-across", "rail-side", "gauge", "joint-steps", "rack-joints", "rack-height"], 170 => ["backlash"], 175 => ["loaded-along", "loaded-across", "diagonals", "square-reversal"],
            180 => ["leak-test"], 200 => ["bonding", "insulation", "live-electrical"], 210 => ["x-window", "y-window", "circle-slow", "circle-fast", "stopping"], 220 => ["power", "coolant", "coolant-flow", "head", "beam-caustic", "radiation", "extraction"], 240 => ["power-log", "recheck"], _ => ["sample-cuts", "noise", "gas-cuts", "gas-plant"],
        };
        return File.ReadAllLines(DemoServer.DemoFile("OV1212-0088-readings.csv")).Skip(1).Select(l => l.Split(',')).Where(c => surveys.Contains(c[0]))
            .GroupBy(c => (c[0], c[1], c[2], c[3]))
            .Select(g => (g.Key.Item1, g.Key.Item2.Length == 0 ? null : g.Key.Item2, g.Key.Item4.Length == 0 ? null : g.Key.Item4, g.Select(c => (c[4], c[5], c[6])).ToList()));
    }
}
