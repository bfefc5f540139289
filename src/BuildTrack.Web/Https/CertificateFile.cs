using System.Net.Security;
using System.Security.Cryptography;
using System.Security.Cryptography.Pkcs;
using System.Security.Cryptography.X509Certificates;
using System.Text;

namespace BuildTrack.Web.Https;

/// <summary>The server's certificate as read from its file, with the certificates between it and the plant's authority.</summary>
/// <param name="Names">The names and addresses that a browser may call the server by.</param>
public sealed record CertificateFile(X509Certificate2 Leaf, SslStreamCertificateContext Context, string[] Names)
{
    private const string ServerUse = "1.3.6.1.5.5.7.3.1";

    public DateTimeOffset From => new(Leaf.NotBefore.ToUniversalTime());

    public DateTimeOffset Until => new(Leaf.NotAfter.ToUniversalTime());

    /// <summary>Reads the files that the settings name.</summary>
    /// <exception cref="StartRefusedException">What was found, and what was expected, in one sentence.</exception>
    public static CertificateFile Read(HttpsSettings settings, DateTimeOffset now)
    {
        var file = settings.Certificate!;
        var bytes = Bytes("Https:Certificate", file);
        var found = IsPem(bytes) ? OfPem(settings, bytes) : OfPfx(settings, bytes);
        var leaf = found.FirstOrDefault(c => c.HasPrivateKey)
            ?? throw new StartRefusedException($"{file} holds a certificate without its private key; expected a PFX with both, or a PEM key named with Https:Key.");
        var names = leaf.Extensions.OfType<X509SubjectAlternativeNameExtension>()
            .SelectMany(e => e.EnumerateDnsNames().Concat(e.EnumerateIPAddresses().Select(a => a.ToString()))).ToArray();
        var read = new CertificateFile(leaf, SslStreamCertificateContext.Create(leaf, [.. found.Where(c => c != leaf)], offline: true), names);
        read.Check(file, now);
        return read;
    }

    private void Check(string file, DateTimeOffset now)
    {
        if (now > Until)
        {
            throw new StartRefusedException($"The certificate in {file} was valid until {Day(Until)}, and today is {Day(now)}; expected one that is valid today.");
        }

        if (now < From)
        {
            throw new StartRefusedException($"The certificate in {file} is valid from {Day(From)} on, and today is {Day(now)}; expected one that is valid today.");
        }

        if (Names.Length == 0)
        {
            throw new StartRefusedException($"The certificate in {file} has no subject alternative name; expected the name that tablets call the server by, as browsers look nowhere else.");
        }

        var uses = Leaf.Extensions.OfType<X509EnhancedKeyUsageExtension>().SelectMany(e => e.EnhancedKeyUsages.Cast<Oid>()).Select(o => o.Value).ToArray();
        if (uses.Length > 0 && !uses.Contains(ServerUse))
        {
            throw new StartRefusedException($"The certificate in {file} is for another use ({string.Join(", ", uses)}); expected one for server authentication ({ServerUse}).");
        }
    }

    private static bool IsPem(byte[] bytes) => Encoding.ASCII.GetString(bytes).Contains("-----BEGIN ", StringComparison.Ordinal);

    private static X509Certificate2Collection OfPem(HttpsSettings settings, byte[] bytes)
    {
        var (file, text) = (settings.Certificate!, Encoding.ASCII.GetString(bytes));
        var found = new X509Certificate2Collection();
        try
        {
            found.ImportFromPem(text);
        }
        catch (CryptographicException e)
        {
            throw new StartRefusedException($"{file} looks like PEM and cannot be read ({e.Message}); expected the server's certificate first, then those between it and the authority.");
        }

        if (found.Count == 0)
        {
            throw new StartRefusedException($"{file} holds no certificate; expected the server's certificate first, then those between it and the authority.");
        }

        var (keyFile, key) = settings.Key is { } named ? (named, Encoding.ASCII.GetString(Bytes("Https:Key", named))) : (file, text);
        if (!key.Contains("PRIVATE KEY-----", StringComparison.Ordinal))
        {
            return settings.Key is null ? found : throw new StartRefusedException($"Https:Key names {keyFile}, which holds no private key; expected a PEM text with BEGIN PRIVATE KEY.");
        }

        try
        {
            using var leaf = settings.Password is { } password && key.Contains("BEGIN ENCRYPTED PRIVATE KEY", StringComparison.Ordinal)
                ? X509Certificate2.CreateFromEncryptedPem(text, key, password) : X509Certificate2.CreateFromPem(text, key);
            // Through a PFX, because a key that lives in memory alone serves no TLS on Windows.
            found[0] = X509CertificateLoader.LoadPkcs12(leaf.Export(X509ContentType.Pfx), null);
            return found;
        }
        catch (Exception e) when (e is CryptographicException or ArgumentException)
        {
            throw new StartRefusedException($"The private key in {keyFile} cannot be used with the first certificate in {file} ({e.Message}); expected its own key, and its password in Https:PasswordFile where it has one.");
        }
    }

    private static X509Certificate2Collection OfPfx(HttpsSettings settings, byte[] bytes)
    {
        var file = settings.Certificate!;
        if (settings.Key is not null)
        {
            throw new StartRefusedException($"Https:Key is set and {file} is no PEM file; expected a PEM certificate, or a PFX that holds its key and no Https:Key.");
        }

        try
        {
            Pkcs12Info.Decode(bytes, out _);
        }
        catch (CryptographicException)
        {
            throw new StartRefusedException($"{file} is neither PFX nor PEM; expected a certificate in one of the two forms.");
        }

        try
        {
            return X509CertificateLoader.LoadPkcs12Collection(bytes, settings.Password);
        }
        catch (CryptographicException e)
        {
            throw new StartRefusedException($"{file} does not open with the password {(settings.Password is null ? "left out" : "given")} ({e.Message}); expected the PFX's password in Https:PasswordFile or Https:Password.");
        }
    }

    private static byte[] Bytes(string setting, string file)
    {
        try
        {
            return File.ReadAllBytes(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new StartRefusedException($"{setting} names {file}, which cannot be read ({e.Message}); expected a PFX or PEM file that the server's user may read.");
        }
    }

    private static string Day(DateTimeOffset at) => at.ToString("yyyy-MM-dd HH:mm 'UTC'", System.Globalization.CultureInfo.InvariantCulture);
}
