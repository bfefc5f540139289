using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using BuildTrack.Records.Tests.Support;
using Npgsql;

[assembly: AssemblyFixture(typeof(PostgresServer))]

namespace BuildTrack.Records.Tests.Support;

/// <summary>
/// The PostgreSQL server of a test run: the one named by BUILDTRACK_TEST_POSTGRES, else a private cluster of the installed programs, started when
/// the first test asks and removed at the end.
/// </summary>
public sealed class PostgresServer : IAsyncLifetime
{
    public const string Variable = "BUILDTRACK_TEST_POSTGRES";
    private const string Prefix = "buildtrack-test-postgres-";
    private static readonly Lazy<Task<PostgresServer>> Started = new(() => Task.Run(() => new PostgresServer().Start()));
    private static readonly SemaphoreSlim Creating = new(1, 1);
    private static int databases;
    private string? binaries;
    private string? folder;
    private string? text;
    private string why = "";

    /// <summary>Why there is no server; null when there is one.</summary>
    public static async Task<string?> WhyNot() => await Started.Value is { text: null } none ? none.why : null;

    /// <summary>Makes a database, empty or as a copy of another, and returns its connection text.</summary>
    public static async Task<string> Create(string? template)
    {
        var server = await Started.Value;
        var name = FormattableString.Invariant($"buildtrack_test_{Environment.ProcessId}_{Interlocked.Increment(ref databases)}");
        await Creating.WaitAsync();
        try
        {
            await server.Execute(template is null ? $"CREATE DATABASE \"{name}\"" : $"CREATE DATABASE \"{name}\" TEMPLATE \"{new NpgsqlConnectionStringBuilder(template).Database}\"");
        }
        finally
        {
            Creating.Release();
        }

        return new NpgsqlConnectionStringBuilder(server.text) { Database = name, MaxPoolSize = 30, ConnectionIdleLifetime = 10 }.ToString();
    }

    public static async Task Drop(string connectionText)
    {
        await using (var connection = new NpgsqlConnection(connectionText))
        {
            NpgsqlConnection.ClearPool(connection);
        }

        await (await Started.Value).Execute($"DROP DATABASE IF EXISTS \"{new NpgsqlConnectionStringBuilder(connectionText).Database}\" WITH (FORCE)");
    }

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public async ValueTask DisposeAsync()
    {
        if (!Started.IsValueCreated || await Started.Value is not { folder: { } used, binaries: { } programs })
        {
            return;
        }

        NpgsqlConnection.ClearAllPools();
        await Run(programs, "pg_ctl", "stop", "-D", Path.Combine(used, "data"), "-m", "immediate", "-w");
        Directory.Delete(used, recursive: true);
    }

    private async Task<PostgresServer> Start()
    {
        if (Environment.GetEnvironmentVariable(Variable) is { Length: > 0 } given)
        {
            text = given;
            return this;
        }

        binaries = Directory.Exists("/usr/lib/postgresql")
            ? Directory.GetDirectories("/usr/lib/postgresql").OrderByDescending(d => int.TryParse(Path.GetFileName(d), CultureInfo.InvariantCulture, out var v) ? v : 0)
                .Select(d => Path.Combine(d, "bin")).FirstOrDefault(b => File.Exists(Path.Combine(b, "initdb")) && File.Exists(Path.Combine(b, "pg_ctl")))
            : null;
        if (binaries is null)
        {
            why = $"no PostgreSQL: {Variable} is not set, and there is no initdb below /usr/lib/postgresql";
            return this;
        }

        await RemoveLeftovers();
        var made = Path.Combine(Path.GetTempPath(), FormattableString.Invariant($"{Prefix}{Environment.ProcessId}"));
        Directory.CreateDirectory(made);
        if (Environment.IsPrivilegedProcess)
        {
            await Run(null, "chown", "postgres", made);
        }

        // Another default collation than "C", so that a column without its own collation is found out.
        var data = Path.Combine(made, "data");
        string[] common = ["-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--data-checksums", "--no-sync"];
        var (code, said) = await Run(binaries, "initdb", [.. common, "--locale-provider=icu", "--icu-locale=en-US"]);
        if (code != 0)
        {
            (code, said) = await Run(binaries, "initdb", common);
        }

        if (code != 0)
        {
            why = $"no PostgreSQL: initdb failed: {said}";
            Directory.Delete(made, recursive: true);
            return this;
        }

        folder = made;
        var port = FreePort();
        var options = FormattableString.Invariant($"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={made} -c fsync=off -c max_connections=200");
        (code, said) = await Run(binaries, "pg_ctl", "start", "-D", data, "-w", "-l", Path.Combine(made, "log"), "-o", options);
        if (code != 0)
        {
            why = $"no PostgreSQL: the private cluster did not start: {said}";
            return this;
        }

        text = FormattableString.Invariant($"Host=127.0.0.1;Port={port};Username=postgres;Database=postgres");
        return this;
    }

    // A run that was killed leaves its cluster behind.
    private async Task RemoveLeftovers()
    {
        foreach (var left in Directory.GetDirectories(Path.GetTempPath(), Prefix + "*"))
        {
            if (int.TryParse(Path.GetFileName(left).AsSpan(Prefix.Length), CultureInfo.InvariantCulture, out var id) && !Directory.Exists($"/proc/{id}"))
            {
                await Run(binaries, "pg_ctl", "stop", "-D", Path.Combine(left, "data"), "-m", "immediate", "-w");
                Directory.Delete(left, recursive: true);
            }
        }
    }

    private async Task Execute(string sql)
    {
        await using var connection = new NpgsqlConnection(text);
        await connection.OpenAsync();
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }

    private static async Task<(int Code, string Said)> Run(string? binaries, string program, params string[] arguments)
    {
        var path = binaries is null ? program : Path.Combine(binaries, program);
        var start = new ProcessStartInfo { RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = Path.GetTempPath() };
        if (binaries is not null && Environment.IsPrivilegedProcess)
        {
            // The server refuses to run as root.
            (start.FileName, string[] before) = ("runuser", ["-u", "postgres", "--", path]);
            foreach (var argument in before)
            {
                start.ArgumentList.Add(argument);
            }
        }
        else
        {
            start.FileName = path;
        }

        foreach (var argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        using var process = Process.Start(start)!;
        var said = new List<string>();
        process.OutputDataReceived += (_, e) => { lock (said) { said.Add(e.Data ?? ""); } };
        process.ErrorDataReceived += (_, e) => { lock (said) { said.Add(e.Data ?? ""); } };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();

        // Not WaitForExitAsync: the server keeps the pipes of pg_ctl open.
        while (!process.WaitForExit(50))
        {
            await Task.Yield();
        }

        lock (said)
        {
            return (process.ExitCode, string.Join(" ", said.TakeLast(4)).Trim());
        }
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
