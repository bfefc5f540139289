using BuildTrack.Domain.Codes;
using BuildTrack.Web.Scanning;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Where every scan goes: leads on to what the code names, or says why not.</summary>
public sealed class ScanModel(CodeFinder finder) : SheetPage
{
    /// <summary>Null before anything was scanned.</summary>
    public Scanned? Found { get; private set; }

    /// <summary>The sheet it was scanned on; null for none.</summary>
    public string? Back { get; private set; }

    /// <summary>The machine of the sheet it was scanned on, where the code belongs to another one.</summary>
    public string? WrongMachine { get; private set; }

    /// <summary>What was asked for on that sheet, where the code is of another kind.</summary>
    public CodeKind? Asked { get; private set; }

    public async Task<IActionResult> OnGet(string? code, string? from, string? asks)
    {
        await Open();
        Back = Url.IsLocalUrl(from) ? from : null;
        Name("Scan", "List", "–", "/scan");
        if (string.IsNullOrWhiteSpace(code))
        {
            return Page();
        }

        Found = await finder.Find(code, Me.Person, Cancel);
        if (Found.Kind == CodeKind.Badge)
        {
            // A secret does not stay in an address, nor in the links of a page.
            Done = Found.Why;
            return LocalRedirect(Back ?? "/scan");
        }

        Asked = Found.Kind is { } kind && Enum.TryParse<CodeKind>(asks, ignoreCase: true, out var asked) && Enum.IsDefined(asked) && asked != kind ? asked : null;
        WrongMachine = Found.Serial is { } serial && MachineOf(Back) is { } here && here != serial ? here : null;
        if (Asked is null && WrongMachine is null && Found is { Sheet: { } sheet } and ({ Why: null } or { Kind: CodeKind.Station }))
        {
            // The measuring sheet says in large letters where it stands; a line more would push its keys down.
            Done = Found.Why is { } why ? $"Scanned: {Found.Says}. {why}" : sheet.Contains("/station?", StringComparison.Ordinal) ? null : $"Scanned: {Found.Says}.";
            return LocalRedirect(sheet);
        }

        Response.StatusCode = Found.Sheet is null ? StatusCodes.Status404NotFound : StatusCodes.Status200OK;
        return Page();
    }

    // /machines/OV1530-0417/step/100: the second word.
    private static string? MachineOf(string? sheet) =>
        sheet?.Split('/', '?', '#') is ["", "machines", { Length: > 0 } serial, ..] && serial != "new" ? Uri.UnescapeDataString(serial) : null;
}
