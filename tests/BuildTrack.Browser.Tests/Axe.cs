using Deque.AxeCore.Commons;
using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>The scan of axe-core over a page, rules of WCAG 2.2 levels A and AA.</summary>
internal static class Axe
{
    private const string Run = """
        async only => (await axe.run(document, { runOnly: only, resultTypes: ['violations'] })).violations
            .flatMap(v => v.nodes.map(n => `${v.id}: ${n.target.join(' ')}: ${[...n.any, ...n.all, ...n.none][0]?.message ?? v.help}`))
        """;

    private static readonly string Script = new BundledAxeScriptProvider().GetScript();

    private static readonly string[] Levels = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

    /// <summary>Puts the scanner into the page, once for each page that is opened.</summary>
    public static Task Into(IPage page) => page.EvaluateAsync(Script);

    public static Task<string[]> Violations(IPage page) => page.EvaluateAsync<string[]>(Run, Levels);

    /// <summary>The single rules named; for what alone differs between a light and a dark sheet.</summary>
    public static Task<string[]> Violations(IPage page, params string[] rules) => page.EvaluateAsync<string[]>(Run, rules);
}
