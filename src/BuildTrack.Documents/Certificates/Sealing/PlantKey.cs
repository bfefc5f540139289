using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace BuildTrack.Documents.Certificates;

/// <summary>The plant's sealing key with its self-signed certificate.</summary>
/// <remarks>
/// A self-signed key proves that nothing changed since the seal, not who sealed: publish <see cref="Fingerprint"/> by a second way.
/// The key file is not encrypted (the service must open it unattended); the file mode keeps others away. Back it up with the database:
/// a lost key makes no old certificate invalid, but new ones carry a new fingerprint.
/// </remarks>
public sealed class PlantKey : IDisposable
{
    /// <summary>The file in the key folder.</summary>
    public const string FileName = "plant-seal.pfx";

    private const int KeyBits = 3072;

    private const int ValidYears = 30;

    private PlantKey(X509Certificate2 certificate)
    {
        Certificate = certificate;
        Fingerprint = Convert.ToHexStringLower(SHA256.HashData(certificate.RawData));
    }

    /// <summary>The certificate with its private key.</summary>
    public X509Certificate2 Certificate { get; }

    /// <summary>SHA-256 of the certificate's DER bytes, 64 lower-case hexadecimal digits.</summary>
    public string Fingerprint { get; }

    /// <summary>Opens the key of a folder, or makes one if there is none.</summary>
    /// <param name="plantName">Name in a new certificate; an existing one keeps its own.</param>
    /// <exception cref="CryptographicException">The file is there but is no key.</exception>
    public static PlantKey LoadOrCreate(string folder, string plantName, TimeProvider time)
    {
        Directory.CreateDirectory(folder);
        var path = Path.Combine(folder, FileName);
        if (!File.Exists(path))
        {
            using var made = Make(plantName, time.GetUtcNow());
            Keep(made.Export(X509ContentType.Pkcs12), path);
        }

        return new PlantKey(X509CertificateLoader.LoadPkcs12(File.ReadAllBytes(path), null, X509KeyStorageFlags.Exportable));
    }

    public void Dispose() => Certificate.Dispose();

    private static X509Certificate2 Make(string plantName, DateTimeOffset now)
    {
        using var rsa = RSA.Create(KeyBits);
        var name = new X500DistinguishedNameBuilder();
        name.AddCommonName($"{plantName}, seal of certificates");
        var request = new CertificateRequest(name.Build(), rsa, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(false, false, 0, true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.DigitalSignature | X509KeyUsageFlags.NonRepudiation, true));
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(request.PublicKey, false));
        // A day of grace for clocks that differ.
        return request.CreateSelfSigned(now.AddDays(-1), now.AddYears(ValidYears));
    }

    /// <summary>Writes the key whole or not at all; if another process made one meanwhile, that one stays.</summary>
    private static void Keep(byte[] pfx, string path)
    {
        var part = $"{path}.{Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(6))}";
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        }

        using (var file = new FileStream(part, options))
        {
            file.Write(pfx);
            file.Flush(flushToDisk: true);
        }

        try
        {
            File.Move(part, path, overwrite: false);
        }
        catch (IOException) when (File.Exists(path))
        {
            File.Delete(part);
        }
        finally
        {
            CryptographicOperations.ZeroMemory(pfx);
        }
    }
}
