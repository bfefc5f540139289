using BuildTrack.Architecture.Tests.Rules;
using BuildTrack.Domain.People;
using BuildTrack.Web.Pages;
using BuildTrack.Web.Security;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace BuildTrack.Architecture.Tests;

/// <summary>endpoints.tsv lists every way into the server and who may use it. Whoever adds one reads it and writes it down.</summary>
public sealed class EndpointTests
{
    [Fact]
    public async Task Every_endpoint_of_the_server_is_listed_with_the_roles_that_may_use_it()
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-endpoints-");
        try
        {
            await using var server = new WebApplicationFactory<SignInModel>().WithWebHostBuilder(b => b.UseSetting("Data:Folder", folder.FullName).UseSetting("Logging:LogLevel:Default", "Warning").UseEnvironment("Production"));
            var found = await EndpointTable.Of(server.Services);
            Assert.True(found.Count > 40, $"only {found.Count} endpoints were found");
            Report.None("endpoints.tsv", EndpointTable.Differences(found, await File.ReadAllTextAsync(Path.Combine(AppContext.BaseDirectory, "endpoints.tsv"))));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Fact]
    public async Task An_endpoint_that_is_not_listed_a_line_that_leads_nowhere_and_another_policy_are_reported()
    {
        var found = await EndpointTable.Of(Planted());
        Report.Finds(
            EndpointTable.Differences(found, EndpointTable.Heading + "\nGET\t/planted/open\teverybody\nPOST\t/planted/release\tinspector technician\nGET\t/planted/gone\tsigned in\nGET\t/planted/forgotten\tnobody\n"),
            "add, if it is right: DELETE\t/planted/unlisted\tadministrator",
            "the table says 'inspector technician', the server says: POST\t/planted/release\tdelegate inspector",
            "take out, nothing answers there: GET\t/planted/gone");
    }

    [Fact]
    public async Task An_endpoint_without_a_policy_lets_nobody_in() =>
        Assert.Contains(new EndpointLine("GET", "/planted/forgotten", "nobody"), await EndpointTable.Of(Planted()));

    private static WithEndpoints Planted()
    {
        var builder = WebApplication.CreateBuilder();
        builder.Logging.ClearProviders();
        builder.Services.AddPolicies();
        var app = builder.Build();
        app.MapGet("/planted/open", () => "").AllowAnonymous();
        app.MapGet("/planted/forgotten", () => "");
        app.MapPost("/planted/release", () => "").RequireAuthorization(Policies.SignedIn).RequireAuthorization(ActKind.Release);
        app.MapDelete("/planted/unlisted", () => "").RequireAuthorization(ActKind.SetPlant);
        return new WithEndpoints(app.Services, ((IEndpointRouteBuilder)app).DataSources);
    }

    // An application that was not started has its endpoints in the builder alone.
    private sealed class WithEndpoints(IServiceProvider services, ICollection<EndpointDataSource> sources) : IServiceProvider
    {
        public object? GetService(Type serviceType) => serviceType == typeof(IEnumerable<EndpointDataSource>) ? sources : services.GetService(serviceType);
    }
}
