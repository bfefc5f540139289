using BuildTrack.Records.People;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The one-time link printed at start makes the first administrator.</summary>
public sealed class FirstStartModel(FirstStart first, SessionStore sessions) : SheetPage
{
    [BindProperty(SupportsGet = true)]
    public string? Code { get; set; }

    [BindProperty]
    public string? Person { get; set; }

    [BindProperty]
    public string? FullName { get; set; }

    [BindProperty]
    public string? Password { get; set; }

    public async Task<IActionResult> OnGet() => await first.IsNeeded(Cancel) ? await Show() : NotFound();

    public async Task<IActionResult> OnPost() => await Act(
        async () =>
        {
            await first.CreateAdministrator(Code, Person ?? "", FullName ?? "", Password ?? "", Cancel);
            SessionSchemes.GiveCookie(Response, (await sessions.SignIn(Person!, Password!, Cancel)).Secret!);
            return true;
        },
        _ => ("/plant", "You are the administrator. Name the plant, load the inspection and test plan, then add people."),
        Show);

    private async Task<IActionResult> Show()
    {
        await Open();
        Name("First start", "Work sheet", "No account yet");
        return Page();
    }
}
