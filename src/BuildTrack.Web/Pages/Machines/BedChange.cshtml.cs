using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Records work on the bed: re-milled, foot moved, oven. The results it touches are then to be repeated.</summary>
public sealed class BedChangeModel(MachineActs acts, MachineReader machines) : SheetPage
{
    [BindProperty]
    public string? Change { get; set; }

    [BindProperty]
    public string? Note { get; set; }

    public MachineRecord Machine { get; private set; } = null!;

    /// <summary>What may have been done; where the machine is, first.</summary>
    public IEnumerable<InvalidationRule> Rules { get; private set; } = [];

    public bool MayChange => May(ActKind.ChangeBed);

    public Task OnGet(string serial) => Show(serial);

    public Task<IActionResult> OnPost(string serial) => Act(
        () => acts.ChangeBed(Me, new ChangeBedRequest(serial, Change ?? "", Note?.Trim() ?? ""), Key, Cancel),
        done => (SheetSets.UrlOf(serial), "Work on the bed is recorded; the results it touches are to be repeated."),
        async () =>
        {
            await Show(serial);
            return Page();
        });

    private async Task Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        var away = SitePack.Of(Machine).Steps.Select(s => s.Step.Number).ToHashSet();
        var left = AffectedMachine.HasLeft(Machine);
        Rules = Machine.Revision.Invalidation.OrderBy(r => r.Surveys.All(s => Machine.Revision.FindSurvey(s) is { } survey && away.Contains(survey.Step)) == left ? 0 : 1);
        Name(Machine, "Acts on the bed", "Bed sheet", "bed", "–", Machine.Changes.IsEmpty ? "None recorded" : $"{Machine.Changes.Length} recorded");
    }
}
