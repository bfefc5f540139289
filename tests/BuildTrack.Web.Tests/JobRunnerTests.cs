using BuildTrack.Web.Jobs;
using Hangfire;
using Hangfire.Common;
using Hangfire.States;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace BuildTrack.Web.Tests;

/// <summary>The job runner only hurries the outbox: it belongs to its own host, and an act never fails for it.</summary>
public sealed class JobRunnerTests
{
    [Fact]
    public async Task A_host_keeps_its_runner_when_another_host_of_the_process_goes()
    {
        var stays = new Server();
        await stays.InitializeAsync();
        var goes = new Server();
        await goes.InitializeAsync();
        Assert.NotSame(stays.Services.GetRequiredService<JobStorage>(), goes.Services.GetRequiredService<JobStorage>());
        await goes.DisposeAsync();
        var id = stays.Services.GetRequiredService<IBackgroundJobClient>().Enqueue<BackgroundJobs>(BackgroundJobs.Certificates, j => j.Render(CancellationToken.None));
        Assert.False(string.IsNullOrEmpty(id));
        await stays.DisposeAsync();
    }

    [Fact]
    public void A_runner_out_of_reach_is_logged_and_the_act_stands()
    {
        var log = new LinesLogger();
        var context = new DefaultHttpContext
        {
            RequestServices = new ServiceCollection().AddSingleton<IBackgroundJobClient, OutOfReach>().AddSingleton<ILogger<BackgroundJobs>>(log).BuildServiceProvider(),
        };
        context.SoonRender();
        Assert.Contains("next sweep", Assert.Single(log.Lines), StringComparison.Ordinal);
    }

    private sealed class OutOfReach : IBackgroundJobClient
    {
        public string Create(Job job, IState state) => throw new BackgroundJobClientException("out of reach", new ObjectDisposedException("storage"));

        public bool ChangeState(string jobId, IState state, string expectedState) => throw new BackgroundJobClientException("out of reach", new ObjectDisposedException("storage"));
    }

    private sealed class LinesLogger : ILogger<BackgroundJobs>
    {
        public List<string> Lines { get; } = [];

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) => Lines.Add(formatter(state, exception));
    }
}
