using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Revisions;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Checklists;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Checklists;

/// <summary>Two editions side by side: what differs, which machines it touches, and the approval of the later one.</summary>
public sealed class CompareModel(ChecklistActs acts, ChecklistReader reader, RevisionComparer comparer) : SheetPage
{
    [BindProperty(SupportsGet = true)]
    public string? From { get; set; }

    [BindProperty(SupportsGet = true)]
    public string? To { get; set; }

    [BindProperty]
    public string? Reason { get; set; }

    public RevisionComparison Found { get; private set; } = null!;

    /// <summary>The later one waits for approval, and the earlier one is the one in force.</summary>
    public bool MayApprove { get; private set; }

    public bool NeedsReason => Found.Changes.Any(RevisionChanges.NeedsReason);

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPost() => Act(
        () => acts.Approve(Me, new ApproveChecklistsRequest(To ?? "", From, string.IsNullOrWhiteSpace(Reason) ? null : Reason.Trim()), Key, Cancel),
        _ => ("/checklists", "The edition is approved."),
        Show);

    /// <summary>A number of a result in the unit that its limit is stated in.</summary>
    public string Number(double? value, LimitEffect effect) =>
        value is not { } number ? "–" : (effect.Was.Upper ?? effect.Was.Lower) is null ? Shown.Text(number, effect.Unit!) : Shown.InUnitOf(number, effect.Was);

    /// <summary>The limit with its rule where that differs, and its reference where that does.</summary>
    public string Limit(LimitEffect effect, bool later)
    {
        if ((later ? effect.Becomes : effect.Was) is not { } requirement)
        {
            return "no longer checked";
        }

        var text = Words.Limit(requirement);
        text += effect.Becomes is { } becomes && becomes.Rule != effect.Was.Rule ? $"; {Shown.Word(requirement.Rule)}" : "";
        return text + (effect.ReferenceWas != effect.ReferenceBecomes ? $"; {Words.Reference(later ? effect.ReferenceBecomes : effect.ReferenceWas)}" : "");
    }

    public string Word(Verdict? verdict) => verdict is { } v ? Shown.Word(v) : "no result";

    private async Task<IActionResult> Show()
    {
        await Open();
        Found = await comparer.Compare(From ?? "", To ?? "", Cancel);
        MayApprove = May(ActKind.ApproveChecklists) && Found.To.ApprovedAt is null && await reader.Approved(Cancel) == Found.From.Hash;
        Name($"Edition {Found.To.Edition} against {Found.From.Edition}", "Plan", Found.To.ApprovedAt is null ? "Not yet approved" : "Approved", "/checklists");
        return Page();
    }
}
