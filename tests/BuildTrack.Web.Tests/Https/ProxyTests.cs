using System.Net;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc.Testing;

namespace BuildTrack.Web.Tests.Https;

/// <summary>Behind a reverse proxy: its word counts, and nobody else's.</summary>
public sealed class ProxyTests
{
    [Fact]
    public async Task Only_the_named_proxy_says_how_a_request_came()
    {
        await using var server = new ServerProcess();
        await server.Start("--urls", "http://127.0.0.1:0", "--Proxy:Addresses=127.0.0.1");
        using var believed = await Asked(new Uri(server.After("BuildTrack: ")));
        Assert.Equal(HttpStatusCode.OK, believed.StatusCode);
        Assert.True(believed.Headers.Contains("Strict-Transport-Security"));
    }

    [Fact]
    public async Task Nobody_is_believed_who_is_not_named()
    {
        await using var server = new ServerProcess();
        await server.Start("--urls", "http://127.0.0.1:0");
        using var answer = await Asked(new Uri(server.After("BuildTrack: ")));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.False(answer.Headers.Contains("Strict-Transport-Security"));
    }

    [Theory]
    [InlineData("192.0.2.80", 200, true)]
    [InlineData("::ffff:192.0.2.80", 200, true)]
    [InlineData("192.0.2.81", 403, false)]
    [InlineData("2001:db8::80", 403, false)]
    [InlineData("127.0.0.1", 200, false)]
    public async Task Plain_http_from_elsewhere_is_not_answered_although_the_address_is_open(string from, int status, bool secure)
    {
        var folder = Directory.CreateTempSubdirectory("buildtrack-proxy-");
        try
        {
            await using var server = new WebApplicationFactory<Program>().WithWebHostBuilder(b => b.UseSetting("Data:Folder", folder.FullName)
                .UseSetting("urls", "http://*:0").UseSetting("Proxy:Addresses", "192.0.2.79, 192.0.2.80").UseSetting("Logging:LogLevel:Default", "Warning").UseEnvironment("Production"));
            var answer = await server.Server.SendAsync(request =>
            {
                request.Connection.RemoteIpAddress = IPAddress.Parse(from);
                (request.Request.Method, request.Request.Scheme, request.Request.Host, request.Request.Path) = ("GET", "http", new HostString(PlantAuthority.Name), "/sign-in");
                request.Request.Headers["X-Forwarded-Proto"] = "https";
                request.Request.Headers["X-Forwarded-For"] = "192.0.2.44";
            });
            Assert.Equal(status, answer.Response.StatusCode);
            Assert.Equal(secure, answer.Response.Headers.ContainsKey("Strict-Transport-Security"));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    // As a proxy would pass a tablet's request on.
    private static async Task<HttpResponseMessage> Asked(Uri root)
    {
        using var http = new HttpClient();
        using var request = new HttpRequestMessage(HttpMethod.Get, new Uri(root, "/sign-in"));
        request.Headers.Host = PlantAuthority.Name;
        request.Headers.Add("X-Forwarded-Proto", "https");
        request.Headers.Add("X-Forwarded-For", "192.0.2.44");
        return await http.SendAsync(request);
    }
}
