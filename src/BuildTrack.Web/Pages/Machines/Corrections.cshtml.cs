using System.Collections.Immutable;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Route;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Corrections side by side for a result that is not accepted; the choice is recorded with its reason.</summary>
public sealed class CorrectionsModel(CorrectionActs acts, CorrectionReader corrections, WorkCentreReader centres) : SheetPage
{
    [BindProperty]
    public ChoiceForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public CharacteristicStanding Standing { get; private set; } = null!;

    public ImmutableArray<CorrectionOption> Options { get; private set; } = [];

    public BrokenRule? WhyNot { get; private set; }

    /// <summary>What the milling centre has to do before; null where there is none.</summary>
    public WorkCentreQueue? MillQueue { get; private set; }

    public bool MayChoose => May(ActKind.ChooseCorrection);

    public Task<IActionResult> OnGet(string serial, string line) => Show(serial, line);

    public Task<IActionResult> OnPost(string serial, string line) => Act(
        () => acts.Choose(Me, new ChooseCorrectionRequest(serial, line, Form.Kind, Form.Evaluation ?? "", Form.Reason ?? ""), Key, Cancel),
        _ => ($"{SheetSets.UrlOf(serial)}/results/{line}/corrections", "The choice is recorded. Record the work on the bed when it is done."),
        () => Show(serial, line));

    private async Task<IActionResult> Show(string serial, string line)
    {
        await Open();
        (Machine, Standing, Options, WhyNot) = await corrections.Options(serial, line, Cancel);
        MillQueue = Options.IsEmpty ? null : (await centres.Queues(Cancel)).FirstOrDefault(q => q.Id == CorrectionPlan.MillCentre);
        Name(Machine, $"Corrections: {Standing.Agreed.Characteristic.Title}", "Correction sheet", line, "–", Options.IsEmpty ? Standing.Word : "Calculated", $"{SheetSets.UrlOf(serial)}/results/{line}");
        return Page();
    }

    public sealed class ChoiceForm
    {
        public CorrectionKind? Kind { get; set; }

        public string? Evaluation { get; set; }

        public string? Reason { get; set; }
    }
}
