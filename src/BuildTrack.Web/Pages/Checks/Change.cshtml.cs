using BuildTrack.Documents.Drawings;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Checks;

/// <summary>A quantity before and after over the machines: flatness after milling against flatness after coating.</summary>
public sealed class ChangeModel(ChangeHistoryReader history) : SheetPage
{
    public ChangeOverMachines Of { get; private set; } = null!;

    public string? Svg { get; private set; }

    public async Task OnGet(string line)
    {
        await Open();
        Of = await history.Of(line, Cancel);
        Svg = ChangeChart.Svg([.. Of.Machines.Select(m => (m.Serial, m.Before, m.After))], Of.Unit);
        Name(Of.Title, "Before and after", $"{Of.Machines.Length} {(Of.Machines.Length == 1 ? "machine" : "machines")}", "/checks");
    }
}
