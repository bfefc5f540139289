using BuildTrack.Domain.Rules;
using BuildTrack.Records.Certificates;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace BuildTrack.Web.Pages.Certificates;

/// <summary>The sealed customer's copy as a file.</summary>
public sealed class CopyModel(CertificateReader certificates) : PageModel
{
    public async Task<IActionResult> OnGet(string number, int issue) =>
        await certificates.Copy(number, issue, HttpContext.RequestAborted) is { } pdf
            ? File(pdf, "application/pdf", $"{number}-{issue}-copy.pdf")
            : throw new NotFoundException($"Certificate {number}, issue {issue}, has no customer's copy: no disclosure list was agreed, it is not written yet, or there is no such number.");
}
