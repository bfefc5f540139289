using System.Collections.Immutable;
using BuildTrack.Domain.Instruments;
using BuildTrack.Records.Instruments;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Instruments;

/// <summary>A sheet of labels for the instruments in the register.</summary>
public sealed class LabelsModel(InstrumentReader register) : SheetPage
{
    public ImmutableArray<RegisterEntry> Entries { get; private set; } = [];

    /// <param name="id">One instrument alone; null for all.</param>
    public async Task<IActionResult> OnGet(string? id)
    {
        await Open();
        Entries = [.. (await register.List(Cancel)).Where(e => id is null || e.Id == id)];
        Name("Labels of the instruments", "Labels", $"{Entries.Length} labels", "/instruments");
        return Page();
    }
}
