using BuildTrack.Domain.Codes;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>A person's badge: made and shown once, replaced, ended.</summary>
[Authorize(Policy = ActKind.IssueBadge)]
public sealed class BadgeModel(TabletActs acts, TabletReader tablets, PeopleReader people) : SheetPage
{
    public PersonLine Of { get; private set; } = null!;

    public bool Has { get; private set; }

    /// <summary>The new badge; null but in the answer to its making.</summary>
    public PaperCode? Code { get; private set; }

    public Task<IActionResult> OnGet(string person) => Show(person);

    public async Task<IActionResult> OnPostIssue(string person)
    {
        var (done, issued) = await Try(() => acts.IssueBadge(Me, new IssueBadgeRequest(person), Cancel));
        Code = done ? issued!.Code : null;
        return await Show(person);
    }

    public Task<IActionResult> OnPostEnd(string person, string? reason) => Act(
        () => acts.EndBadge(Me, new EndBadgeRequest(person, reason ?? ""), Key, Cancel),
        done => ($"/people?person={Uri.EscapeDataString(done.Subject)}#badge", $"The badge of {NameOf(done.Subject)} is ended; it opens nothing any more."),
        () => Show(person));

    private async Task<IActionResult> Show(string person)
    {
        await Open();
        Of = (await people.List(Cancel)).FirstOrDefault(p => p.Person == person && !p.Disabled) ?? throw new NotFoundException($"There is no person {person} with access.");
        Has = (await tablets.People(Cancel)).WithBadge.Contains(person);
        Name($"Badge of {Of.Name}", "Labels", Has ? "in force" : "none", "/people");
        return Page();
    }
}
