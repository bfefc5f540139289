using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.People;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Tablets on which the person changes by badge or PIN: enrolled on their own screen, and ended.</summary>
[Authorize(Policy = ActKind.EnrolTablet)]
public sealed class TabletsModel(TabletActs acts, TabletReader tablets) : SheetPage
{
    [BindProperty]
    public string? TabletName { get; set; }

    public ImmutableArray<TabletLine> Lines { get; private set; } = [];

    /// <summary>The tablet this is; null where it is not enrolled.</summary>
    public TabletLine? Here { get; private set; }

    /// <summary>The tablet that is ended, asked for by the address.</summary>
    public TabletLine? Chosen { get; private set; }

    public Task<IActionResult> OnGet(long? tablet) => Show(tablet);

    public Task<IActionResult> OnPostEnrol() => Act(
        () => acts.Enrol(Me, new EnrolTabletRequest(TabletName ?? ""), Cancel),
        done =>
        {
            SessionSchemes.GiveTabletCookie(Response, done.Secret);
            return ("/tablets", $"This tablet is enrolled as {TabletName?.Trim()}.");
        },
        () => Show(null));

    public Task<IActionResult> OnPostEnd(long tablet, string? reason) => Act(
        () => acts.End(Me, new EndTabletRequest(tablet, reason ?? ""), Key, Cancel),
        done => ("/tablets", $"{done.Subject} is ended; on it the person changes by password only."),
        () => Show(tablet));

    private async Task<IActionResult> Show(long? tablet)
    {
        await Open();
        Lines = await tablets.List(Cancel);
        Here = await tablets.Find(SecretOf.Tablet(Request), Cancel);
        Chosen = Lines.FirstOrDefault(l => l.Id == tablet && l.Ended is null);
        Name("Tablets", "Register", $"{Lines.Count(l => l.Ended is null)} enrolled", "/tablets");
        return Page();
    }
}
