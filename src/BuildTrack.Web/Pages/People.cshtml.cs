using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>People with their roles and the lists for special work they stand on: added, changed, ended.</summary>
[Authorize(Policy = ActKind.AddPerson)]
public sealed class PeopleModel(PeopleActs acts, PeopleReader reader, QualificationActs lists, QualificationReader qualified) : SheetPage
{
    public ImmutableArray<PersonLine> Lines { get; private set; } = [];

    /// <summary>The person whose roles are changed, asked for by the address.</summary>
    public PersonLine? Chosen { get; private set; }

    public AddForm Add { get; private set; } = new(null, null, []);

    /// <summary>The lists for special work.</summary>
    public ImmutableArray<Qualification> Lists { get; private set; } = [];

    public QualifiedPeople Qualified { get; private set; } = QualifiedPeople.Nobody;

    public ListForm PutOn { get; private set; } = new(null, null, null, null);

    /// <summary>The entries of a list that speak today, begin later, or ended in the last half year: the latest end first.</summary>
    public IEnumerable<ListEntry> EntriesOf(string list) => Qualified.Entries.Where(e => e.List == list && Qualified.DaysLeft(e) > -183)
        .OrderByDescending(e => e.Covers(Qualified.Day)).ThenBy(e => NameOf(e.Person), StringComparer.Ordinal).ThenByDescending(e => e.Id);

    /// <summary>What the chosen person may be taken off.</summary>
    public IEnumerable<ListEntry> OwnEntries => Qualified.Entries.Where(e => e.Person == Chosen?.Person && QualificationRules.WhyNotTakeOff(e, Qualified.Day) is null);

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

    public Task<IActionResult> OnPostPutOn(string? person, string? list, string? from, string? to, string? evidence)
    {
        PutOn = new(list, from, to, evidence);
        return Act(
            () => lists.PutOn(Me, new PutOnListRequest(list ?? "", person ?? "", from ?? "", to ?? "", evidence ?? ""), Key, Cancel),
            done => ($"/people?person={done.Subject}#lists", $"{NameOf(done.Subject)} is on the list from {from} to {to}."),
            () => Show(person));
    }

    public Task<IActionResult> OnPostTakeOff(string? person, long entry, string? reason) => Act(
        () => lists.TakeOff(Me, new TakeOffListRequest(entry, reason ?? ""), Key, Cancel),
        done => ($"/people?person={done.Subject}#lists", $"{NameOf(done.Subject)} is taken off the list; the entry stays, with the reason."),
        () => Show(person));

    private async Task<IActionResult> Show(string? person)
    {
        await Open();
        Lines = await reader.List(Cancel);
        Lists = await qualified.Lists(Cancel);
        Qualified = await qualified.Today(Cancel);
        Chosen = Lines.FirstOrDefault(l => l.Person == person && !l.Disabled);
        Name("People", "List of people", $"{Lines.Count(l => !l.Disabled)} with access", "/people");
        return Page();
    }

    /// <summary>What was typed for a new person; never the password.</summary>
    public sealed record AddForm(string? Person, string? FullName, string[] Roles);

    /// <summary>What was typed to put the chosen person on a list.</summary>
    public sealed record ListForm(string? List, string? From, string? To, string? Evidence);
}
