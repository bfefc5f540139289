using BuildTrack.Records.Certificates;
using BuildTrack.Web.Hosting;
using Hangfire;
using Hangfire.AspNetCore;
using Hangfire.InMemory;
using Hangfire.Logging;
using Hangfire.PostgreSql;
using Hangfire.PostgreSql.Factories;

namespace BuildTrack.Web.Jobs;

/// <summary>The one class that knows the job runner. It only executes: what is to be done, how often and when again, stands in the outbox.</summary>
[AutomaticRetry(Attempts = 0, OnAttemptsExceeded = AttemptsExceededAction.Delete)]
public sealed class CertificateJobs(OutboxWorker outbox)
{
    public const string Queue = "certificates";

    /// <summary>Works off the outbox; twice at once does no harm.</summary>
    [Queue(Queue)]
    public Task Sweep(CancellationToken ct) => outbox.Drain(ct);
}

/// <summary>Sets the runner up.</summary>
public static class CertificateJobsSetup
{
    internal static IServiceCollection AddCertificateJobs(this IServiceCollection services, Settings settings)
    {
        // The storage belongs to this host: the runner's static "current" one is whichever host of the process was built last.
        services.AddSingleton<JobStorage>(_ => Storage(settings));
        services.AddHangfire((provider, runner) => runner.SetDataCompatibilityLevel(CompatibilityLevel.Version_180).UseSimpleAssemblyNameTypeSerializer()
            .UseRecommendedSerializerSettings().UseStorage(provider.GetRequiredService<JobStorage>())
            .UseLogProvider(new RunnerLog(new AspNetCoreLogProvider(provider.GetRequiredService<ILoggerFactory>()))));
        services.AddHangfireServer(o => (o.WorkerCount, o.Queues, o.SchedulePollingInterval) = (1, [CertificateJobs.Queue], TimeSpan.FromSeconds(5)));
        return services.AddSingleton<CertificateJobs>();
    }

    /// <summary>Every 30 s, whatever happened to the job after an act.</summary>
    public static void StartCertificateJobs(this WebApplication app) =>
        app.Services.GetRequiredService<IRecurringJobManager>().AddOrUpdate<CertificateJobs>("certificates", CertificateJobs.Queue, j => j.Sweep(CancellationToken.None), "*/30 * * * * *");

    /// <summary>At once, after an act that took a number. The act stands already: a runner out of reach only delays the sheet to the next sweep, and is logged.</summary>
    public static void SoonRender(this HttpContext context)
    {
        try
        {
            context.RequestServices.GetRequiredService<IBackgroundJobClient>().Enqueue<CertificateJobs>(CertificateJobs.Queue, j => j.Sweep(CancellationToken.None));
        }
        catch (BackgroundJobClientException e)
        {
            Log.RunnerOutOfReach(context.RequestServices.GetRequiredService<ILogger<CertificateJobs>>(), e);
        }
    }

    private static JobStorage Storage(Settings settings)
    {
        var options = new PostgreSqlStorageOptions();
        return settings.Store.Postgres is { } postgres
            ? new PostgreSqlStorage(new NpgsqlConnectionFactory(postgres, options), options)
            : new InMemoryStorage(new InMemoryStorageOptions { MaxExpirationTime = TimeSpan.FromHours(1) });
    }
}

internal static partial class Log
{
    [LoggerMessage(EventId = 31, Level = Microsoft.Extensions.Logging.LogLevel.Warning, Message = "The certificate is recorded; its sheet waits for the next sweep: the job runner could not be reached")]
    public static partial void RunnerOutOfReach(ILogger logger, Exception e);
}

/// <summary>The runner's log goes to the host that was built last; when that one has ended, to nobody, instead of failing who asks for it.</summary>
internal sealed class RunnerLog(ILogProvider host) : ILogProvider
{
    public ILog GetLogger(string name)
    {
        try
        {
            return host.GetLogger(name);
        }
        catch (ObjectDisposedException)
        {
            return new Nobody();
        }
    }

    private sealed class Nobody : ILog
    {
        public bool Log(Hangfire.Logging.LogLevel logLevel, Func<string>? messageFunc, Exception? exception = null) => false;
    }
}
