using System.Security.Cryptography.X509Certificates;

namespace BuildTrack.Web.Tests.Https;

/// <summary>Settings that do not do stop the start with one sentence: what was found, and what was expected.</summary>
public sealed class RefusedStartTests
{
    [Theory]
    [InlineData("http://0.0.0.0:0", "The address http://0.0.0.0:0 would take plain http from other machines", "expected a loopback address such as http://127.0.0.1:5080")]
    [InlineData("http://*:0", "The address http://*:0 would take plain http from other machines", "Https:Certificate for other machines")]
    [InlineData("http://192.0.2.17:8080;http://127.0.0.1:0", "The address http://192.0.2.17:8080 would take", "expected a loopback address")]
    [InlineData("https://0.0.0.0:8443", "The address https://0.0.0.0:8443 stands among the plain ones", "expected it as Https:Address")]
    [InlineData("127.0.0.1", "'127.0.0.1' is no address to listen at", "expected one like http://127.0.0.1:5080")]
    public async Task Plain_http_is_for_the_machine_itself(string urls, string found, string expected) => await Sentence(found, expected, "--urls", urls);

    [Theory]
    [InlineData("--http_ports=8080", "The address http://*:8080 would take plain http", "expected a loopback address")]
    [InlineData("--https_ports=8443", "https_ports is '8443'", "expected Https:Address and Https:Certificate")]
    [InlineData("--Kestrel:Endpoints:A:Url=http://0.0.0.0:80", "Kestrel:Endpoints is set", "expected --urls")]
    [InlineData("--Https:Address=https://*:8443", "Https:Address is set and Https:Certificate is not", "expected the PFX or PEM file")]
    [InlineData("--Https:PasswordFile=nowhere", "Https:PasswordFile is set and Https:Certificate is not", "expected the PFX or PEM file")]
    [InlineData("--Proxy:Addresses=10.0.0.5,proxy", "Proxy:Addresses holds 'proxy'", "expected the IP addresses")]
    [InlineData("--Https:Certificate=nowhere.pfx", "nowhere.pfx, which cannot be read", "expected a PFX or PEM file")]
    public async Task A_setting_that_cannot_be_meant(string setting, string found, string expected) => await Sentence(found, expected, setting);

    [Fact]
    public async Task Two_passwords_and_an_address_without_https()
    {
        using var plant = new PlantAuthority();
        using var leaf = plant.Issue();
        await Refused("are both set", "expected one of them", s => [Pfx(s, plant, leaf, "a"), "--Https:Password=a", $"--Https:PasswordFile={s.Put("p", "a")}"]);
        await Refused("Https:PasswordFile names", "expected a text file with the password alone", s => [Pfx(s, plant, leaf, "a"), "--Https:PasswordFile=nowhere"]);
        await Refused("Https:Address is 'http://*:8443'", "expected an https address like https://*:8443", s => [Pfx(s, plant, leaf, null), "--Https:Address=http://*:8443"]);
    }

    [Fact]
    public async Task A_pfx_that_does_not_open_or_lacks_its_key()
    {
        using var plant = new PlantAuthority();
        using var leaf = plant.Issue();
        await Refused("does not open with the password given", "expected the PFX's password", s => [Pfx(s, plant, leaf, "right"), "--Https:Password=wrong"]);
        await Refused("does not open with the password left out", "expected the PFX's password", s => [Pfx(s, plant, leaf, "right")]);
        await Refused("is neither PFX nor PEM", "expected a certificate in one of the two forms", s => [$"--Https:Certificate={s.Put("server.pfx", "no certificate")}"]);
        using var keyless = leaf.WithoutKey();
        await Refused("holds a certificate without its private key", "expected a PFX with both", s => [$"--Https:Certificate={s.Put("server.pfx", keyless.Export(X509ContentType.Pfx))}"]);
        await Refused("is no PEM file", "expected a PEM certificate, or a PFX", s => [Pfx(s, plant, leaf, null), $"--Https:Key={s.Put("server.key", leaf.KeyPem())}"]);
    }

    [Fact]
    public async Task A_pem_without_its_own_key()
    {
        using var plant = new PlantAuthority();
        using var leaf = plant.Issue();
        using var other = plant.Issue();
        await Refused("holds a certificate without its private key", "or a PEM key named with Https:Key", s => [Pem(s, plant, leaf)]);
        await Refused("cannot be used with the first certificate", "expected its own key", s => [Pem(s, plant, leaf), $"--Https:Key={s.Put("server.key", other.KeyPem())}"]);
        await Refused("cannot be used with the first certificate", "its password in Https:PasswordFile", s => [Pem(s, plant, leaf), $"--Https:Key={s.Put("server.key", leaf.KeyPem("k"))}"]);
        await Refused("cannot be used with the first certificate", "its password in Https:PasswordFile", s => [Pem(s, plant, leaf), $"--Https:Key={s.Put("server.key", leaf.KeyPem("k"))}", "--Https:Password=l"]);
        await Refused("which holds no private key", "expected a PEM text with BEGIN PRIVATE KEY", s => [Pem(s, plant, leaf), $"--Https:Key={s.Put("server.key", plant.Pem(leaf))}"]);
        await Refused("holds no certificate", "expected the server's certificate first", s => [$"--Https:Certificate={s.Put("server.pem", leaf.KeyPem())}"]);
        await Refused("looks like PEM and cannot be read", "expected the server's certificate first", s => [$"--Https:Certificate={s.Put("server.pem", "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n")}"]);
    }

    [Fact]
    public async Task A_certificate_that_browsers_would_refuse()
    {
        using var plant = new PlantAuthority();
        using var past = plant.Issue(fromDays: -90, untilDays: -1);
        using var early = plant.Issue(fromDays: 2);
        using var nameless = plant.Issue(name: null);
        using var client = plant.Issue(use: "1.3.6.1.5.5.7.3.2");
        await Refused("was valid until", "expected one that is valid today", s => [Pfx(s, plant, past, null)]);
        await Refused("is valid from", "expected one that is valid today", s => [Pfx(s, plant, early, null)]);
        await Refused("has no subject alternative name", "expected the name that tablets call the server by", s => [Pfx(s, plant, nameless, null)]);
        await Refused("is for another use (1.3.6.1.5.5.7.3.2)", "expected one for server authentication", s => [Pfx(s, plant, client, null)]);
    }

    private static string Pfx(ServerProcess server, PlantAuthority plant, X509Certificate2 leaf, string? password) => $"--Https:Certificate={server.Put("server.pfx", plant.Pfx(leaf, password))}";

    private static string Pem(ServerProcess server, PlantAuthority plant, X509Certificate2 leaf) => $"--Https:Certificate={server.Put("server.pem", plant.Pem(leaf))}";

    private static Task Sentence(string found, string expected, params string[] settings) => Refused(found, expected, _ => settings);

    private static async Task Refused(string found, string expected, Func<ServerProcess, string[]> settings)
    {
        await using var server = new ServerProcess();
        var (code, error) = await server.Refused(settings(server));
        var sentence = Assert.Single(error);
        Assert.Equal(1, code);
        Assert.StartsWith("BuildTrack does not start. ", sentence, StringComparison.Ordinal);
        Assert.Contains(found, sentence, StringComparison.Ordinal);
        Assert.Contains(expected, sentence, StringComparison.Ordinal);
    }
}
