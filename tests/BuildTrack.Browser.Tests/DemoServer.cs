using System.Diagnostics;
using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>The server as a person starts it, with the demo plant, and one browser.</summary>
public sealed class DemoServer : IAsyncLifetime
{
    private static readonly string[] BrowserFlags =
    [
        "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ];

    // The plant is made once; every class goes on with a copy of its own.
    private static readonly Lazy<Task<string>> Made = new(Make);

    private readonly List<string> printed = [];
    private readonly string folder = Directory.CreateTempSubdirectory("buildtrack-browser-").FullName;
    private Process? server;
    private IPlaywright? playwright;
    private IBrowser? browser;

    // The engine alone, where it is installed: the whole browser draws its own windows beside every sheet, and takes the cores from what is tested.
    private static readonly string[] Programs = ["/usr/bin/chromium-headless-shell", "/usr/bin/chromium"];

    /// <summary>Chromium's program; the environment variable CHROMIUM names another than Debian's.</summary>
    public static string Chromium => Environment.GetEnvironmentVariable("CHROMIUM") ?? Programs.FirstOrDefault(File.Exists) ?? Programs[0];

    public static string? WhyNot => File.Exists(Chromium) ? null : $"no browser: {Chromium} is not there; install chromium-headless-shell or name it in CHROMIUM";

    public string Address { get; private set; } = "";

    /// <summary>An installation in which nobody has an account yet, instead of the demo plant.</summary>
    public bool Empty { get; init; }

    /// <summary>The one-time link that an empty installation prints.</summary>
    public string FirstStart
    {
        get
        {
            lock (printed)
            {
                return printed.Single(l => l.StartsWith("Nobody has an account yet", StringComparison.Ordinal)).Split(' ')[^1];
            }
        }
    }

    public static string Root { get; } = FindRoot();

    public static string DemoFile(string name) => Path.Combine(Root, "demo-data", name);

    public async ValueTask InitializeAsync()
    {
        if (WhyNot is not null)
        {
            return;
        }

        if (!Empty)
        {
            CopyFolder(await Made.Value, folder);
        }

        Address = await Start();
        Assertions.SetDefaultExpectTimeout(30_000);
        playwright = await Playwright.CreateAsync();
        browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions { ExecutablePath = Chromium, Args = BrowserFlags });
    }

    public async ValueTask DisposeAsync()
    {
        if (browser is not null)
        {
            await browser.DisposeAsync();
        }

        playwright?.Dispose();
        await Stop();
        Directory.Delete(folder, recursive: true);
    }

    /// <summary>A window of their own for a person, signed in through the sign-in sheet.</summary>
    public async Task<IPage> SignIn(string person, int width = 1024, int height = 768, ColorScheme scheme = ColorScheme.Light, bool script = true, bool worker = true)
    {
        var page = await Window(width, height, scheme, script, worker);
        await page.GotoAsync($"/sign-in?as={person}");
        await page.ClickAsync(".act--next");
        await Reached(page, Address + "/");
        return page;
    }

    /// <summary>A window in which nobody is signed in.</summary>
    /// <param name="worker">False: no service worker stands between the window and the server.</param>
    public async Task<IPage> Window(int width = 1024, int height = 768, ColorScheme scheme = ColorScheme.Light, bool script = true, bool worker = true)
    {
        var context = await browser!.NewContextAsync(new BrowserNewContextOptions
        {
            BaseURL = Address, ViewportSize = new ViewportSize { Width = width, Height = height }, ColorScheme = scheme, AcceptDownloads = true, JavaScriptEnabled = script,
            ServiceWorkers = worker ? ServiceWorkerPolicy.Allow : ServiceWorkerPolicy.Block,
        });
        context.SetDefaultTimeout(60_000);
        return await context.NewPageAsync();
    }

    /// <summary>Keeps every window as a picture and as text, for whoever asks afterwards why a test failed.</summary>
    /// <returns>The folder.</returns>
    public async Task<string> Keep(string test)
    {
        var kept = Path.Combine(Root, "TestResults", "browser", test);
        Directory.CreateDirectory(kept);
        foreach (var (no, page) in browser?.Contexts.SelectMany(c => c.Pages).Index() ?? [])
        {
            await page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(kept, $"{no + 1}.png") });
            await File.WriteAllTextAsync(Path.Combine(kept, $"{no + 1}.html"), $"<!-- {page.Url} -->\n{await page.ContentAsync()}");
        }

        return kept;
    }

    /// <summary>Closes what a test opened.</summary>
    public async Task CloseWindows()
    {
        foreach (var context in browser?.Contexts.ToArray() ?? [])
        {
            await context.CloseAsync();
        }
    }

    /// <summary>A tablet's browser with a disk of its own: what it keeps outlives its death.</summary>
    public Task<IBrowserContext> Tablet(string disk) => playwright!.Chromium.LaunchPersistentContextAsync(disk, new BrowserTypeLaunchPersistentContextOptions
    {
        ExecutablePath = Chromium, Args = BrowserFlags, BaseURL = Address, ViewportSize = new ViewportSize { Width = 1024, Height = 768 },
    });

    /// <summary>Waits until the page stands at an address and its sheet is there. Asked again and again: waiting for the load event misses it now and then on a busy machine.</summary>
    public static async Task Reached(IPage page, string address) => await Loaded(page, Assertions.Expect(page).ToHaveURLAsync(address, new() { Timeout = 60_000 }));

    public static async Task Reached(IPage page, Regex address) => await Loaded(page, Assertions.Expect(page).ToHaveURLAsync(address, new() { Timeout = 60_000 }));

    /// <summary>Waits until the script of the measuring sheet listens: before, the sheet is a plain form, and loads anew with every value.</summary>
    public static Task Listens(IPage page) => Assertions.Expect(page.Locator(".kept-line")).ToBeAttachedAsync();

    private static async Task Loaded(IPage page, Task there)
    {
        await there;
        // The last thing on every sheet.
        await Assertions.Expect(page.Locator(".tb-sheets")).ToBeVisibleAsync(new() { Timeout = 60_000 });
    }

    private static async Task<string> Make()
    {
        var first = new DemoServer();
        await first.Start();
        await first.Stop();
        AppDomain.CurrentDomain.ProcessExit += (_, _) => Directory.Delete(first.folder, recursive: true);
        return first.folder;
    }

    private static void CopyFolder(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var copy = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }
    }

    /// <summary>The server dies in the middle of whatever it does.</summary>
    public Task Kill() => Stop();

    /// <summary>The next server on the same folder, at the same address.</summary>
    public async Task StartAgain() => Address = await Start();

    private async Task Stop()
    {
        if (server is { HasExited: false })
        {
            server.Kill();
            await server.WaitForExitAsync();
        }

        server?.Dispose();
        server = null;
    }

    private async Task<string> Start()
    {
        // From the project's folder, so that pages and styles are served from where they are written.
        server = new Process
        {
            StartInfo = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "BuildTrack.Web.dll"), .. Empty ? Array.Empty<string>() : ["--demo"], $"--Data:Folder={folder}", "--urls", Address.Length == 0 ? "http://127.0.0.1:0" : Address])
            {
                WorkingDirectory = Path.Combine(Root, "src", "BuildTrack.Web"), RedirectStandardOutput = true, RedirectStandardError = true,
            },
        };
        var address = new TaskCompletionSource<string>(TaskCreationOptions.RunContinuationsAsynchronously);
        void Read(string? line)
        {
            if (line is null)
            {
                return;
            }

            lock (printed)
            {
                printed.Add(line);
            }

            if (line.StartsWith(Empty ? "BuildTrack: " : "BuildTrack (demo): ", StringComparison.Ordinal))
            {
                address.TrySetResult(line.Split(' ')[^1]);
            }
        }

        server.OutputDataReceived += (_, e) => Read(e.Data);
        server.ErrorDataReceived += (_, e) => Read(e.Data);
        server.EnableRaisingEvents = true;
        server.Exited += (_, _) => address.TrySetException(new InvalidOperationException("The server ended: " + string.Join('\n', printed.TakeLast(12))));
        server.Start();
        server.BeginOutputReadLine();
        server.BeginErrorReadLine();
        return await address.Task.WaitAsync(TimeSpan.FromMinutes(6));
    }

    private static string FindRoot()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "BuildTrack.sln")))
        {
            at = at.Parent ?? throw new DirectoryNotFoundException($"No BuildTrack.sln above {AppContext.BaseDirectory}.");
        }

        return at.FullName;
    }
}
