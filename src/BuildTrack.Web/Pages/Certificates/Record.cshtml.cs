using System.Text;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Certificates;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace BuildTrack.Web.Pages.Certificates;

/// <summary>The canonical record that is embedded in the document, as a file.</summary>
public sealed class RecordModel(CertificateReader certificates) : PageModel
{
    public async Task<IActionResult> OnGet(string number, int issue) =>
        await certificates.RecordText(number, issue, HttpContext.RequestAborted) is { } text
            ? File(Encoding.UTF8.GetBytes(text), "application/json", $"{number}-{issue}.json")
            : throw new NotFoundException($"There is no certificate {number}, issue {issue}.");
}
