using System.Collections.Immutable;
using System.Net;
using BuildTrack.Domain.Codes;
using BuildTrack.Records.Demo;
using BuildTrack.Records.People;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Sign-in by name and password, on an enrolled tablet by badge or PIN; where somebody is signed in, the next person takes over in the same request. In a demo, and only on this machine, the invented people are offered with their password.</summary>
public sealed class SignInModel(SessionStore sessions, ShortSignIn shortly, TabletReader tablets, IServiceProvider services) : SheetPage
{
    [BindProperty]
    public string? Person { get; set; }

    [BindProperty]
    public string? Password { get; set; }

    [BindProperty]
    public string? Pin { get; set; }

    [BindProperty]
    public string? Badge { get; set; }

    /// <summary>The enrolled tablet this is; null for none.</summary>
    public TabletLine? Tablet { get; private set; }

    /// <summary>Who has set a PIN; nobody where the tablet is not enrolled.</summary>
    public ImmutableArray<PersonLine> WithPin { get; private set; } = [];

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
        // Where the first field has the focus, a badge is scanned into it.
        return PaperCode.Begins(person) ? await OnPostBadge(person) : await Answer(await sessions.SignIn(person, Password ?? "", Cancel, SecretOf.Cookie(Request)));
    }

    public async Task<IActionResult> OnPostPin() =>
        await Answer(await shortly.ByPin(Person?.Trim() ?? "", Pin?.Trim() ?? "", SecretOf.Tablet(Request), SecretOf.Cookie(Request), Cancel));

    public Task<IActionResult> OnPostBadge() => OnPostBadge(Badge);

    private async Task<IActionResult> OnPostBadge(string? scanned)
    {
        (Person, Badge) = (null, null);
        ModelState.Clear();
        return await Answer(await shortly.ByBadge(scanned, SecretOf.Tablet(Request), SecretOf.Cookie(Request), Cancel));
    }

    private async Task<IActionResult> Answer(Records.People.SignInResult result)
    {
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
        Tablet = await tablets.Find(SecretOf.Tablet(Request), Cancel);
        WithPin = Tablet is null ? [] : (await tablets.People(Cancel)).WithPin;
        Name(Somebody is null ? "Sign in" : "Next person", "Work sheet", Somebody is null ? "Nobody signed in" : "–");
    }
}
