using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.StepFiles;
using BuildTrack.Web.Photos;
using BuildTrack.Web.Security;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.Net.Http.Headers;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The content of a photo or file, checked against its hash: photos and PDFs to look at, everything else to save.</summary>
public sealed class FileModel(StepFileReader files, SmallPhotos photos) : PageModel
{
    /// <param name="size">"small": a photo as lists draw it. It is shown only while its whole content is sound.</param>
    public async Task<IActionResult> OnGet(string serial, string hash, string? size)
    {
        var (file, bytes) = await files.Open(serial, hash, HttpContext.RequestAborted);
        if (size is not null && file.IsPhoto && await photos.Of(hash, bytes, HttpContext.RequestAborted) is { } small)
        {
            Response.Headers.CacheControl = RequestGuards.KeptForGood;
            return new FileContentResult(small, FileContent.Jpeg);
        }

        var looked = file.IsPhoto || file.MediaType == FileContent.Pdf;
        var disposition = new ContentDispositionHeaderValue(looked ? "inline" : "attachment");
        disposition.SetHttpFileName(file.Name);
        Response.Headers.ContentDisposition = disposition.ToString();

        // What lies at the address of a hash never changes; only who signed in may keep it.
        Response.Headers.CacheControl = RequestGuards.KeptForGood;
        return new FileContentResult(bytes, file.MediaType);
    }
}
