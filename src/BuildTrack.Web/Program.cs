using BuildTrack.Web.Api;
using BuildTrack.Web.Hosting;
using BuildTrack.Web.Https;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Security;

try
{
    var builder = WebApplication.CreateBuilder(Settings.HostOptions(args));
    builder.ListenSafely(HostSteps.Clock);
    var settings = Settings.Of(builder);

    builder.AddRecords(settings);
    builder.Services.AddSessionSchemes().AddPolicies().AddFormGuards(settings).AddRateLimits(builder.Configuration);
    builder.Services.AddErrorMapping().AddSheets().AddApi();
    builder.Services.AddBackgroundJobs(settings);
    builder.LimitBodies();
    builder.Services.AddSmallAnswers();

    var app = builder.Build();

    app.UseNamedProxies();
    app.UseErrorAnswers();
    app.UseSecurityHeaders();
    app.UseSecureCookies();
    app.UseResponseCompression();
    app.UseFilesOfThePages();
    app.UseRouting();
    app.UseSameOriginOnly();
    app.UseAuthentication();
    app.UseRateLimiter();
    app.UseAuthorization();
    app.MapRazorPages();
    app.MapApi();
    app.MapHealth();

    await app.PrepareRecords(settings);
    app.StartBackgroundJobs();
    app.TellAddress(settings);
    await app.RunAsync();
    return 0;
}
catch (StartRefusedException e)
{
    await Console.Error.WriteLineAsync($"BuildTrack does not start. {e.Message}");
    return 1;
}

/// <summary>The server's entry point, named so that tests can host it.</summary>
public partial class Program;
