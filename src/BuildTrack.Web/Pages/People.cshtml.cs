using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>People with their roles: added, changed, access ended.</summary>
[Authorize(Policy = ActKind.AddPerson)]
public sealed class PeopleModel(PeopleActs acts, PeopleReader reader) : SheetPage
{
    public ImmutableArray<PersonLine> Lines { get; private set; } = [];

    /// <summary>The person whose roles are changed, asked for by the address.</summary>
    public PersonLine? Chosen { get; private set; }

    public AddForm Add { get; private set; } = new(null, null, []);

    public Task<IActionResult> OnGet(string? person) => Show(person);

    public Task<IActionResult> OnPostAdd(string? person, string? fullName, string? password, string[] roles)
    {
        Add = new(person, fullName, roles);
        return Act(
            () => acts.AddPerson(Me, new AddPersonRequest(person ?? "", fullName ?? "", password ?? "", [.. roles]), Key, Cancel),
            done => ("/people", $"{fullName} may sign in as {done.Subject}."),
            () => Show(null));
    }

    public Task<IActionResult> OnPostRoles(string? person, string[] roles) => Act(
        () => acts.ChangeRoles(Me, new ChangeRolesRequest(person ?? "", [.. roles]), Key, Cancel),
        done => ("/people", $"The roles of {done.Subject} are changed; they hold from the next request on."),
        () => Show(person));

    public Task<IActionResult> OnPostDisable(string? person, string? reason) => Act(
        () => acts.DisablePerson(Me, new DisablePersonRequest(person ?? "", reason ?? ""), Key, Cancel),
        done => ("/people", $"The access of {done.Subject} has ended; everything they did stays under their name."),
        () => Show(person));

    private async Task<IActionResult> Show(string? person)
    {
        await Open();
        Lines = await reader.List(Cancel);
        Chosen = Lines.FirstOrDefault(l => l.Person == person && !l.Disabled);
        Name("People", "List of people", $"{Lines.Count(l => !l.Disabled)} with access", "/people");
        return Page();
    }

    /// <summary>What was typed for a new person; never the password.</summary>
    public sealed record AddForm(string? Person, string? FullName, string[] Roles);
}
