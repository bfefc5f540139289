using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace BuildTrack.Web.Tests.Https;

/// <summary>A plant's own authority, with one certificate between it and the servers'; made anew for each test.</summary>
internal sealed class PlantAuthority : IDisposable
{
    public const string Name = "buildtrack.ostrel-vale.test";

    private readonly ECDsa rootKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly ECDsa betweenKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly DateTimeOffset now = TimeProvider.System.GetUtcNow();

    public PlantAuthority()
    {
        Root = Authority("CN=Ostrel Vale plant authority", rootKey).CreateSelfSigned(now.AddYears(-5), now.AddYears(5));
        Between = Authority("CN=Ostrel Vale servers", betweenKey).Create(Root, now.AddYears(-4), now.AddYears(4), [1]).CopyWithPrivateKey(betweenKey);
    }

    public X509Certificate2 Root { get; }

    public X509Certificate2 Between { get; }

    /// <summary>A server's certificate with its key; valid from yesterday for 90 days unless told.</summary>
    public X509Certificate2 Issue(string? name = Name, int fromDays = -1, int untilDays = 90, string use = "1.3.6.1.5.5.7.3.1", byte serial = 2)
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=BuildTrack server", key, HashAlgorithmName.SHA256);
        if (name is not null)
        {
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName(name);
            names.AddIpAddress(IPAddress.Parse("192.0.2.17"));
            request.CertificateExtensions.Add(names.Build());
        }

        request.CertificateExtensions.Add(new X509EnhancedKeyUsageExtension([new Oid(use)], false));
        using var issued = request.Create(Between, now.AddDays(fromDays), now.AddDays(untilDays), [serial]);
        return issued.CopyWithPrivateKey(key);
    }

    /// <summary>The server's certificate, its key, and the one between.</summary>
    public byte[] Pfx(X509Certificate2 leaf, string? password) => new X509Certificate2Collection { leaf, Between.WithoutKey() }.Export(X509ContentType.Pkcs12, password)!;

    public string Pem(X509Certificate2 leaf) => leaf.ExportCertificatePem() + "\n" + Between.ExportCertificatePem() + "\n";

    public void Dispose()
    {
        Root.Dispose();
        Between.Dispose();
        rootKey.Dispose();
        betweenKey.Dispose();
    }

    private static CertificateRequest Authority(string name, ECDsa key)
    {
        var request = new CertificateRequest(name, key, HashAlgorithmName.SHA256);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(true, false, 0, true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.KeyCertSign, true));
        return request;
    }
}

internal static class CertificateForms
{
    public static X509Certificate2 WithoutKey(this X509Certificate2 certificate) => X509CertificateLoader.LoadCertificate(certificate.RawData);

    public static string KeyPem(this X509Certificate2 leaf)
    {
        using var key = leaf.GetECDsaPrivateKey()!;
        return key.ExportPkcs8PrivateKeyPem();
    }

    public static string KeyPem(this X509Certificate2 leaf, string password)
    {
        using var key = leaf.GetECDsaPrivateKey()!;
        return key.ExportEncryptedPkcs8PrivateKeyPem(password, new PbeParameters(PbeEncryptionAlgorithm.Aes256Cbc, HashAlgorithmName.SHA256, 10_000));
    }
}
