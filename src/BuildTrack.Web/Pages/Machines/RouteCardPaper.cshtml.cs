using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The route card on A4, with a code for every step.</summary>
public sealed class RouteCardPaperModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<StepStanding> Steps => [.. Machine.Route.Steps];

    public string WorkCentre(StepStanding step) => Machine.Revision.WorkCentres.FirstOrDefault(c => c.Id == step.Step.WorkCentre)?.Name ?? step.Step.WorkCentre;

    public async Task<IActionResult> OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Name(Machine, "Route card, to print", "Route card", "route", "–", "printed copy", $"{SheetSets.UrlOf(serial)}/route");
        return Page();
    }
}
