using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Rights lent for some days: what is in force, what has ended; lending and ending.</summary>
public sealed class DelegationsModel(DelegationActs acts, DelegationReader reader, ChecklistReader checklists, PeopleReader people) : SheetPage
{
    [BindProperty]
    public LendForm Lend { get; set; } = new();

    public ImmutableArray<Delegation> Lines { get; private set; } = [];

    public string Today => Clock.Day(Now);

    /// <summary>The roles that this person can lend.</summary>
    public IEnumerable<string> OwnRoles => Me.Own.Where(r => r != Roles.Administrator);

    /// <summary>The hold points whose release this person can lend; those that ask for a list stand with it.</summary>
    public ImmutableArray<HoldPoint> Holds { get; private set; } = [];

    public ImmutableArray<PersonLine> Others { get; private set; } = [];

    public bool MayEnd(Delegation of) => DelegationRules.WhyNotEnd(of, Me.Person, Me.Own, Today) is null;

    /// <summary>"in force, 12 days left", "from 2026-12-01 on", "ended 2026-11-20 by Dov Harrickson: back again".</summary>
    public string Standing(Delegation of) =>
        of.End is { } end ? $"ended {end.Day} by {NameOf(end.By)}: {end.Reason}"
        : string.CompareOrdinal(of.Until, Today) < 0 ? "over"
        : string.CompareOrdinal(of.From, Today) > 0 ? $"from {of.From} on"
        : (DateOnly.Parse(of.Until, null).DayNumber - DateOnly.Parse(Today, null).DayNumber) switch { 0 => "in force, last day", 1 => "in force, 1 day left", var left => $"in force, {left} days left" };

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPost() => Act(
        () => acts.Delegate(Me, new DelegateRequest(Lend.To ?? "", string.IsNullOrEmpty(Lend.Role) ? null : Lend.Role, [.. Lend.Holds], Lend.From ?? "", Lend.Until ?? "", Lend.Reason ?? ""), Key, Cancel),
        done => ("/delegations", $"Delegation {done.No} to {done.Subject} is recorded."),
        Show);

    public Task<IActionResult> OnPostEnd(int no, string? reason) => Act(
        () => acts.End(Me, new EndDelegationRequest(no, reason ?? ""), Key, Cancel),
        done => ("/delegations", $"Delegation {done.No} is ended; what was done under it stays."),
        Show);

    private async Task<IActionResult> Show()
    {
        await Open();
        Lines = await reader.List(Cancel);
        Holds = Permissions.May(Me.Own, ActKind.Release) && await checklists.Current(Cancel) is { } plan ? plan.Holds : [];
        Others = [.. (await people.List(Cancel)).Where(p => !p.Disabled && p.Person != Me.Person)];
        Name("Delegations", "List of delegations", $"{Lines.Count(l => l.Covers(Today))} in force", "/delegations");
        return Page();
    }

    /// <summary>What was typed to lend a right.</summary>
    public sealed class LendForm
    {
        public string? To { get; set; }

        public string? Role { get; set; }

        public List<string> Holds { get; set; } = [];

        public string? From { get; set; }

        public string? Until { get; set; }

        public string? Reason { get; set; }
    }
}
