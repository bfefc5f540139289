using BuildTrack.Domain.Rules;
using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>A person's own PIN for shared tablets, set with the password.</summary>
public sealed class PinModel(TabletActs acts, TabletReader tablets) : SheetPage
{
    public bool IsSet { get; private set; }

    public bool IsLocked { get; private set; }

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPost(string? pin, string? again, string? password) => Act(
        () => pin == again ? acts.SetPin(Me, new SetPinRequest(pin ?? "", password ?? ""), Cancel) : throw new BadInputException("once more", "other digits", "the same six digits twice"),
        _ => ("/sign-out", "The PIN is set. On an enrolled tablet, Next person takes it."),
        Show);

    private async Task<IActionResult> Show()
    {
        await Open();
        var people = await tablets.People(Cancel);
        (IsSet, IsLocked) = (people.WithPin.Any(p => p.Person == Me.Person), people.Locked.Contains(Me.Person));
        Name("PIN", "Work sheet", IsLocked ? "locked" : IsSet ? "set" : "none set", "/pin");
        return Page();
    }
}
