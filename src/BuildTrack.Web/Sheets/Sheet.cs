using System.Collections.Immutable;

namespace BuildTrack.Web.Sheets;

/// <summary>The title block of one sheet: fields of ISO 7200, and its place among the sheets it is leafed with.</summary>
/// <param name="Ident">Identification number: serial and line, or the plant's own.</param>
/// <param name="IdentUrl">The build record the identification number leads to.</param>
/// <param name="Set">The sheets that the two arrows leaf through.</param>
/// <param name="Here">Address of this sheet in the set.</param>
public sealed record Sheet(
    string Title, string Type, string Ident, string? IdentUrl, string Revision, string Date, string Released, string Status, SheetSet Set, string Here)
{
    /// <summary>Buttons, fields and letters for gloves and standing people.</summary>
    public bool Shop { get; init; } = true;

    public int Number => Math.Max(1, Set.Sheets.FindIndex(s => s.Url == Here) + 1);

    public SheetLink? Before => Set.Sheets.ElementAtOrDefault(Number - 2);

    public SheetLink? After => Set.Sheets.ElementAtOrDefault(Number);
}

/// <summary>Sheets in the order in which they are leafed.</summary>
/// <param name="Up">Where the sheet number leads: the list that these sheets belong to.</param>
public sealed record SheetSet(ImmutableList<SheetLink> Sheets, SheetLink Up);

/// <summary>A sheet to go to.</summary>
/// <param name="About">What stands on it, in a few words.</param>
public sealed record SheetLink(string Url, string Title, string About = "");
