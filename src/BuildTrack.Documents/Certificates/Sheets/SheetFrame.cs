using BuildTrack.Documents.Drawings;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>What the title block says, the same on every sheet.</summary>
/// <param name="Head">A line at the head of the sheet; null for none.</param>
internal sealed record TitleBlock(
    string Title, string Number, string Issue, string Date, string Owner, string Type, string Responsible, string ReleasedBy, string Status, string Foot, string? Head = null);

/// <summary>The drawing sheet: frame with zone marks, title block with the fields of ISO 7200, foot line.</summary>
internal static class SheetFrame
{
    // ISO 5457: 20 mm at the filing edge, 10 mm elsewhere.
    private const double FrameLeft = 56.7, FrameRight = 566.9, FrameTop = 28.4, FrameBottom = 806, Block = 54;

    public static void Draw(PagePainter p, TitleBlock title, int sheet, int sheets)
    {
        p.Artifact(() => Lines(p.Page));
        p.Block(PdfBlockLevelElementTag.Paragraph, () => Fields(p.Page, title, sheet, sheets));
        p.Block(PdfBlockLevelElementTag.Paragraph, () => Foot(p.Page, title.Foot));
        if (title.Head is { } head)
        {
            p.Block(PdfBlockLevelElementTag.Paragraph, () => Centre(p.Page, head, Lettering.Font(7.4, bold: true), (FrameLeft + FrameRight) / 2, FrameTop + 10, Ink.Full));
        }
    }

    private static void Lines(XGraphics page)
    {
        var (thick, thin) = (Pens.Of(Stroke.Thick, scale: 0.62), Pens.Of(Stroke.Thin));
        page.DrawRectangle(thick, FrameLeft, FrameTop, FrameRight - FrameLeft, FrameBottom - FrameTop);
        var font = Lettering.Font(6);
        for (var i = 0; i < 4; i++)
        {
            var x = FrameLeft + ((FrameRight - FrameLeft) * i / 4);
            Mark(page, font, ((char)('1' + i)).ToString(), x + ((FrameRight - FrameLeft) / 8), FrameTop - 6);
            Mark(page, font, ((char)('1' + i)).ToString(), x + ((FrameRight - FrameLeft) / 8), FrameBottom + 10);
            if (i > 0)
            {
                page.DrawLine(i == 2 ? thick : thin, x, FrameTop - 12, x, FrameTop + (i == 2 ? 5 : 0));
                page.DrawLine(i == 2 ? thick : thin, x, FrameBottom - (i == 2 ? 5 : 0), x, FrameBottom + 12);
            }
        }

        for (var i = 0; i < 6; i++)
        {
            var y = FrameTop + ((FrameBottom - FrameTop) * i / 6);
            Mark(page, font, ((char)('A' + i)).ToString(), FrameLeft - 7, y + ((FrameBottom - FrameTop) / 12));
            Mark(page, font, ((char)('A' + i)).ToString(), FrameRight + 7, y + ((FrameBottom - FrameTop) / 12));
            if (i > 0)
            {
                page.DrawLine(i == 3 ? thick : thin, FrameLeft - 14, y, FrameLeft + (i == 3 ? 5 : 0), y);
                page.DrawLine(i == 3 ? thick : thin, FrameRight - (i == 3 ? 5 : 0), y, FrameRight + 14, y);
            }
        }
    }

    private static void Mark(XGraphics page, XFont font, string text, double x, double y) =>
        page.DrawString(text, font, Pens.Brush(Ink.Note), x - (Lettering.Width(text, font) / 2), y + 2);

    private static void Fields(XGraphics page, TitleBlock title, int sheet, int sheets)
    {
        var (top, middle, right) = (FrameBottom - Block, FrameBottom - (Block / 2), FrameRight - 50);
        var thin = Pens.Of(Stroke.Mid);
        page.DrawLine(Pens.Of(Stroke.Thick, scale: 0.5), FrameLeft, top, FrameRight, top);
        page.DrawLine(thin, FrameLeft, middle, right, middle);
        page.DrawLine(thin, right, top, right, FrameBottom);
        Row(page, top, right, [("Title", title.Title, 180, true), ("Identification number", title.Number, 128, false), ("Issue", title.Issue, 36, false), ("Date of issue", title.Date, 116, false)]);
        Row(page, middle, right, [("Legal owner", title.Owner, 128, false), ("Document type", title.Type, 68, false), ("Responsible person", title.Responsible, 92, false), ("Released by", title.ReleasedBy, 98, false), ("Document status", title.Status, 74, false)]);
        var (small, big) = (Lettering.Font(6.4), Lettering.Font(10.5, bold: true));
        Centre(page, "Sheet", small, (right + FrameRight) / 2, top + 19, Ink.Note);
        Centre(page, $"{sheet} of {sheets}", big, (right + FrameRight) / 2, top + 33, Ink.Full);
    }

    private static void Row(XGraphics page, double top, double right, (string Name, string Value, double Width, bool Bold)[] fields)
    {
        var x = FrameLeft;
        for (var i = 0; i < fields.Length; i++)
        {
            var (name, value, width, bold) = fields[i];
            var end = i == fields.Length - 1 ? right : x + width;
            if (i > 0)
            {
                page.DrawLine(Pens.Of(Stroke.Mid), x, top, x, top + (Block / 2));
            }

            page.DrawString(name, Lettering.Font(6.2), Pens.Brush(Ink.Note), x + 4, top + 8.2);
            Fit(page, value, new XRect(x + 4, top + 9.6, end - x - 7, (Block / 2) - 10.6), bold);
            x = end;
        }
    }

    /// <summary>A value in a field of fixed size: smaller letters, then two or more lines, but always whole.</summary>
    private static void Fit(XGraphics page, string value, XRect box, bool bold)
    {
        for (var size = 8.6; ; size -= 0.2)
        {
            var font = Lettering.Font(Math.Round(size, 1), bold);
            var lines = Lettering.Wrap(value, font, box.Width);
            if ((lines.Count * font.Size * 1.08) > box.Height + 0.5 && size > 2)
            {
                continue;
            }

            // One shrunken line is easier to read than two, as long as it stays above six points.
            if (lines.Count > 1 && size > 6.6)
            {
                continue;
            }

            var y = box.Y + ((box.Height - (lines.Count * font.Size * 1.08)) / 2) + (font.Size * 0.92);
            foreach (var line in lines)
            {
                page.DrawString(line, font, Pens.Brush(Ink.Full), box.X, y);
                y += font.Size * 1.08;
            }

            return;
        }
    }

    private static void Foot(XGraphics page, string text)
    {
        var font = Lettering.Font(5.8);
        Centre(page, text, font, (FrameLeft + FrameRight) / 2, FrameBottom + 22, Ink.Note);
    }

    private static void Centre(XGraphics page, string text, XFont font, double x, double y, Ink ink) =>
        page.DrawString(text, font, Pens.Brush(ink), x - (Lettering.Width(text, font) / 2), y);
}
