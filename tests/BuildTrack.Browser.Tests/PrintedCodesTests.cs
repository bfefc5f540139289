using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using BuildTrack.Domain.Codes;
using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>What comes out of the printer: every code of every sheet is decoded from the page at 300 dots per inch, in grey, by a program of others.</summary>
public sealed partial class PrintedCodesTests(DemoServer server) : IClassFixture<DemoServer>
{
    private const string Serial = "OV1530-0417";

    [Theory]
    [InlineData("/machines/" + Serial + "/route-card")]
    [InlineData("/machines/" + Serial + "/station-labels?layout=rail-seats/R2")]
    [InlineData("/machines/" + Serial + "/component-labels")]
    [InlineData("/instrument-labels")]
    public async Task Every_code_of_a_printed_sheet_says_what_it_should(string sheet)
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        var page = await server.SignIn("renna.tallworth");
        if (sheet.EndsWith("component-labels", StringComparison.Ordinal))
        {
            await Fit(page, 9);
        }

        await page.GotoAsync(sheet);
        var shown = await page.EvaluateAsync<string[]>("() => [...document.querySelectorAll('svg.qr')].map(s => s.getAttribute('aria-label').replace('Code of ', ''))");
        var folder = Directory.CreateTempSubdirectory("buildtrack-print-");
        try
        {
            var pdf = Path.Combine(folder.FullName, "sheet.pdf");
            await page.PdfAsync(new PagePdfOptions { Path = pdf, PreferCSSPageSize = true, PrintBackground = true });
            await Run("pdftoppm", "-r", "300", "-gray", pdf, Path.Combine(folder.FullName, "page"));
            var read = Directory.GetFiles(folder.FullName, "page*.pgm").Order(StringComparer.Ordinal).SelectMany(Decoded).ToArray();
            var said = read.Select(PaperCode.Read).ToArray();
            Assert.All(said, code => Assert.NotNull(code));
            Assert.Equal(shown.Length, said.Length);
            Assert.Equal(shown.Order(StringComparer.Ordinal), said.Select(c => c!.Says).Order(StringComparer.Ordinal));
            Assert.True(shown.Length >= 8, $"{sheet}: only {shown.Length} codes");
            if (sheet.EndsWith("route-card", StringComparison.Ordinal))
            {
                Assert.Contains(PaperCode.OfStep(Serial, 100).Text, read);
                Assert.Contains(PaperCode.OfMachine(Serial).Text, read);
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static async Task Fit(IPage page, int count)
    {
        for (var n = 1; n <= count; n++)
        {
            await page.GotoAsync($"/machines/{Serial}/as-built");
            await page.FillAsync("[name='Form.Serial']", $"P-{n}");
            foreach (var field in await page.Locator("[name='Form.Firmware'], [name='Form.Certificate']").AllAsync())
            {
                await field.FillAsync("X 1");
            }

            await page.ClickAsync("#scan .act--next");
            await Assertions.Expect(page.Locator(".told").First).ToContainTextAsync($"P-{n} is listed");
        }
    }

    private static async Task Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true }) ?? throw new InvalidOperationException($"{program} does not start");
        var error = await process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        Assert.True(process.ExitCode == 0, error);
    }

    private static string[] Decoded(string file)
    {
        var (width, height, grey) = Pgm(File.ReadAllBytes(file));
        // In bands that overlap by more than a code is high: a reader of several codes at once loses some on a full page.
        var found = new HashSet<string>();
        var (high, step) = (Math.Min(height, 500), 200);
        for (var y = 0; y == 0 || y + high <= height + step - 1; y += step)
        {
            var top = Math.Min(y, height - high);
            for (var x = 0; x == 0 || x < width - 200; x += 400)
            {
                var wide = Math.Min(900, width - x);
                var part = new byte[wide * high];
                for (var row = 0; row < high; row++)
                {
                    Array.Copy(grey, ((top + row) * width) + x, part, row * wide, wide);
                }

                found.UnionWith(PrintedCode.In(part, wide, high));
            }
        }

        return [.. found];
    }

    private static (int Width, int Height, byte[] Grey) Pgm(byte[] file)
    {
        var head = PgmHead().Match(Encoding.ASCII.GetString(file, 0, 40));
        int Number(int group) => int.Parse(head.Groups[group].Value, CultureInfo.InvariantCulture);
        return (Number(1), Number(2), file[head.Length..]);
    }

    [GeneratedRegex(@"^P5\s+(\d+)\s+(\d+)\s+255\s")]
    private static partial Regex PgmHead();
}
