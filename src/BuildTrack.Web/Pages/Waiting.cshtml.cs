using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;

namespace BuildTrack.Web.Pages;

/// <summary>The inspector's queue: hold points where every result is accepted, and those returned.</summary>
[Authorize(Policy = ActKind.Release)]
public sealed class WaitingModel(MachineReader machines) : SheetPage
{
    public ImmutableArray<WorkLine> Lines { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        Lines = WorkLine.Of(await machines.LoadAll(Cancel));
        Name("Waiting for release", "Work sheet", $"{Lines.Count(l => l.Kind == WorkKind.Release)} wait");
    }
}
