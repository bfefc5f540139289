using System.Collections.Immutable;
using System.Net;

namespace BuildTrack.Web.Https;

/// <summary>Where the certificate for https is, where https listens, and which proxies stand in front.</summary>
/// <param name="Certificate">PFX with its key, or PEM; null without https.</param>
/// <param name="Key">PEM file of the private key; null where it stands in the certificate's file.</param>
/// <param name="Password">Of the PFX or of the PEM key; null where there is none.</param>
/// <param name="Address">Where https listens: "https://*:8443".</param>
/// <param name="Proxies">Addresses of the reverse proxies whose word about the original request counts.</param>
public sealed record HttpsSettings(string? Certificate, string? Key, string? Password, string Address, ImmutableArray<IPAddress> Proxies)
{
    private const string UsualAddress = "https://*:8443";

    /// <exception cref="StartRefusedException">A setting that cannot be meant, or a password file that is not there.</exception>
    public static HttpsSettings Of(IConfiguration configuration)
    {
        string? Text(string name) => configuration[name] is { Length: > 0 } text ? text : null;
        var certificate = Text("Https:Certificate");
        if (certificate is null && new[] { "Https:Key", "Https:Password", "Https:PasswordFile", "Https:Address" }.FirstOrDefault(n => Text(n) is not null) is { } alone)
        {
            throw new StartRefusedException($"{alone} is set and Https:Certificate is not; expected the PFX or PEM file of the certificate as well.");
        }

        if (Text("Https:Password") is not null && Text("Https:PasswordFile") is not null)
        {
            throw new StartRefusedException("Https:Password and Https:PasswordFile are both set; expected one of them.");
        }

        return new HttpsSettings(
            certificate is null ? null : Path.GetFullPath(certificate), Text("Https:Key") is { } key ? Path.GetFullPath(key) : null,
            Text("Https:Password") ?? PasswordIn(Text("Https:PasswordFile")), Text("Https:Address") ?? UsualAddress, ProxiesIn(Text("Proxy:Addresses")));
    }

    private static string? PasswordIn(string? file)
    {
        try
        {
            return file is null ? null : File.ReadAllText(file).TrimEnd('\r', '\n');
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new StartRefusedException($"Https:PasswordFile names {file}, which cannot be read ({e.Message}); expected a text file with the password alone.");
        }
    }

    private static ImmutableArray<IPAddress> ProxiesIn(string? list) =>
        [.. (list ?? "").Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(text => IPAddress.TryParse(text, out var address)
            ? address
            : throw new StartRefusedException($"Proxy:Addresses holds '{text}'; expected the IP addresses of the reverse proxies, separated by commas."))];
}
