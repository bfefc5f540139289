using System.Collections.Immutable;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Checks;

/// <summary>First-pass figures of every check.</summary>
public sealed class IndexModel(CheckHistoryReader history) : SheetPage
{
    public ImmutableArray<FirstPassLine> Lines { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        Lines = await history.FirstPass(Cancel);
        Name("Checks over machines", "List of checks", Lines.IsEmpty ? "None measured" : $"{Lines.Sum(l => l.Accepted)} of {Lines.Sum(l => l.Machines)} accepted at first");
    }
}
