using System.Net;
using System.Net.Http.Json;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace BuildTrack.Web.Tests.Https;

/// <summary>A plant's server with a certificate of the plant's authority, as a tablet meets it.</summary>
public sealed partial class OverHttpsTests
{
    private const string Password = "a long test password";

    [Fact]
    public async Task A_tablet_signs_in_by_the_servers_name_and_acts_with_the_cookie()
    {
        using var authority = new PlantAuthority();
        using var leaf = authority.Issue();
        await using var server = new ServerProcess { LastSaid = $"once: https://{PlantAuthority.Name}" };
        await server.Start($"--Https:Certificate={server.Put("server.pfx", authority.Pfx(leaf, "a secret"))}", $"--Https:PasswordFile={server.Put("password", "a secret\n")}", "--Https:Address=https://*:0", "--urls", "http://127.0.0.1:0");
        using var tablet = ServerProcess.Tablet(authority.Root);
        var root = new Uri(server.After("BuildTrack: https://") is var rest ? "https://" + rest : "");
        Assert.Equal(PlantAuthority.Name, root.Host);

        await MakeAdministrator(tablet, root, server.After("?code="));
        var cookie = await SignIn(tablet, root);
        Assert.Contains("; secure", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("; httponly", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("; samesite=strict", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("domain=", cookie, StringComparison.OrdinalIgnoreCase);

        using var set = await Put(tablet, root, root.GetLeftPart(UriPartial.Authority));
        Assert.Equal(HttpStatusCode.OK, set.StatusCode);
        Assert.Equal("max-age=31536000", Assert.Single(set.Headers.GetValues("Strict-Transport-Security")));
        Assert.Equal("Ostrel Vale Machine Works", (string)JsonNode.Parse(await tablet.GetStringAsync(new Uri(root, "/api/v1/plant")))!["name"]!);

        using var elsewhere = await Put(tablet, root, "https://other.ostrel-vale.test");
        Assert.Equal(HttpStatusCode.Forbidden, elsewhere.StatusCode);

        var page = WebUtility.HtmlDecode(await tablet.GetStringAsync(new Uri(root, "/plant")));
        Assert.Contains($"{PlantAuthority.Name}, 192.0.2.17", page, StringComparison.Ordinal);
        Assert.Contains("CN=Ostrel Vale servers", page, StringComparison.Ordinal);
        Assert.DoesNotContain("certificate ends in", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Another_name_and_another_authority_are_not_believed()
    {
        using var authority = new PlantAuthority();
        using var other = new PlantAuthority();
        using var leaf = authority.Issue();
        await using var server = new ServerProcess { LastSaid = "BuildTrack: https://" };
        await server.Start($"--Https:Certificate={server.Put("server.pem", authority.Pem(leaf))}", $"--Https:Key={server.Put("server.key", leaf.KeyPem("k"))}", "--Https:Password=k", "--Https:Address=https://127.0.0.1:0", "--urls", "http://127.0.0.1:0");
        var port = new Uri("https://" + server.After("BuildTrack: https://")).Port;
        using var tablet = ServerProcess.Tablet(authority.Root);
        using var stranger = ServerProcess.Tablet(other.Root);
        Assert.Equal("{\"state\":\"live\"}", await tablet.GetStringAsync($"https://{PlantAuthority.Name}:{port}/health/live"));
        await Assert.ThrowsAsync<HttpRequestException>(() => tablet.GetStringAsync($"https://else.ostrel-vale.test:{port}/health/live"));
        await Assert.ThrowsAsync<HttpRequestException>(() => stranger.GetStringAsync($"https://{PlantAuthority.Name}:{port}/health/live"));
    }

    [Fact]
    public async Task Plain_http_on_the_machine_itself_is_not_told_to_keep_to_https()
    {
        using var authority = new PlantAuthority();
        using var leaf = authority.Issue(name: "localhost");
        await using var server = new ServerProcess { LastSaid = "BuildTrack: https://" };
        await server.Start($"--Https:Certificate={server.Put("server.pfx", authority.Pfx(leaf, null))}", "--Https:Address=https://127.0.0.1:0", "--urls", "http://127.0.0.1:0");
        using var tablet = ServerProcess.Tablet(authority.Root);
        foreach (var address in new[] { "http://" + server.After("BuildTrack: http://"), $"https://localhost:{new Uri("https://" + server.After("BuildTrack: https://")).Port}" })
        {
            using var answer = await tablet.GetAsync(new Uri(new Uri(address), "/sign-in"));
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
            Assert.False(answer.Headers.Contains("Strict-Transport-Security"), address);
        }
    }

    [Fact]
    public async Task A_renewed_certificate_is_taken_without_a_stop_and_a_bad_one_is_not()
    {
        using var authority = new PlantAuthority();
        using var before = authority.Issue(untilDays: 12);
        using var renewed = authority.Issue(serial: 3);
        await using var server = new ServerProcess { LastSaid = $"once: https://{PlantAuthority.Name}" };
        await server.Start($"--Https:Certificate={server.Put("server.pfx", authority.Pfx(before, null))}", "--Https:Address=https://*:0", "--urls", "http://127.0.0.1:0");
        var root = new Uri("https://" + server.After("BuildTrack: https://"));
        Assert.Contains("put a renewed one in its place", server.After("The certificate in "), StringComparison.Ordinal);

        var met = new List<string>();
        using var tablet = ServerProcess.Tablet(authority.Root, c => met.Add(c.SerialNumber));
        await MakeAdministrator(tablet, root, server.After("?code="));
        await SignIn(tablet, root);
        Assert.Contains("The server's certificate ends in 11 days.", await PlantPage(), StringComparison.Ordinal);
        Assert.All(met, s => Assert.Equal("02", s));

        server.Put("server.pfx", "half of a copy");
        var page = await PlantPage();
        Assert.Contains("is neither PFX nor PEM", page, StringComparison.Ordinal);
        Assert.Equal("02", met[^1]);

        server.Put("server.pfx", authority.Pfx(renewed, null));
        page = await PlantPage();
        Assert.Equal("03", met[^1]);
        Assert.DoesNotContain("certificate ends in", page, StringComparison.Ordinal);
        Assert.DoesNotContain("is neither PFX nor PEM", page, StringComparison.Ordinal);

        async Task<string> PlantPage() => WebUtility.HtmlDecode(await tablet.GetStringAsync(new Uri(root, "/plant")));
    }

    [Fact]
    public async Task The_demo_stays_on_plain_http_of_the_machine_itself()
    {
        await using var server = new ServerProcess { LastSaid = "BuildTrack (demo): " };
        // Where the folder says that it holds the demo, the plant is not made anew: this is about the address alone.
        server.Put(Path.Combine("data", "demo"), "made before");
        await server.Start("--demo", "--urls", "http://127.0.0.1:0");
        using var browser = new HttpClient();
        Assert.Contains("renna.tallworth", await browser.GetStringAsync(new Uri(new Uri(server.After("BuildTrack (demo): ")), "/sign-in")), StringComparison.Ordinal);
    }

    private static async Task MakeAdministrator(HttpClient tablet, Uri root, string code)
    {
        var sheet = new Uri(root, "/first-start?code=" + code);
        using var made = await Post(tablet, sheet, ("Person", "odo"), ("FullName", "Odo Fenn"), ("Password", Password));
        Assert.Equal(HttpStatusCode.Redirect, made.StatusCode);
    }

    // The cookie as the server set it.
    private static async Task<string> SignIn(HttpClient tablet, Uri root)
    {
        using var answer = await Post(tablet, new Uri(root, "/sign-in"), ("Person", "odo"), ("Password", Password));
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return Assert.Single(answer.Headers.GetValues("Set-Cookie"), c => c.StartsWith("__Host-buildtrack=", StringComparison.Ordinal));
    }

    private static async Task<HttpResponseMessage> Post(HttpClient tablet, Uri sheet, params (string Name, string Value)[] fields)
    {
        var token = Token().Match(await tablet.GetStringAsync(sheet)).Groups[1].Value;
        using var request = new HttpRequestMessage(HttpMethod.Post, sheet)
        {
            Content = new FormUrlEncodedContent([KeyValuePair.Create("__RequestVerificationToken", token), .. fields.Select(f => KeyValuePair.Create(f.Name, f.Value))]),
        };
        request.Headers.Add("Origin", sheet.GetLeftPart(UriPartial.Authority));
        return await tablet.SendAsync(request);
    }

    private static async Task<HttpResponseMessage> Put(HttpClient tablet, Uri root, string origin)
    {
        using var request = new HttpRequestMessage(HttpMethod.Put, new Uri(root, "/api/v1/plant"))
        {
            Content = JsonContent.Create(new { name = "Ostrel Vale Machine Works", prefix = "OVC", firstNumber = 1, timeZone = "Europe/Vienna" }),
        };
        request.Headers.Add("Origin", origin);
        request.Headers.Add("Idempotency-Key", Guid.NewGuid().ToString("N"));
        return await tablet.SendAsync(request);
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" type=\"hidden\" value=\"([^\"]+)\"")]
    private static partial Regex Token();
}
