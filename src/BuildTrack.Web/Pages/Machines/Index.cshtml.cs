using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Every machine with where it stands and what it waits for.</summary>
public sealed class IndexModel(MachineReader machines) : SheetPage
{
    public ImmutableArray<MachineLine> Lines { get; private set; } = [];

    public bool MayOrder => May(ActKind.OrderMachine);

    public async Task OnGet()
    {
        await Open();
        Lines = await machines.List(Cancel);
        Name("Machines", "List of machines", $"{Lines.Length} in the record");
    }
}
