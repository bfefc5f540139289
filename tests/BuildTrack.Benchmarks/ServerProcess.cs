using System.Diagnostics;

namespace BuildTrack.Benchmarks;

/// <summary>A published server on a free port.</summary>
internal sealed class ServerProcess : IDisposable
{
    private readonly Process process;

    private ServerProcess(Process process, Uri address, TimeSpan ready)
    {
        this.process = process;
        Address = address;
        Ready = ready;
    }

    public Uri Address { get; }

    /// <summary>From the start of the process to the first green answer of /health/ready.</summary>
    public TimeSpan Ready { get; }

    /// <summary>Publishes the server into a folder, as a plant would install it.</summary>
    public static async Task Publish(string folder)
    {
        using var publish = Process.Start(new ProcessStartInfo("dotnet", ["publish", Path.Combine(Tree(), "src", "BuildTrack.Web"), "-c", "Release", "-o", folder, "-v", "q", "--nologo"]))!;
        await publish.WaitForExitAsync();
        if (publish.ExitCode != 0)
        {
            throw new InvalidOperationException("dotnet publish failed.");
        }
    }

    public static async Task<ServerProcess> Start(string published, string data, bool demo)
    {
        var watch = Stopwatch.StartNew();
        var start = new ProcessStartInfo("dotnet", [Path.Combine(published, "BuildTrack.Web.dll"), "--urls", "http://127.0.0.1:0", $"--Data:Folder={data}", "--Logging:LogLevel:Default=Warning",
            "--Limits:RequestsPerMinute=10000000", .. demo ? new[] { "--demo" } : []])
        {
            RedirectStandardOutput = true,
            WorkingDirectory = Tree(),
        };
        start.Environment["ASPNETCORE_ENVIRONMENT"] = "Production";
        var process = Process.Start(start)!;
        Uri? address = null;
        while (address is null && await process.StandardOutput.ReadLineAsync() is { } line)
        {
            if (line.StartsWith("BuildTrack", StringComparison.Ordinal) && line.IndexOf("http://", StringComparison.Ordinal) is var at and > 0)
            {
                address = new Uri(line[at..].Trim());
            }
        }

        _ = process.StandardOutput.ReadToEndAsync();
        if (address is null)
        {
            throw new InvalidOperationException("The server did not say where it listens.");
        }

        using var http = new HttpClient();
        while (!(await http.GetAsync(new Uri(address, "/health/ready"))).IsSuccessStatusCode)
        {
            await Task.Delay(5);
        }

        return new ServerProcess(process, address, watch.Elapsed);
    }

    public void Dispose()
    {
        process.Kill();
        process.WaitForExit();
        process.Dispose();
    }

    public static string Tree()
    {
        for (var at = new DirectoryInfo(AppContext.BaseDirectory); at is not null; at = at.Parent)
        {
            if (File.Exists(Path.Combine(at.FullName, "BuildTrack.sln")))
            {
                return at.FullName;
            }
        }

        throw new InvalidOperationException("BuildTrack.sln is not above the benchmarks; run them from the source tree.");
    }
}
