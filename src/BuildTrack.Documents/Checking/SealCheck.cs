using System.Buffers;
using System.Formats.Asn1;
using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.Pkcs;
using System.Text;
using System.Text.RegularExpressions;

namespace BuildTrack.Documents.Checking;

/// <summary>Whether the one seal covers the whole file, and who made it.</summary>
/// <remarks>
/// Reads the file's bytes itself, not through a PDF library: what the seal covers must not depend on how a reader mends a broken file.
/// </remarks>
internal static partial class SealCheck
{
    private static readonly SearchValues<char> Digits = SearchValues.Create("0123456789ABCDEF");

    /// <summary>Checks the seal; the answer is the fingerprint of the sealing certificate, or null where there is none.</summary>
    public static string? Run(byte[] pdf, CheckLines lines)
    {
        var text = Encoding.Latin1.GetString(pdf);
        var ranges = ByteRange().Matches(text);
        if (ranges.Count != 1)
        {
            lines.Fails("seal", $"the file has {ranges.Count} seals, expected one");
            return null;
        }

        var numbers = ranges[0].Groups.Values.Skip(1).Select(g => long.TryParse(g.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var n) ? n : -1).ToArray();
        if (numbers[0] != 0 || numbers[1] <= 0 || numbers[2] <= numbers[1] || numbers[3] <= 0 || numbers[2] + numbers[3] != pdf.Length)
        {
            lines.Fails("seal", FormattableString.Invariant($"the seal covers bytes {numbers[0]} to {numbers[0] + numbers[1]} and {numbers[2]} to {numbers[2] + numbers[3]}, expected the whole file of {pdf.Length} bytes"));
            return null;
        }

        var (from, to) = ((int)numbers[1], (int)numbers[2]);
        if (Contents(text[from..to]) is not { } cms)
        {
            lines.Fails("seal", FormattableString.Invariant($"bytes {from} to {to}, left out of the seal, hold something else than the seal; expected nothing but its hexadecimal digits"));
            return null;
        }

        return Verify([.. pdf.AsSpan(0, from), .. pdf.AsSpan(to)], cms, lines);
    }

    /// <summary>The seal's bytes out of the gap, or null where the gap holds anything but them and zeros.</summary>
    private static byte[]? Contents(string gap)
    {
        // Upper-case digits only, as the library writes them: a digit with one bit changed to lower case would read the same.
        if (gap.Length < 6 || gap[0] != '<' || gap[^1] != '>' || gap.Length % 2 != 0 || gap.AsSpan(1, gap.Length - 2).ContainsAnyExcept(Digits))
        {
            return null;
        }

        var bytes = Convert.FromHexString(gap.AsSpan(1, gap.Length - 2));
        return AsnDecoder.TryReadEncodedValue(bytes, AsnEncodingRules.DER, out _, out _, out _, out var used) && !bytes.AsSpan(used).ContainsAnyExcept((byte)0)
            ? bytes[..used]
            : null;
    }

    private static string? Verify(byte[] covered, byte[] encoded, CheckLines lines)
    {
        var cms = new SignedCms(new ContentInfo(covered), detached: true);
        cms.Decode(encoded);
        if (cms.SignerInfos is not [{ Certificate: { } certificate } signer] || cms.Certificates.Count != 1)
        {
            lines.Fails("seal", $"the seal has {cms.SignerInfos.Count} signers and {cms.Certificates.Count} certificates, expected one of each");
            return null;
        }

        var fingerprint = Convert.ToHexStringLower(SHA256.HashData(certificate.RawData));
        if (!CmsForm.IsOurs(encoded, certificate))
        {
            lines.Fails("seal", "the seal's envelope was changed; its form is not the one that is written");
            return fingerprint;
        }

        try
        {
            cms.CheckSignature(verifySignatureOnly: true);
            lines.Holds("seal", FormattableString.Invariant($"the seal is intact and covers all {covered.Length} bytes outside itself"));
        }
        catch (CryptographicException)
        {
            lines.Fails("seal", "the file was changed after it was sealed; the digest in the seal is not that of the bytes found");
        }

        return fingerprint;
    }

    [GeneratedRegex(@"/ByteRange\s*\[\s*(\d{1,12})\s+(\d{1,12})\s+(\d{1,12})\s+(\d{1,12})\s*\]")]
    private static partial Regex ByteRange();
}
