using System.Security.Cryptography;
using System.Security.Cryptography.Pkcs;
using BuildTrack.Domain.Canonical;
using PdfSharp.Drawing;
using PdfSharp.Pdf.Annotations;
using PdfSharp.Pdf.IO;
using PdfSharp.Pdf.Signatures;

namespace BuildTrack.Documents.Certificates.Sealing;

/// <summary>Puts the one seal on a finished document.</summary>
internal static class Seal
{
    /// <summary>The sealed document.</summary>
    /// <param name="issuedAt">Stands as the time of signing: the moment of the act, not of a later rendering of it.</param>
    public static byte[] Put(byte[] document, PlantKey key, string reason, string place, Instant issuedAt)
    {
        // A tagged document cannot be sealed while it is being made: it is saved, opened again, and sealed.
        using var unsealed = new MemoryStream(document);
        using var pdf = PdfReader.Open(unsealed, PdfDocumentOpenMode.Modify);
        DigitalSignatureHandler.ForDocument(pdf, new Signer(key, issuedAt), new DigitalSignatureOptions
        {
            Reason = reason, Location = place, ContactInfo = key.Fingerprint, AppName = "BuildTrack", PageIndex = 0, Rectangle = new XRect(0, 0, 0, 0),
            AppearanceHandler = new NothingDrawn(),
        });
        using var sealedStream = new MemoryStream();
        pdf.Save(sealedStream);
        return sealedStream.ToArray();
    }

    /// <summary>Detached CMS, SHA-256, one certificate, signing time from the record.</summary>
    private sealed class Signer(PlantKey key, Instant issuedAt) : IDigitalSigner
    {
        public string CertificateName => key.Certificate.GetNameInfo(System.Security.Cryptography.X509Certificates.X509NameType.SimpleName, false);

        public Task<int> GetSignatureSizeAsync() => Task.FromResult(Sign([0]).Length);

        public Task<byte[]> GetSignatureAsync(Stream stream)
        {
            // The library's stream over the two ranges knows reading and its length, and nothing else.
            var bytes = new byte[stream.Length];
            var read = 0;
            while (read < bytes.Length && stream.Read(bytes, read, bytes.Length - read) is var n and > 0)
            {
                read += n;
            }

            return Task.FromResult(Sign(bytes[..read]));
        }

        private byte[] Sign(byte[] content)
        {
            var cms = new SignedCms(new ContentInfo(content), detached: true);
            var signer = new CmsSigner(SubjectIdentifierType.IssuerAndSerialNumber, key.Certificate)
            {
                DigestAlgorithm = new Oid("2.16.840.1.101.3.4.2.1"),
                IncludeOption = System.Security.Cryptography.X509Certificates.X509IncludeOption.EndCertOnly,
            };
            signer.SignedAttributes.Add(new Pkcs9SigningTime(issuedAt.Utc.UtcDateTime));
            cms.ComputeSignature(signer, silent: true);
            return cms.Encode();
        }
    }

    /// <summary>The seal has no picture: a drawn stamp would look as if an inspector had stood there.</summary>
    private sealed class NothingDrawn : IAnnotationAppearanceHandler
    {
        public void DrawAppearance(XGraphics gfx, XRect rect)
        {
        }
    }
}
