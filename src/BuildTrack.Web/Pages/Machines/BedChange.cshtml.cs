using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
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
        Name(Machine, "Acts on the bed", "Bed sheet", "bed", "–", Machine.Changes.IsEmpty ? "None recorded" : $"{Machine.Changes.Length} recorded");
    }
}
