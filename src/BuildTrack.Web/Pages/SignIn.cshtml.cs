using System.Net;
using BuildTrack.Records.Demo;
using BuildTrack.Records.People;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Sign-in by name and password; where somebody is signed in, the next person takes over in the same request. In a demo, and only on this machine, the invented people are offered with their password.</summary>
public sealed class SignInModel(SessionStore sessions, IServiceProvider services) : SheetPage
{
    [BindProperty]
    public string? Person { get; set; }

    [BindProperty]
    public string? Password { get; set; }

    [BindProperty(SupportsGet = true)]
    public string? Back { get; set; }

    public string? RefusedBecause { get; private set; }

    /// <summary>The demo's people; null outside a demo or from another machine.</summary>
    public DemoFile? Demo => HttpContext.Connection.RemoteIpAddress is { } address && IPAddress.IsLoopback(address) ? services.GetService<DemoFile>() : null;

    public async Task OnGet(string? @as)
    {
        Person = @as;
        await Show();
    }

    public async Task<IActionResult> OnPost()
    {
        var person = Person?.Trim() ?? "";
        var result = await sessions.SignIn(person, Password ?? "", Cancel, SecretOf.Cookie(Request));
        if (result.Secret is not { } secret)
        {
            RefusedBecause = result.RefusedBecause;
            var wait = RefusedBecause?.Contains("wait", StringComparison.Ordinal) == true;
            Response.StatusCode = wait ? StatusCodes.Status429TooManyRequests : StatusCodes.Status401Unauthorized;
            if (wait)
            {
                Response.Headers.RetryAfter = "60";
            }

            await Show();
            return Page();
        }

        SessionSchemes.GiveCookie(Response, secret);
        return LocalRedirect(Url.IsLocalUrl(Back) ? Back : "/");
    }

    private async Task Show()
    {
        await Open();
        Name(Somebody is null ? "Sign in" : "Next person", "Work sheet", Somebody is null ? "Nobody signed in" : "–");
    }
}
