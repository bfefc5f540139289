using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.People;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Instruments;

/// <summary>The affected-readings review of one finding, with the decision about each machine.</summary>
public sealed class ReviewModel(AffectedActs acts, AffectedReader affected) : SheetPage
{
    [BindProperty]
    public DecisionForm Form { get; set; } = new();

    public AffectedReview Review { get; private set; } = null!;

    /// <summary>The machine that is decided about; null for none.</summary>
    public AffectedMachine? Chosen { get; private set; }

    public bool MayDecide => May(ActKind.DecideAffected);

    public Task<IActionResult> OnGet(string id, long finding, string? machine)
    {
        Form.Serial = machine;
        return Show(id, finding);
    }

    public Task<IActionResult> OnPost(string id, long finding) => Act(
        () => acts.Decide(Me, new DecideAffectedRequest(finding, Form.Serial ?? "", Form.Kind, Form.Note ?? ""), Key, Cancel),
        done => ($"/instruments/{Uri.EscapeDataString(id)}/reviews/{finding}", $"The decision about {done.Subject} is recorded."),
        () => Show(id, finding));

    private async Task<IActionResult> Show(string id, long finding)
    {
        await Open();
        Review = await affected.Review(finding, Cancel);
        if (Review.Finding.Instrument != id)
        {
            return NotFound();
        }

        Chosen = Review.Machines.FirstOrDefault(m => m.Machine.Serial == Form.Serial);
        Name($"Affected readings of {id}", "Review", Review.Undecided == 0 ? "All decided" : $"{Review.Undecided} to decide", "/instruments");
        return Page();
    }

    public sealed class DecisionForm
    {
        public string? Serial { get; set; }

        public AffectedDecisionKind? Kind { get; set; }

        public string? Note { get; set; }
    }
}
