using BuildTrack.Web.Api;
using BuildTrack.Web.Hosting;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Security;

var builder = WebApplication.CreateBuilder(Settings.HostOptions(args));
var settings = Settings.Of(builder);

builder.ListenOnLoopbackUnlessTold();
builder.AddRecords(settings);
builder.Services.AddSessionSchemes().AddPolicies().AddFormGuards(settings).AddRateLimits(builder.Configuration);
builder.Services.AddErrorMapping().AddSheets().AddApi();
builder.Services.AddCertificateJobs(settings);
builder.LimitBodies();

var app = builder.Build();

app.UseErrorAnswers();
app.UseSecurityHeaders();
app.UseSecureCookies();
app.UseStaticFiles();
app.UseRouting();
app.UseSameOriginOnly();
app.UseAuthentication();
app.UseRateLimiter();
app.UseAuthorization();
app.MapRazorPages();
app.MapApi();
app.MapHealth();

await app.PrepareRecords(settings);
app.StartCertificateJobs();
app.TellAddress(settings);
await app.RunAsync();

/// <summary>The server's entry point, named so that tests can host it.</summary>
public partial class Program;
