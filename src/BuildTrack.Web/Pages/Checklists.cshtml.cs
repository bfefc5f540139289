using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Web.Hosting;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The inspection and test plan: the edition in force with its limits, loading from the folder, approval.</summary>
public sealed class ChecklistsModel(ChecklistActs acts, ChecklistReader reader, IServiceProvider services) : SheetPage
{
    public ImmutableArray<ChecklistLine> Lines { get; private set; } = [];

    public ChecklistRevision? Current { get; private set; }

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

    private async Task<IActionResult> Show()
    {
        await Open();
        Lines = await reader.List(Cancel);
        Current = await reader.Current(Cancel);
        Name("Inspection and test plan", "Plan", Current is null ? "Nothing loaded" : $"Edition {Current.Edition}, {Current.Hash[..8]}");
        return Page();
    }
}
