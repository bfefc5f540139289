using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>What the house rules ask of every sheet: at a tablet's, a wide screen's and a telephone's size and enlarged, light and dark.</summary>
internal static class SheetLook
{
    // WCAG 2.2, 1.4.10: 320 px is a window of 1280 px at 400 %; 512 px is a tablet at 200 %.
    private static readonly (int Width, int Height)[] Windows = [(1920, 1080), (512, 384), (390, 844), (320, 256)];

    /// <summary>Targets lower than 48 px, but for links inside a sentence and fields that only a password manager sees.</summary>
    internal const string SmallTargets = """
        () => [...document.querySelectorAll('a, button, input:not([type=hidden]), select, summary, textarea')]
            .filter(e => !e.closest('.visually-hidden, .skip, p') || e.matches('.act'))
            .map(e => [e, (e.matches('.choice input') ? e.closest('label') : e).getBoundingClientRect()])
            .filter(([, r]) => r.height > 0 && r.height < 47.5)
            .map(([e, r]) => `${e.tagName} "${(e.textContent || e.name).trim().slice(0, 30)}" ${Math.round(r.height)} px`)
        """;

    /// <summary>What cannot be read without scrolling sideways, but for regions that scroll by themselves and take the focus (WCAG 2.2, 1.4.10).</summary>
    private const string CutOff = """
        async () => {
            for (let frame = 0; frame < 2; frame++) await new Promise(requestAnimationFrame);
            const own = e => !e.closest('svg, .visually-hidden, [role=region][tabindex="0"][aria-label]');
            const name = e => `${e.tagName} "${(e.textContent || '').trim().slice(0, 40)}"`;
            const faults = [];
            const over = document.documentElement.scrollWidth - innerWidth;
            if (over > 0) {
                const beyond = [...document.querySelectorAll('main *, .title-block *')].filter(e => own(e) && e.getBoundingClientRect().right > innerWidth + 0.5);
                faults.push(`${over} px wider than the window: ${beyond.slice(0, 3).map(name).join(', ')}`);
            }
            for (const e of document.querySelectorAll('body *')) {
                if (e.clientWidth > 0 && e.scrollWidth > e.clientWidth + 1 && own(e) && !e.matches('input, select, textarea') && getComputedStyle(e).overflowX !== 'visible')
                    faults.push(`cut off: ${name(e)}`);
            }
            return faults;
        }
        """;

    /// <summary>The size and scheme that a sheet is opened in.</summary>
    public static async Task Restore(IPage page)
    {
        await page.SetViewportSizeAsync(1024, 768);
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
    }

    /// <summary>Looks at the sheet that stands in a window. The window is left at the last size: <see cref="Restore"/>.</summary>
    public static async Task<List<string>> Faults(IPage page)
    {
        var faults = await At(page, 1024);
        faults.AddRange(await Scan(page));
        foreach (var (width, height) in Windows)
        {
            await page.SetViewportSizeAsync(width, height);
            faults.AddRange(await At(page, width));
        }

        return faults;
    }

    private static async Task<List<string>> At(IPage page, int width)
    {
        var faults = new List<string>();
        if (await page.Locator(".act--next:visible, .key--next:visible").CountAsync() is > 1 and var filled)
        {
            faults.Add($" at {width}: {filled} filled acts");
        }

        faults.AddRange((await page.EvaluateAsync<string[]>(CutOff)).Concat(await page.EvaluateAsync<string[]>(SmallTargets)).Select(f => $" at {width}: {f}"));
        return faults;
    }

    private static async Task<IEnumerable<string>> Scan(IPage page)
    {
        // In a window as high as the sheet: else what lies under the title block at this moment counts as a target half covered.
        await page.SetViewportSizeAsync(1024, await page.EvaluateAsync<int>("() => document.documentElement.scrollHeight + 200"));
        await Axe.Into(page);
        var light = await Axe.Violations(page);

        // A dark sheet is the same sheet in other colours.
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        var dark = await Axe.Violations(page, "color-contrast");
        return light.Select(v => $": {v}").Concat(dark.Select(v => $", dark: {v}"));
    }
}
