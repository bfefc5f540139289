using BuildTrack.Domain.Rules;
using BuildTrack.Records.Certificates;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace BuildTrack.Web.Pages.Certificates;

/// <summary>The sealed document as a file.</summary>
public sealed class PdfModel(CertificateReader certificates) : PageModel
{
    public async Task<IActionResult> OnGet(string number, int issue) =>
        await certificates.Pdf(number, issue, HttpContext.RequestAborted) is { } pdf
            ? File(pdf, "application/pdf", $"{number}-{issue}.pdf")
            : throw new NotFoundException($"Certificate {number}, issue {issue}, has no document yet, or there is no such number.");
}
