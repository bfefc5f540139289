using System.Net;
using System.Security.Authentication;
using Microsoft.AspNetCore.HttpOverrides;

namespace BuildTrack.Web.Https;

/// <summary>Where the server listens: plain http on the machine itself, https for everybody else.</summary>
internal static class Listening
{
    private const string UsualPlain = "http://127.0.0.1:5080";

    /// <summary>Checks every address, reads the certificate, and listens.</summary>
    /// <exception cref="StartRefusedException">An address or a certificate that does not do.</exception>
    public static void ListenSafely(this WebApplicationBuilder builder, TimeProvider clock)
    {
        var settings = HttpsSettings.Of(builder.Configuration);
        var addresses = Addresses(builder.Configuration, settings);
        builder.WebHost.UseUrls([.. addresses]);
        builder.Services.AddSingleton(settings);
        if (settings.Certificate is null)
        {
            return;
        }

        var first = CertificateFile.Read(settings, clock.GetUtcNow());
        builder.Services.AddSingleton(s => new ServerCertificate(settings, s.GetRequiredService<TimeProvider>(), first, s.GetRequiredService<ILogger<ServerCertificate>>()));
        builder.WebHost.ConfigureKestrel(kestrel => kestrel.ConfigureHttpsDefaults(https =>
        {
            var certificate = kestrel.ApplicationServices.GetRequiredService<ServerCertificate>();
            https.SslProtocols = SslProtocols.Tls12 | SslProtocols.Tls13;
            https.ServerCertificateSelector = (_, _) => certificate.Current().Leaf;
            // The selector alone would leave out the certificates between this one and the authority.
            https.OnAuthenticate = (_, tls) => (tls.ServerCertificateSelectionCallback, tls.ServerCertificateContext) = (null, certificate.Current().Context);
        }));
    }

    /// <summary>Believes a named proxy, and nobody else, about the original request; plain http from elsewhere is not answered.</summary>
    public static void UseNamedProxies(this WebApplication app)
    {
        // Said at the start, not only at the first connection.
        app.Services.GetService<ServerCertificate>()?.Current();
        var proxies = app.Services.GetRequiredService<HttpsSettings>().Proxies;
        if (proxies.IsEmpty)
        {
            return;
        }

        app.Use((context, next) =>
        {
            var from = Plain(context.Connection.RemoteIpAddress ?? IPAddress.Loopback);
            if (context.Request.IsHttps || IPAddress.IsLoopback(from) || proxies.Contains(from))
            {
                return next(context);
            }

            context.Response.StatusCode = StatusCodes.Status403Forbidden;
            return Task.CompletedTask;
        });
        var options = new ForwardedHeadersOptions { ForwardedHeaders = ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto, ForwardLimit = 1 };
        options.KnownProxies.Clear();
        options.KnownIPNetworks.Clear();
        foreach (var proxy in proxies)
        {
            options.KnownProxies.Add(proxy);
        }

        app.UseForwardedHeaders(options);
    }

    private static List<string> Addresses(ConfigurationManager configuration, HttpsSettings settings)
    {
        if (configuration.GetSection("Kestrel:Endpoints").Exists())
        {
            throw new StartRefusedException("Kestrel:Endpoints is set; expected --urls for plain http on this machine and Https:Address for https.");
        }

        if (configuration["https_ports"] is { Length: > 0 } ports)
        {
            throw new StartRefusedException($"https_ports is '{ports}'; expected Https:Address and Https:Certificate.");
        }

        var told = Split(configuration["urls"]).ToList();
        if (told.Count == 0)
        {
            told.AddRange(Split(configuration["http_ports"]).Select(port => $"http://*:{port}"));
        }

        foreach (var address in told)
        {
            CheckTold(Parsed(address), address, settings);
        }

        if (told.Count == 0)
        {
            told.Add(UsualPlain);
        }

        if (settings.Certificate is not null)
        {
            _ = Parsed(settings.Address) is { Scheme: "https" } ? settings.Address
                : throw new StartRefusedException($"Https:Address is '{settings.Address}'; expected an https address like https://*:8443.");
            told.Add(settings.Address);
        }

        return told;
    }

    private static void CheckTold(BindingAddress parsed, string address, HttpsSettings settings)
    {
        if (parsed.Scheme == "https")
        {
            throw new StartRefusedException($"The address {address} stands among the plain ones (--urls, ASPNETCORE_URLS); expected it as Https:Address, with Https:Certificate.");
        }

        if (!IsThisMachine(parsed) && settings.Proxies.IsEmpty)
        {
            throw new StartRefusedException(
                $"The address {address} would take plain http from other machines, which carries passwords openly; expected a loopback address such as {UsualPlain}, and Https:Certificate for other machines (or Proxy:Addresses behind a reverse proxy).");
        }
    }

    private static bool IsThisMachine(BindingAddress parsed) => parsed.IsUnixPipe
        || string.Equals(parsed.Host, "localhost", StringComparison.OrdinalIgnoreCase)
        || (IPAddress.TryParse(parsed.Host.Trim('[', ']'), out var address) && IPAddress.IsLoopback(Plain(address)));

    private static BindingAddress Parsed(string address)
    {
        try
        {
            return BindingAddress.Parse(address);
        }
        catch (FormatException)
        {
            throw new StartRefusedException($"'{address}' is no address to listen at; expected one like {UsualPlain} or https://*:8443.");
        }
    }

    // An IPv4 address met on a socket for both is written ::ffff:10.0.0.5.
    private static IPAddress Plain(IPAddress address) => address.IsIPv4MappedToIPv6 ? address.MapToIPv4() : address;

    private static string[] Split(string? list) => (list ?? "").Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
}
