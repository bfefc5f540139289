using System.Security.Cryptography;
using System.Text.RegularExpressions;

namespace BuildTrack.Browser.Tests;

/// <summary>Every sheet there is, with an address in the demo plant and a person who may see it. "from → part" is the first link with that part on the sheet from.</summary>
internal static partial class SheetList
{
    /// <summary>A log of a film gauge, with columns of its own, that was read in the run that "begun" stands for.</summary>
    public static readonly byte[] FilmLog = "Film gauge 7\nSpot;Reading 1;Reading 2;Reading 3;Temperature of the part in °C;Remark\nP1;82,5;83,0;82,0;21,4;\nP2;85,0;84,5;85,5;21,4;\nP3;81,0;81,5;80,5;21,5;edge\n"u8.ToArray();

    public static readonly Dictionary<string, string[]> Of = new()
    {
        [""] = ["/sign-in", "/error"],
        ["renna.tallworth"] =
        [
            "/", "/machines", "/find?text=OV1", "/this-screen", "/machines/OV2661-0031", "/machines/OV2661-0031/route", "/machines/OV2661-0031/step/100",
            "/machines/OV2661-0031/results/100-01", "/machines/OV2661-0031/results/100-09", "/machines/OV2661-0031/bed-change", "/machines/OV1530-0417/nonconformances",
            "/machines/OV2661-0031/step/90/files", "/machines/OV2661-0031/as-built", "/machines/OV2661-0031/temperatures", "/machines/OV2661-0031/repeats",
            "/machines/OV1530-0413/results/310-01", "/machines/OV1212-0088/punch-list", "/nonconformances", "/instruments", "/instruments/IND-07", "/instruments/IND-07 → /reviews/",
            "/instruments/LVL-02/gauge-study", "/history", "/tokens", "/sign-out", "/checks", "/checks/120-02", "/work-centres", "/machines/OV2040-0203/results/120-01/feet",
            "/machines/OV2661-0031/results/100-01/plan", "/machines/OV2661-0031/surveys/bed-along", "/scan", "/pin", "/machines/OV2661-0031/route-card",
            "/machines/OV2661-0031/station-labels", "/machines/OV1212-0088/component-labels", "/instrument-labels", "/machines/OV2661-0030/site-pack", "/machines/OV2661-0030/without-network/visit-across", "/machines/OV2661-0030/site-protocol", "begun", "begun/station",
            $"begun?file={Convert.ToHexStringLower(SHA256.HashData(FilmLog))}&name=film.csv",
        ],
        ["maren.ostley"] =
        [
            "/", "/waiting", "/machines/OV1530-0417/release/H1", "/machines/OV1212-0088/release", "/machines/OV1212-0088/release/H1", "/machines/OV1212-0088",
            "/machines/OV1212-0088/inspection-plan", "/machines/OV1530-0413/series", "/machines/OV2661-0030/inspection-plan?hold=H14", "/machines/OV1212-0088/punch-list?item=1",
            "/machines/OV2661-0031/nonconformances/42", "/machines/OV2661-0030/nonconformances/40", "/machines/OV2661-0031/witness", "/machines/OV2661-0030/witness",
            "/machines/OV2661-0030/witness/H14", "/machines/OV2661-0031/results/100-01/corrections", "/machines/OV1530-0417/release/H1 → /runs/", "/checks → /change",
            "/delegations", "/certificates", "/checklists", "/trends",
        ],
        ["odo.fenn"] = ["/", "/machines/OV2661-0031/disclosure", "/machines/OV2661-0031/customers-part", "/machines/OV1212-0090/customers-part", "/people", "/people?person=tilda.averne", "/people/tilda.averne/badge", "/tablets", "/plant", "/instruments", "/checklists"],
        ["tilda.averne"] = ["/", "/machines/new", "/find", "/work-centres", "/ready-dates", "/weeks-ahead", "/weeks-ahead?weeks=8", "/calendar", "/machines/OV2661-0032/kit", "/machines/OV2661-0031/route"],
    };

    /// <summary>Addresses that are no sheets, or that this walk cannot open, each with its reason.</summary>
    public static readonly Dictionary<string, string> NotHere = new()
    {
        ["/index"] = "another name of /",
        ["/machines/index"] = "another name of /machines",
        ["/certificates/index"] = "another name of /certificates",
        ["/certificates/{number}/{issue:int}/pdf"] = "a document",
        ["/certificates/{number}/{issue:int}/copy"] = "a document",
        ["/certificates/{number}/{issue:int}/record"] = "a record for programs",
        ["/machines/{serial}/files/{hash}/{size:regex(^small$)?}"] = "a file as it was attached, or a photo as lists draw it",
        ["/health/live"] = "for programs",
        ["/health/ready"] = "for programs",
        ["/openapi/{documentName}.json"] = "for programs",
        ["/first-start"] = "only there while nobody has an account; the first use opens it",
        ["/look-on/{link}"] = "only there while an invited witness visits; the story of the day opens it",
        ["/checklists/compare"] = "only there with an edition that is not approved; the comparison of editions opens it",
    };

    /// <summary>The patterns of all pages, as the table of endpoints lists them.</summary>
    public static IEnumerable<string> Patterns() =>
        File.ReadLines(Path.Combine(DemoServer.Root, "tests", "BuildTrack.Architecture.Tests", "endpoints.tsv")).Skip(1).Select(l => l.Split('\t'))
            .Where(c => c[0].Split(' ').Contains("GET") && !c[1].StartsWith("/api/", StringComparison.Ordinal)).Select(c => c[1]);

    /// <summary>The pattern that a path answers to: the one with the fewest places left open.</summary>
    public static string PatternOf(string path) =>
        Patterns().Where(p => Regex.IsMatch(path, $"^{Place().Replace(Number().Replace(MayBe().Replace(p, "(/[0-9]+)?"), "[0-9]+"), "[^/]+")}$")).MinBy(p => p.Count(c => c == '{'))
        ?? throw new InvalidOperationException($"{path} is no page of endpoints.tsv");

    [GeneratedRegex(@"/\{[^}]*\?\}")]
    private static partial Regex MayBe();

    [GeneratedRegex(@"\{[^}]*:(int|long)\}")]
    private static partial Regex Number();

    [GeneratedRegex(@"\{[^}]*\}")]
    private static partial Regex Place();
}
