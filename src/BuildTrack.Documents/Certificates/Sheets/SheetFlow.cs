using BuildTrack.Documents.Drawings;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>Sets text, tables and drawings one below the other and begins a new sheet where the next piece does not fit.</summary>
/// <remarks>Measures everything before it is set; nothing is painted until the number of sheets is known.</remarks>
internal sealed class SheetFlow
{
    public const double Left = 70, Right = 553, Top = 44, Bottom = 742, Width = Right - Left;

    public const double Body = 8.8, Small = 7.4;

    private string section = "";

    public List<SheetPage> Pages { get; } = [];

    public double Y { get; private set; } = Bottom;

    public int Tables { get; private set; }

    public int Figures { get; private set; }

    private SheetPage Page => Pages[^1];

    public void NewPage(string? name = null)
    {
        section = name ?? section;
        Pages.Add(new SheetPage(section));
        Y = Top;
    }

    /// <summary>Begins a new sheet unless this height is left.</summary>
    public void Need(double height)
    {
        if (Y + height > Bottom && Y > Top)
        {
            NewPage();
        }
    }

    public void Space(double height) => Y += height;

    public void Place(Action<PagePainter> piece) => Page.Pieces.Add(piece);

    public void Bookmark(string title, int level) => Page.Bookmarks.Add((title, level));

    /// <summary>A heading, with a bookmark, that never stands alone at the foot of a sheet.</summary>
    public void Heading(string text, int level, double keepWithNext = 60)
    {
        var font = Lettering.Font(level switch { 1 => 19, 2 => 13, _ => 9.6 }, bold: true);
        var lines = Lettering.Wrap(text, font, Width);
        Need((lines.Count * Lettering.Line(font)) + keepWithNext);
        if (level < 3)
        {
            Bookmark(text, level);
        }

        var tag = level switch { 1 => PdfBlockLevelElementTag.Heading1, 2 => PdfBlockLevelElementTag.Heading2, _ => PdfBlockLevelElementTag.Heading3 };
        Lines(lines, font, Left, tag, Ink.Full);
        Y += level == 3 ? 1 : 4;
    }

    public void Text(string text, double size = Body, bool bold = false, Ink ink = Ink.Full, double indent = 0, double width = 0, double after = 4)
    {
        var font = Lettering.Font(size, bold);
        var lines = Lettering.Wrap(text, font, (width > 0 ? width : Width) - indent);
        foreach (var part in Chunks(lines, font))
        {
            Need(part.Count * Lettering.Line(font));
            Lines(part, font, Left + indent, PdfBlockLevelElementTag.Paragraph, ink);
        }

        Y += after;
    }

    /// <summary>"Table 1  What was required": bold label, plain words.</summary>
    public void TableCaption(string words, double keepWithNext = 50) => Caption($"Table {++Tables}", words, keepWithNext);

    public void FigureCaption(string words, double keepWithNext) => Caption($"Fig. {++Figures}", words, keepWithNext);

    /// <summary>A drawing as vectors, over the whole width unless a smaller one is given.</summary>
    public void Figure(Drawing drawing, double left = Left, double width = Width, bool advance = true)
    {
        var scale = width / drawing.Width;
        var height = drawing.Height * scale;
        Need(height);
        var y = Y;
        Place(p => p.Figure(drawing.Title + ". " + drawing.Description, new XRect(left, y, width, height),
            () => DrawingPainter.Paint(p.Page, drawing, left, y, scale)));
        if (advance)
        {
            Y += height + 6;
        }
    }

    private void Caption(string label, string words, double keepWithNext)
    {
        var (bold, plain) = (Lettering.Font(Body, bold: true), Lettering.Font(Body));
        var indent = Lettering.Width(label, bold) + 10;
        var lines = Lettering.Wrap(words, plain, Width - indent);
        Need((lines.Count * Lettering.Line(plain)) + keepWithNext);
        var y = Y;
        Place(p => p.Block(PdfBlockLevelElementTag.Paragraph, () =>
        {
            p.Page.DrawString(label, bold, Pens.Brush(Ink.Full), Left, y + Body);
            for (var i = 0; i < lines.Count; i++)
            {
                p.Page.DrawString(lines[i], plain, Pens.Brush(Ink.Full), Left + indent, y + Body + (i * Lettering.Line(plain)));
            }
        }));
        Y += (lines.Count * Lettering.Line(plain)) + 3;
    }

    private void Lines(List<string> lines, XFont font, double x, PdfBlockLevelElementTag tag, Ink ink)
    {
        var y = Y;
        Place(p => p.Block(tag, () =>
        {
            for (var i = 0; i < lines.Count; i++)
            {
                p.Page.DrawString(lines[i], font, Pens.Brush(ink), x, y + font.Size + (i * Lettering.Line(font)));
            }
        }));
        Y += lines.Count * Lettering.Line(font);
    }

    /// <summary>Long texts in parts that fit a sheet.</summary>
    private static IEnumerable<List<string>> Chunks(List<string> lines, XFont font)
    {
        var most = (int)((Bottom - Top) / 2 / Lettering.Line(font));
        return lines.Chunk(most).Select(c => c.ToList());
    }
}
