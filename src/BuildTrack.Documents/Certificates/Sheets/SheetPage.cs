using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>What paints a piece of a page: the page, and the structure that says what the piece is.</summary>
internal sealed class PagePainter(XGraphics page, StructureBuilder structure)
{
    public XGraphics Page { get; } = page;

    /// <summary>Frames, rules and field names of the form: no part of the text.</summary>
    public void Artifact(Action draw)
    {
        structure.BeginArtifact();
        draw();
        structure.End();
    }

    public void Block(PdfBlockLevelElementTag tag, Action draw)
    {
        structure.BeginElement(tag);
        draw();
        structure.End();
    }

    public void Figure(string says, XRect box, Action draw)
    {
        structure.BeginElement(PdfIllustrationElementTag.Figure, says, box);
        draw();
        structure.End();
    }
}

/// <summary>A page as planned: what will be painted on it once the number of pages is known.</summary>
internal sealed class SheetPage(string section)
{
    public string Section { get; } = section;

    public List<Action<PagePainter>> Pieces { get; } = [];

    public List<(string Title, int Level)> Bookmarks { get; } = [];
}
