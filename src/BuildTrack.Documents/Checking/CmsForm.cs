using System.Formats.Asn1;
using System.Security.Cryptography.X509Certificates;

namespace BuildTrack.Documents.Checking;

/// <summary>The parts of a seal that no signature covers, held against the one form that is written.</summary>
internal static class CmsForm
{
    private const string SignedData = "1.2.840.113549.1.7.2", Data = "1.2.840.113549.1.7.1", Sha256 = "2.16.840.1.101.3.4.2.1", Rsa = "1.2.840.113549.1.1.1";

    private static readonly Asn1Tag Zero = new(TagClass.ContextSpecific, 0);

    /// <summary>True when the envelope, built anew from its certificate, signed attributes and signature, gives the same bytes.</summary>
    public static bool IsOurs(byte[] encoded, X509Certificate2 certificate)
    {
        var body = new AsnReader(encoded, AsnEncodingRules.DER).ReadSequence();
        body.ReadObjectIdentifier();
        body = body.ReadSequence(Zero).ReadSequence();
        // version, digests, content, certificates
        for (var i = 0; i < 4; i++)
        {
            body.ReadEncodedValue();
        }

        var signer = body.ReadSetOf().ReadSequence();
        // version, issuer and serial number, digest
        for (var i = 0; i < 3; i++)
        {
            signer.ReadEncodedValue();
        }

        var attributes = signer.ReadEncodedValue();
        signer.ReadEncodedValue();
        return Build(certificate, attributes.Span, signer.ReadOctetString()).AsSpan().SequenceEqual(encoded);
    }

    private static byte[] Build(X509Certificate2 certificate, ReadOnlySpan<byte> attributes, byte[] signature)
    {
        var asn = new AsnWriter(AsnEncodingRules.DER);
        using (asn.PushSequence())
        {
            asn.WriteObjectIdentifier(SignedData);
            using (asn.PushSequence(Zero))
            using (asn.PushSequence())
            {
                asn.WriteInteger(1);
                using (asn.PushSetOf())
                {
                    Algorithm(asn, Sha256);
                }

                Algorithm(asn, Data);
                using (asn.PushSetOf(Zero))
                {
                    asn.WriteEncodedValue(certificate.RawData);
                }

                using (asn.PushSetOf())
                using (asn.PushSequence())
                {
                    asn.WriteInteger(1);
                    using (asn.PushSequence())
                    {
                        asn.WriteEncodedValue(certificate.IssuerName.RawData);
                        asn.WriteInteger(certificate.SerialNumberBytes.Span);
                    }

                    Algorithm(asn, Sha256);
                    asn.WriteEncodedValue(attributes);
                    Algorithm(asn, Rsa);
                    asn.WriteOctetString(signature);
                }
            }
        }

        return asn.Encode();
    }

    private static void Algorithm(AsnWriter asn, string name)
    {
        using (asn.PushSequence())
        {
            asn.WriteObjectIdentifier(name);
        }
    }
}
