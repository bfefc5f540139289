using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.StepFiles;
using BuildTrack.Web.Api;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Diagnostics;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>What went wrong, in words, with a number to read out. It is reached by failing, not by its address.</summary>
[IgnoreAntiforgeryToken]
public sealed class ErrorModel : SheetPage
{
    public int Status { get; private set; }

    public string What { get; private set; } = "";

    public string Reference { get; private set; } = "";

    public Task OnGet() => Show();

    public Task OnPost() => Show();

    public Task OnPut() => Show();

    public Task OnDelete() => Show();

    private bool NotSound { get; set; }

    private async Task Show()
    {
        var error = HttpContext.Features.Get<IExceptionHandlerFeature>()?.Error;
        NotSound = error is FileNotSoundException;
        Status = Response.StatusCode is >= 400 ? Response.StatusCode : StatusCodes.Status404NotFound;
        Response.StatusCode = Status;
        What = (error is null ? null : ErrorMapping.Sentence(error)) ?? ErrorMapping.TitleOf(Status);
        Reference = ErrorMapping.Reference(HttpContext);
        await TryOpen();
        Name(Title, "Notice", $"Reference {Reference}");
    }

    public string Title => Status switch
    {
        400 => "Not understood",
        401 => "Sign in first",
        403 => "Not allowed",
        404 => "No such sheet",
        405 => "Not that way",
        409 when NotSound => "The file is not as it was kept",
        409 => "A rule forbids it",
        412 => "Changed meanwhile",
        413 => "Too large",
        429 => "Too many requests",
        503 => "The store is busy",
        >= 500 => "A fault of the program",
        _ => "Not done",
    };
}
