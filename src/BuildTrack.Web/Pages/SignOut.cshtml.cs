using BuildTrack.Records.People;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Who is signed in here, and the way out.</summary>
public sealed class SignOutModel(SessionStore sessions) : SheetPage
{
    public async Task OnGet()
    {
        await Open();
        Name("Signed in", "Work sheet", "–");
    }

    public async Task<IActionResult> OnPost()
    {
        if (SecretOf.Cookie(Request) is { } secret)
        {
            await sessions.SignOut(secret, Cancel);
        }

        SessionSchemes.TakeCookie(Response);
        return LocalRedirect("/sign-in");
    }
}
