using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Every machine with where it stands and what it waits for.</summary>
public sealed class IndexModel(MachineReader machines) : SheetPage
{
    public Leaf<MachineLine> Lines { get; private set; } = Leaf.Of<MachineLine>([], null);

    public bool MayOrder => May(ActKind.OrderMachine);

    public async Task OnGet(int? leaf)
    {
        await Open();

        // Those in work first; a plant has hundreds that were delivered.
        Lines = Leaf.Of([.. (await machines.List(Cancel)).OrderBy(m => m.Complete)], leaf);
        Name("Machines", "List of machines", $"{Lines.Total} in the record", "/machines");
    }
}
