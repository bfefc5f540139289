using BuildTrack.Domain.People;
using BuildTrack.Records.Plant;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>What the plant sets for itself: name, certificate and nonconformance numbers, time zone.</summary>
[Authorize(Policy = ActKind.SetPlant)]
public sealed class PlantModel(PlantActs acts) : SheetPage
{
    public PlantSettings? Typed { get; private set; }

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPost(string? name, string? prefix, int firstNumber, string? timeZone, int firstNonconformance = 1)
    {
        Typed = new PlantSettings(name?.Trim() ?? "", prefix?.Trim() ?? "", firstNumber, timeZone?.Trim() ?? "", firstNonconformance);
        return Act(() => acts.Set(Me, Typed, Key, Cancel), _ => ("/plant", "The plant's settings are recorded."), Show);
    }

    private async Task<IActionResult> Show()
    {
        await Open();
        Typed ??= Plant;
        Name("Plant", "Settings", Plant.TimeZone);
        return Page();
    }
}
