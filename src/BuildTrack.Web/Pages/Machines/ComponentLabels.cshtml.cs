using System.Collections.Immutable;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A sheet of labels for the components of a machine.</summary>
public sealed class ComponentLabelsModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<ComponentPlace> Fitted => [.. AsBuiltList.Of(Machine).Places.Where(p => p.Fitted is not null)];

    public async Task<IActionResult> OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Name(Machine, "Labels of the components", "Labels", "components", "–", $"{Fitted.Length} labels", $"{SheetSets.UrlOf(serial)}/as-built");
        return Page();
    }
}
