using System.Collections.Immutable;
using BuildTrack.Domain.Codes;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>Looks for a number or a name over the whole plant.</summary>
public sealed class FindModel(Finder finder) : SheetPage
{
    public string? Text { get; private set; }

    /// <summary>Null before anything was looked for.</summary>
    public ImmutableArray<FoundThing>? Things { get; private set; }

    public async Task<IActionResult> OnGet(string? text)
    {
        await Open();
        Text = text?.Trim();
        if (PaperCode.Begins(Text))
        {
            return LocalRedirect($"/scan?code={Uri.EscapeDataString(Text!)}&from=/find");
        }

        Things = string.IsNullOrEmpty(Text) ? null : await finder.Find(Text, Cancel);
        Name("Find", "List", Things is { } things ? $"{things.Length} found" : "–", "/find");
        return Things is [var only] ? Redirect(UrlOf(only)) : Page();
    }

    /// <summary>The sheet of what was found; a certificate is reached through its machine.</summary>
    public static string UrlOf(FoundThing thing) => thing switch
    {
        { Kind: FoundKind.Instrument } => $"/instruments/{Uri.EscapeDataString(thing.Id)}",
        { Kind: FoundKind.Component } => $"{SheetSets.UrlOf(thing.Serial!)}/as-built",
        { Number: { } number } => $"{SheetSets.UrlOf(thing.Serial!)}/nonconformances/{number}",
        _ => SheetSets.UrlOf(thing.Serial!),
    };
}
