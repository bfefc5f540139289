using System.Diagnostics;
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

    /// <summary>Chromium's program; the environment variable CHROMIUM names another than Debian's.</summary>
    public static string Chromium => Environment.GetEnvironmentVariable("CHROMIUM") ?? "/usr/bin/chromium";

    public static string? WhyNot => File.Exists(Chromium) ? null : $"no browser: {Chromium} is not there; install chromium or name it in CHROMIUM";

    public string Address { get; private set; } = "";

    public static string Root { get; } = FindRoot();

    public static string DemoFile(string name) => Path.Combine(Root, "demo-data", name);

    public async ValueTask InitializeAsync()
    {
        if (WhyNot is not null)
        {
            return;
        }

        CopyFolder(await Made.Value, folder);
        Address = await Start();
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
    public async Task<IPage> SignIn(string person, int width = 1024, int height = 768, ColorScheme scheme = ColorScheme.Light, bool script = true)
    {
        var context = await browser!.NewContextAsync(new BrowserNewContextOptions
        {
            BaseURL = Address, ViewportSize = new ViewportSize { Width = width, Height = height }, ColorScheme = scheme, AcceptDownloads = true, JavaScriptEnabled = script,
        });
        context.SetDefaultTimeout(60_000);
        var page = await context.NewPageAsync();
        await page.GotoAsync($"/sign-in?as={person}");
        await page.ClickAsync(".act--next");
        await page.WaitForURLAsync(Address + "/");
        return page;
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

    private async Task Stop()
    {
        if (server is { HasExited: false })
        {
            server.Kill();
            await server.WaitForExitAsync();
        }

        server?.Dispose();
    }

    private async Task<string> Start()
    {
        // From the project's folder, so that pages and styles are served from where they are written.
        server = new Process
        {
            StartInfo = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "BuildTrack.Web.dll"), "--demo", $"--Data:Folder={folder}", "--urls", "http://127.0.0.1:0"])
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

            if (line.StartsWith("BuildTrack (demo): ", StringComparison.Ordinal))
            {
                address.TrySetResult(line["BuildTrack (demo): ".Length..]);
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
