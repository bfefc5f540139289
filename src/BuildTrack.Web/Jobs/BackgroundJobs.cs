using System.Linq.Expressions;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.LongWork;
using BuildTrack.Web.Hosting;
using Hangfire;
using Hangfire.AspNetCore;
using Hangfire.InMemory;
using Hangfire.Logging;
using Hangfire.PostgreSql;
using Hangfire.PostgreSql.Factories;

namespace BuildTrack.Web.Jobs;

/// <summary>The one class that knows the job runner. It only executes: what is to be done, how often and when again, stands in our own tables.</summary>
[AutomaticRetry(Attempts = 0, OnAttemptsExceeded = AttemptsExceededAction.Delete)]
public sealed class BackgroundJobs(OutboxWorker outbox, LongWorker works)
{
    public const string Certificates = "certificates";
    public const string LongWorks = "long-works";

    /// <summary>Works off the outbox; twice at once does no harm.</summary>
    [Queue(Certificates)]
    public Task Render(CancellationToken ct) => outbox.Drain(ct);

    /// <summary>Does the long works that were asked for; twice at once does no harm.</summary>
    [Queue(LongWorks)]
    public Task Work(CancellationToken ct) => works.Drain(ct);
}

/// <summary>Sets the runner up.</summary>
public static class BackgroundJobsSetup
{
    internal static IServiceCollection AddBackgroundJobs(this IServiceCollection services, Settings settings)
    {
        // The storage belongs to this host: the runner's static "current" one is whichever host of the process was built last.
        services.AddSingleton<JobStorage>(_ => Storage(settings));
        services.AddHangfire((provider, runner) => runner.SetDataCompatibilityLevel(CompatibilityLevel.Version_180).UseSimpleAssemblyNameTypeSerializer()
            .UseRecommendedSerializerSettings().UseStorage(provider.GetRequiredService<JobStorage>())
            .UseLogProvider(new RunnerLog(new AspNetCoreLogProvider(provider.GetRequiredService<ILoggerFactory>()))));
        // One hand each: a certificate does not wait for a long work.
        foreach (var queue in new[] { BackgroundJobs.Certificates, BackgroundJobs.LongWorks })
        {
            services.AddHangfireServer(o => (o.WorkerCount, o.Queues, o.SchedulePollingInterval) = (1, [queue], TimeSpan.FromSeconds(5)));
        }

        return services.AddSingleton<BackgroundJobs>();
    }

    /// <summary>Certificates every 30 s and long works every 10 s, whatever happened to the job after they were asked for; what the server before left, at once.</summary>
    public static void StartBackgroundJobs(this WebApplication app)
    {
        var again = app.Services.GetRequiredService<IRecurringJobManager>();
        again.AddOrUpdate<BackgroundJobs>(BackgroundJobs.Certificates, BackgroundJobs.Certificates, j => j.Render(CancellationToken.None), "*/30 * * * * *");
        again.AddOrUpdate<BackgroundJobs>(BackgroundJobs.LongWorks, BackgroundJobs.LongWorks, j => j.Work(CancellationToken.None), "*/10 * * * * *");
        Soon(app.Services, BackgroundJobs.LongWorks, j => j.Work(CancellationToken.None));
    }

    /// <summary>At once, after an act that took a number. The act stands already: a runner out of reach only delays the sheet to the next sweep, and is logged.</summary>
    public static void SoonRender(this HttpContext context) => Soon(context.RequestServices, BackgroundJobs.Certificates, j => j.Render(CancellationToken.None));

    /// <summary>At once, after a long work was asked for; a runner out of reach only delays it.</summary>
    public static void SoonWork(this HttpContext context) => Soon(context.RequestServices, BackgroundJobs.LongWorks, j => j.Work(CancellationToken.None));

    private static void Soon(IServiceProvider services, string queue, Expression<Func<BackgroundJobs, Task>> job)
    {
        try
        {
            services.GetRequiredService<IBackgroundJobClient>().Enqueue(queue, job);
        }
        catch (BackgroundJobClientException e)
        {
            Log.RunnerOutOfReach(services.GetRequiredService<ILogger<BackgroundJobs>>(), queue, e);
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
    [LoggerMessage(EventId = 31, Level = Microsoft.Extensions.Logging.LogLevel.Warning, Message = "What was asked for is recorded; {Queue} wait for the next sweep: the job runner could not be reached")]
    public static partial void RunnerOutOfReach(ILogger logger, string queue, Exception e);
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
