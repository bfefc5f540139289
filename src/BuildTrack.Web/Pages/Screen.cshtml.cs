using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>How the sheets look on this device: light or dark, for gloves, and how large a millimetre is. The browser keeps it; the server is told nothing.</summary>
public sealed class ScreenModel : SheetPage
{
    public async Task OnGet()
    {
        await Open();
        Name("This screen", "Settings", "Kept in this browser");
    }
}
