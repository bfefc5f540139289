using System.Collections.Immutable;
using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>The checklists that tests read, and a small set to break in one place at a time.</summary>
internal static class ChecklistFiles
{
    /// <summary>Calculations that the test checklists name and the engine does not have.</summary>
    public static readonly ImmutableHashSet<string> FurtherEvaluators =
    [
        "level-network", "axis-accuracy", "drift", "answers", "file-kept", "largest-value", "change",
    ];

    public static IReadOnlyDictionary<string, string> Shipped => ChecklistLoader.ReadFolder(Path.Combine(AppContext.BaseDirectory, "checklists"));

    public static IReadOnlyDictionary<string, string> ForTests => ChecklistLoader.ReadFolder(Path.Combine(AppContext.BaseDirectory, "TestChecklists"));

    /// <summary>A complete set without a fault, one file of each kind.</summary>
    public static ImmutableSortedDictionary<string, string> Small { get; } = new Dictionary<string, string>
    {
        ["route.yaml"] = """
            edition: A
            steps:
              - {number: 100, name: Verify, work-centre: bench, holds: [{id: H1, name: Bed}]}
              - {number: 120, name: Later, work-centre: bench, holds: [{id: H2, name: Empty}]}
              - {number: 130, name: Last, work-centre: bench, after: [120]}
              - {number: 140, name: Done, work-centre: bench, after: [130]}
            rework:
              - {id: loose, title: Bolt loose, found-at: [130, 140], returns-to: 120, origin: company standard}
              - {id: dull, title: Paint dull, found-at: [140], returns-to: 130, origin: company standard}
            scopes:
              - {id: bed, title: Bed, holds: [H1]}
            """,
        ["work-centres.yaml"] = "work-centres: [{id: bench, name: Bench}]\n",
        ["models/m.yaml"] = """
            models:
              - {id: M-1, class: A, name: One, seat-length: 1750, gauge: 1450, bed-depth: 450, gradient: 1.4 K}
            """,
        ["layouts/l.yaml"] = """
            layouts:
              - {id: seats, generate: rail-seats, pitch: 250}
              - {id: square, stations: [{id: P1, x: 0, y: 0}, {id: P2, x: 1, y: 0}, {id: P3, x: 0, y: 1}, {id: P4, x: 1, y: 1}]}
            """,
        ["surveys/s.yaml"] = """
            surveys:
              - {id: heights, step: 100, title: Heights, layout: seats, columns: [{id: z, title: Z, quantity: height, unit: mm}], instruments: [height]}
              - {id: pads, step: 100, title: Pads, layout: square, columns: [{id: t, title: T, quantity: thickness, unit: mm}], passes: 2}
              - {id: log, step: 100, title: Log, places: whole, columns: [{id: ok, title: Ok, kind: choice, choices: [yes, no]}, {id: p, title: P, kind: file}]}
              - {id: late, step: 120, title: Late, layout: seats, places: between, columns: [{id: s, title: S, quantity: slope, unit: µm/m}], base-length: 250}
            """,
        ["characteristics/c.yaml"] = """
            characteristics:
              - {id: flat, line: 100-01, hold: H1, title: Flat, evaluator: flatness, from: {heights: heights.z}, reference: least-squares, limit: flat}
              - {id: least, line: 100-02, hold: H1, title: Least, evaluator: least-value, from: {values: pads.t}, limit: least}
              - {id: moved, line: 120-01, hold: H1, title: Moved, evaluator: change, from: {before: {result: flat}, gauge: {figure: gauge}}, limit: moved}
            """,
        ["limits/class-a.yaml"] = """
            class: A
            limits:
              flat: {upper: 0.030 mm, rule: guarded, origin: company standard, edition: C}
              least: {lower: 16.0 mm, rule: simple, origin: company standard, edition: C}
              moved: {table: u2, over: gauge, rule: one-sided-95, origin: company standard, edition: C}
            """,
        ["tables/t.yaml"] = """
            tables:
              - {id: u2, unit: mm, over-unit: mm, origin: 'ISO 9013:2017', rows: [{from: 0.5, to: 10, constant: 0.15, slope: 0.007}, {from: 10, to: 32, constant: 0.2, slope: 0}]}
            """,
        ["kit.yaml"] = "purchase: 100\ncomplete-before: 120\nkit: [{id: chiller, name: Chiller, step: 130, count: {A: 1}, lead-days: [21, 32, 42], origin: test}]\n",
        ["components.yaml"] = "components: [{id: rail, name: Rail, kind: rail, assembly: Rails, step: 100, places: {A: 2}, needs: [certificate], after-swap: oven, origin: test}]\n",
        ["qualifications.yaml"] = "qualifications: [{id: welder, name: Welder, why: Welds, origin: test}]\n",
        ["invalidation.yaml"] = "invalidation: [{change: oven, title: Oven, surveys: [heights, pads]}]\n",
    }.ToImmutableSortedDictionary(StringComparer.Ordinal);

    public static ChecklistLoadResult Load(IReadOnlyDictionary<string, string> files) => ChecklistLoader.Load(files, FurtherEvaluators);

    /// <summary>The small set with one text replaced, which must be there once.</summary>
    public static ImmutableSortedDictionary<string, string> Small1(string file, string old, string replacement)
    {
        var text = Small[file];
        Assert.Equal(2, text.Split(old).Length);
        return Small.SetItem(file, text.Replace(old, replacement, StringComparison.Ordinal));
    }

    /// <summary>Line and column of the first place of a text, counted the slow way.</summary>
    public static (int Line, int Column) PlaceOf(string text, string marker)
    {
        var lines = text.Split('\n');
        for (var i = 0; i < lines.Length; i++)
        {
            if (lines[i].IndexOf(marker, StringComparison.Ordinal) is >= 0 and var at)
            {
                return (i + 1, at + 1);
            }
        }

        throw new ArgumentException($"'{marker}' is not in the text.");
    }
}
