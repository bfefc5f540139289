using BuildTrack.Records.Certificates;
using BuildTrack.Web.Hosting;
using Hangfire;
using Hangfire.InMemory;
using Hangfire.PostgreSql;

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
        services.AddHangfire(runner =>
        {
            runner.SetDataCompatibilityLevel(CompatibilityLevel.Version_180).UseSimpleAssemblyNameTypeSerializer().UseRecommendedSerializerSettings();
            _ = settings.Store.Postgres is { } postgres
                ? runner.UsePostgreSqlStorage(o => o.UseNpgsqlConnection(postgres))
                : (IGlobalConfiguration)runner.UseInMemoryStorage(new InMemoryStorageOptions { MaxExpirationTime = TimeSpan.FromHours(1) });
        });
        services.AddHangfireServer(o => (o.WorkerCount, o.Queues, o.SchedulePollingInterval) = (1, [CertificateJobs.Queue], TimeSpan.FromSeconds(5)));
        return services.AddSingleton<CertificateJobs>();
    }

    /// <summary>Every 30 s, whatever happened to the job after an act.</summary>
    public static void StartCertificateJobs(this WebApplication app) =>
        app.Services.GetRequiredService<IRecurringJobManager>().AddOrUpdate<CertificateJobs>("certificates", CertificateJobs.Queue, j => j.Sweep(CancellationToken.None), "*/30 * * * * *");

    /// <summary>At once, after an act that took a number.</summary>
    public static void SoonRender(this HttpContext context) =>
        context.RequestServices.GetRequiredService<IBackgroundJobClient>().Enqueue<CertificateJobs>(CertificateJobs.Queue, j => j.Sweep(CancellationToken.None));
}
