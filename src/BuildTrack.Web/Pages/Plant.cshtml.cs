using BuildTrack.Domain.People;
using BuildTrack.Records.Plant;
using BuildTrack.Web.Https;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>What the plant sets for itself: name, certificate and nonconformance numbers, time zone; and how long the server's certificate lasts.</summary>
[Authorize(Policy = ActKind.SetPlant)]
public sealed class PlantModel(PlantActs acts, IServiceProvider services) : SheetPage
{
    /// <summary>The certificate that tablets meet; null without https.</summary>
    public ServerCertificate? Https => services.GetService<ServerCertificate>();

    public PlantSettings? Typed { get; private set; }

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPost(string? name, string? prefix, int firstNumber, string? timeZone, int firstNonconformance = 1, int dueDays = 30)
    {
        Typed = new PlantSettings(name?.Trim() ?? "", prefix?.Trim() ?? "", firstNumber, timeZone?.Trim() ?? "", firstNonconformance, dueDays);
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
