using System.Text.RegularExpressions;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>Rules about source texts, each given as a path and what stands in it.</summary>
internal static partial class Texts
{
    public const int MostLines = 400;

    /// <summary>Files in which there are two ideas at least.</summary>
    public static IEnumerable<string> TooLong(IEnumerable<(string Path, string Text)> files) =>
        files.Select(f => (f.Path, Lines: f.Text.Split('\n').Length - (f.Text.EndsWith('\n') ? 1 : 0))).Where(f => f.Lines > MostLines).Select(f => $"{f.Path} has {f.Lines} lines");

    /// <summary>Ids of rules (R-RUN-01) that are written out in more than one file: two rules, or one rule in two places.</summary>
    public static IEnumerable<string> IdsInSeveralFiles(IEnumerable<(string Path, string Text)> files) =>
        files.SelectMany(f => IdsOf(f.Text).Select(id => (id, f.Path))).GroupBy(p => p.id).Where(g => g.Count() > 1)
            .Select(g => $"{g.Key} is written out in {string.Join(" and ", g.Select(p => p.Path).Order(StringComparer.Ordinal))}");

    /// <summary>Numbers left out within a family of rules: a rule was dropped and the next ones were not read.</summary>
    public static IEnumerable<string> GapsInIds(IEnumerable<(string Path, string Text)> files) =>
        files.SelectMany(f => IdsOf(f.Text)).Distinct().GroupBy(id => id[..^2]).SelectMany(family =>
            Enumerable.Range(1, family.Max(id => int.Parse(id[^2..], System.Globalization.CultureInfo.InvariantCulture))).Select(n => $"{family.Key}{n:00}").Except(family).Select(id => $"{id} is left out"));

    /// <summary>Ids that no test names, neither as written nor by the constant that holds them.</summary>
    public static IEnumerable<string> IdsWithoutTest(IEnumerable<(string Path, string Text)> files, IReadOnlyCollection<string> tests) =>
        files.SelectMany(f => IdsOf(f.Text).Select(id => (Id: id, f.Path, Constant: ConstantOf(f, id)))).DistinctBy(r => r.Id)
            .Where(r => !tests.Any(t => t.Contains($"\"{r.Id}", StringComparison.Ordinal) || (r.Constant is { } constant && t.Contains(constant, StringComparison.Ordinal))))
            .Select(r => $"{r.Id} ({r.Path}) is named by no test");

    private static IEnumerable<string> IdsOf(string text) => Id().Matches(text).Select(m => m.Groups[1].Value).Distinct();

    // public const string NotAccepted = "R-RELEASE-03"; in ReleaseRules.cs is called ReleaseRules.NotAccepted elsewhere.
    private static string? ConstantOf((string Path, string Text) file, string id) =>
        Regex.Match(file.Text, $"const string (\\w+) = \"{id}\"") is { Success: true } match ? $"{Path.GetFileNameWithoutExtension(file.Path)}.{match.Groups[1].Value}" : null;

    [GeneratedRegex("\"(R-[A-Z]+-[0-9]{2})")]
    private static partial Regex Id();
}
