using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;

namespace BuildTrack.Web.Tests.Https;

/// <summary>The built server as a process of its own, in a new folder, with the settings of one test.</summary>
internal sealed class ServerProcess : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(10);
    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("buildtrack-https-");
    private readonly List<string> said = [];
    private readonly TaskCompletionSource up = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private Process? process;

    /// <summary>What the line says that ends the start.</summary>
    public string LastSaid { get; init; } = "BuildTrack: ";

    /// <summary>A file that lies beside the data.</summary>
    public string Put(string name, byte[] bytes)
    {
        var path = Path.Combine(folder.FullName, name);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        // As a renewal does it: whole, and then in its place.
        File.WriteAllBytes(path + ".new", bytes);
        File.Move(path + ".new", path, overwrite: true);
        return path;
    }

    public string Put(string name, string text) => Put(name, System.Text.Encoding.UTF8.GetBytes(text));

    /// <summary>Starts, and waits until it has said where it listens.</summary>
    public async Task Start(params string[] settings)
    {
        Begin(settings);
        await up.Task.WaitAsync(Patience);
    }

    /// <summary>Starts with settings that do not do: exit code and what it said on standard error.</summary>
    public async Task<(int Code, string[] Error)> Refused(params string[] settings)
    {
        Begin(settings, errors: false);
        var error = process!.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync().WaitAsync(Patience);
        return (process.ExitCode, (await error).Split('\n', StringSplitOptions.RemoveEmptyEntries));
    }

    /// <summary>What follows these words on the line that has them.</summary>
    public string After(string words)
    {
        lock (said)
        {
            var line = said.FirstOrDefault(l => l.Contains(words, StringComparison.Ordinal)) ?? throw new InvalidOperationException($"No line with '{words}' in:\n{string.Join('\n', said)}");
            return line[(line.IndexOf(words, StringComparison.Ordinal) + words.Length)..].Trim();
        }
    }

    /// <summary>A tablet: finds every name on this machine, and trusts the plant's authority alone.</summary>
    public static HttpClient Tablet(X509Certificate2 authority, Action<X509Certificate2>? seen = null)
    {
        var policy = new X509ChainPolicy { TrustMode = X509ChainTrustMode.CustomRootTrust, RevocationMode = X509RevocationMode.NoCheck, DisableCertificateDownloads = true };
        policy.CustomTrustStore.Add(authority);
        var handler = new SocketsHttpHandler { AllowAutoRedirect = false, CookieContainer = new CookieContainer(), ConnectCallback = ToThisMachine, PooledConnectionLifetime = TimeSpan.Zero };
        handler.SslOptions.CertificateChainPolicy = policy;
        if (seen is not null)
        {
            handler.SslOptions.RemoteCertificateValidationCallback = (_, certificate, _, errors) =>
            {
                seen((X509Certificate2)certificate!);
                return errors == System.Net.Security.SslPolicyErrors.None;
            };
        }

        return new HttpClient(handler);
    }

    public async ValueTask DisposeAsync()
    {
        if (process is { HasExited: false })
        {
            process.Kill();
            await process.WaitForExitAsync();
        }

        process?.Dispose();
        folder.Delete(recursive: true);
    }

    private static async ValueTask<Stream> ToThisMachine(SocketsHttpConnectionContext context, CancellationToken ct)
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        await socket.ConnectAsync(IPAddress.Loopback, context.DnsEndPoint.Port, ct);
        return new NetworkStream(socket, ownsSocket: true);
    }

    private void Begin(string[] settings, bool errors = true)
    {
        var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "BuildTrack.Web.dll"), .. settings])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = AppContext.BaseDirectory,
        };
        start.Environment["ASPNETCORE_ENVIRONMENT"] = "Production";
        start.Environment["Logging__LogLevel__Default"] = "Warning";
        foreach (var elsewhere in new[] { "ASPNETCORE_URLS", "ASPNETCORE_HTTP_PORTS" })
        {
            start.Environment.Remove(elsewhere);
        }

        start.Environment["Data__Folder"] = Path.Combine(folder.FullName, "data");
        process = new Process { StartInfo = start, EnableRaisingEvents = true };
        process.OutputDataReceived += (_, line) => Listen(line.Data);
        process.ErrorDataReceived += (_, line) => Listen(line.Data);
        process.Exited += (_, _) => up.TrySetException(new InvalidOperationException($"The server ended:\n{string.Join('\n', said)}"));
        process.Start();
        process.BeginOutputReadLine();
        if (errors)
        {
            process.BeginErrorReadLine();
        }
    }

    private void Listen(string? line)
    {
        if (line is null)
        {
            return;
        }

        lock (said)
        {
            said.Add(line);
        }

        if (line.Contains(LastSaid, StringComparison.Ordinal))
        {
            up.TrySetResult();
        }
    }

}
