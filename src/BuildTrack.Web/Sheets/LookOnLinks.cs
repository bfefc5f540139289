using System.Globalization;
using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;

namespace BuildTrack.Web.Sheets;

/// <summary>Addresses by which a witness looks on. An address is sealed by the server's own keys and names one line of the record; nothing secret is kept beside it.</summary>
public sealed class LookOnLinks(IDataProtectionProvider protection)
{
    private readonly IDataProtector seal = protection.CreateProtector("BuildTrack.LookOn.1");

    /// <summary>Path of the sheet, from the server's root.</summary>
    public string PathOf(string serial, long link) => $"/look-on/{seal.Protect($"{link.ToString(CultureInfo.InvariantCulture)} {serial}")}";

    /// <summary>What a path names; null where it was not made here.</summary>
    public (string Serial, long Link)? Read(string sealedPart)
    {
        try
        {
            var text = seal.Unprotect(sealedPart);
            var at = text.IndexOf(' ', StringComparison.Ordinal);
            return (text[(at + 1)..], long.Parse(text.AsSpan(0, at), NumberStyles.None, CultureInfo.InvariantCulture));
        }
        catch (CryptographicException)
        {
            return null;
        }
    }
}
