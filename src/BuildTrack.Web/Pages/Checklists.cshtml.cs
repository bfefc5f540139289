using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Planning;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Planning;
using BuildTrack.Web.Hosting;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The inspection and test plan: the edition in force with its limits, loading from the folder, approval.</summary>
public sealed class ChecklistsModel(ChecklistActs acts, ChecklistReader reader, PlanReader plans, IServiceProvider services) : SheetPage
{
    public ImmutableArray<ChecklistLine> Lines { get; private set; } = [];

    public ChecklistRevision? Current { get; private set; }

    /// <summary>The approved edition in force; null before the first approval.</summary>
    public ChecklistLine? Approved { get; private set; }

    /// <summary>The edition that was loaded last.</summary>
    public ChecklistRevision? Latest { get; private set; }

    /// <summary>Its limits that no registered instrument can prove today.</summary>
    public ImmutableArray<UnprovableLimit> Unprovable { get; private set; } = [];

    public string Folder => services.GetRequiredService<Settings>().Checklists;

    public bool MayAct => May(ActKind.ApproveChecklists);

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPostLoad() => Act(
        () => acts.Load(Me, ChecklistLoader.ReadFolder(Folder), Key, Cancel),
        _ => ("/checklists", "The edition is loaded. It counts when it is approved."),
        Show);

    public Task<IActionResult> OnPostApprove(string? hash) => Act(
        () => acts.Approve(Me, hash ?? "", Key, Cancel),
        _ => ("/checklists", "The edition is approved."),
        Show);

    /// <summary>What waits for approval, and what is later, is compared with the edition in force; that one with what was before it.</summary>
    public string CompareUrl(ChecklistLine line)
    {
        var (from, to) = line.ApprovedAt is null || Lines.IndexOf(line) < Lines.IndexOf(Approved!) ? (Approved!, line) : (line, Approved!);
        return $"/checklists/compare?from={from.Hash}&to={to.Hash}";
    }

    private async Task<IActionResult> Show()
    {
        await Open();
        Lines = await reader.List(Cancel);
        var approved = await reader.Approved(Cancel);
        Approved = Lines.FirstOrDefault(l => l.Hash == approved);
        Current = await reader.Current(Cancel);
        Latest = await reader.Latest(Cancel);
        Unprovable = Latest is null ? [] : await plans.Unprovable(Latest, Cancel);
        Name("Inspection and test plan", "Plan", Current is null ? "Nothing loaded" : $"Edition {Current.Edition}, {Current.Hash[..8]}");
        return Page();
    }
}
