using System.Diagnostics;

namespace BuildTrack.Faults.Tests;

/// <summary>The built server as a process of its own, on a free port, ended by kill -9 of its own id and started again.</summary>
internal sealed class Server(string folder) : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    private readonly HttpClient probe = new() { Timeout = TimeSpan.FromSeconds(5) };
    private TaskCompletionSource<Uri> address = New();
    private Process? process;
    private readonly List<string> said = [];

    public static string Tree { get; } = FindTree();

    /// <summary>Where it listens now; waits while it is down.</summary>
    public Task<Uri> Address => address.Task;

    /// <summary>Last lines it wrote, for the message of a failed test.</summary>
    public IReadOnlyList<string> LastLines()
    {
        lock (said)
        {
            return [.. said];
        }
    }

    public async Task Start()
    {
        var start = new ProcessStartInfo("dotnet", [Dll(), "--urls", "http://127.0.0.1:0", $"--Data:Folder={folder}", $"--Checklists:Folder={Path.Combine(Tree, "checklists")}",
            "--Limits:RequestsPerMinute=10000000", "--Logging:LogLevel:Default=Warning"])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = Path.GetDirectoryName(Dll())!,
        };
        start.Environment["ASPNETCORE_ENVIRONMENT"] = "Production";
        var told = New();
        process = new Process { StartInfo = start };
        process.OutputDataReceived += (_, line) => Listen(line.Data, told);
        process.ErrorDataReceived += (_, line) => Listen(line.Data, told);
        process.Start();
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        using var ended = new CancellationTokenSource(Patience);
        var uri = await told.Task.WaitAsync(ended.Token).ContinueWith(
            t => t.IsCompletedSuccessfully ? t.Result : throw new InvalidOperationException($"The server did not say where it listens:\n{string.Join('\n', LastLines())}"), TaskScheduler.Default);
        while (!await IsReady(uri))
        {
            ended.Token.ThrowIfCancellationRequested();
            await Task.Delay(50, ended.Token);
        }

        address.TrySetResult(uri);
    }

    /// <summary>kill -9: no handler of ours runs.</summary>
    public async Task Kill()
    {
        address = New();
        process!.Kill();
        await process.WaitForExitAsync();
        process.Dispose();
        process = null;
    }

    public async ValueTask DisposeAsync()
    {
        if (process is not null)
        {
            await Kill();
        }

        probe.Dispose();
    }

    private async Task<bool> IsReady(Uri uri)
    {
        try
        {
            return (await probe.GetAsync(new Uri(uri, "/health/ready"))).IsSuccessStatusCode;
        }
        catch (Exception e) when (e is HttpRequestException or TaskCanceledException)
        {
            return false;
        }
    }

    private void Listen(string? line, TaskCompletionSource<Uri> told)
    {
        if (line is null)
        {
            return;
        }

        lock (said)
        {
            said.Add(line);
            if (said.Count > 40)
            {
                said.RemoveAt(0);
            }
        }

        if (line.StartsWith("BuildTrack", StringComparison.Ordinal) && line.IndexOf("http://", StringComparison.Ordinal) is var at and > 0)
        {
            told.TrySetResult(new Uri(line[at..].Trim()));
        }
    }

    private static TaskCompletionSource<Uri> New() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    // The server's own output, of the same configuration as these tests.
    private static string Dll()
    {
        var parts = AppContext.BaseDirectory.TrimEnd(Path.DirectorySeparatorChar).Split(Path.DirectorySeparatorChar);
        return Path.Combine(Tree, "src", "BuildTrack.Web", "bin", parts[^2], parts[^1], "BuildTrack.Web.dll");
    }

    private static string FindTree()
    {
        for (var at = new DirectoryInfo(AppContext.BaseDirectory); at is not null; at = at.Parent)
        {
            if (File.Exists(Path.Combine(at.FullName, "BuildTrack.sln")))
            {
                return at.FullName;
            }
        }

        throw new InvalidOperationException("BuildTrack.sln is not above the tests; run them from the source tree.");
    }
}
