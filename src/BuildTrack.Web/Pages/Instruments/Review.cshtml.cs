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

    /// <summary>Machines on a leaf: each is read whole and calculated once more with the error.</summary>
    private const int OnLeaf = 12;

    public AffectedCounts Review { get; private set; } = null!;

    public Leaf<AffectedMachine> Lines { get; private set; } = null!;

    /// <summary>The machine that is decided about; null for none.</summary>
    public AffectedMachine? Chosen { get; private set; }

    public bool MayDecide => May(ActKind.DecideAffected);

    /// <summary>The address of the sheet with a machine chosen, on the same leaf.</summary>
    public string Choosing(AffectedMachine machine) => $"?machine={Uri.EscapeDataString(machine.Machine.Serial)}{(Lines.No > 1 ? $"&leaf={Lines.No}" : "")}#decide";

    public Task<IActionResult> OnGet(string id, long finding, string? machine, int? leaf)
    {
        Form.Serial = machine;
        return Show(id, finding, leaf);
    }

    public Task<IActionResult> OnPost(string id, long finding, int? leaf) => Act(
        () => acts.Decide(Me, new DecideAffectedRequest(finding, Form.Serial ?? "", Form.Kind, Form.Note ?? ""), Key, Cancel),
        done => ($"/instruments/{Uri.EscapeDataString(id)}/reviews/{finding}{(leaf > 1 ? $"?leaf={leaf}" : "")}", $"The decision about {done.Subject} is recorded."),
        () => Show(id, finding, leaf));

    private async Task<IActionResult> Show(string id, long finding, int? leaf)
    {
        await Open();
        Review = await affected.Count(finding, Cancel);
        if (Review.Finding.Instrument != id)
        {
            return NotFound();
        }

        Lines = await Leaf.Of<AffectedMachine>(Review.Machines, leaf, (skip, take) => affected.Part(finding, skip, take, Cancel), OnLeaf);
        Chosen = Lines.Lines.FirstOrDefault(m => m.Machine.Serial == Form.Serial) ?? (Form.Serial is { Length: > 0 } serial ? await affected.One(finding, serial, Cancel) : null);
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
