using BuildTrack.Documents.Drawings;
using BuildTrack.Metrology.Verdicts;
using PdfSharp.Drawing;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>The framed word of a calculated result, and the stamp of a person. They never look alike.</summary>
internal static class Framed
{
    /// <summary>A framed word: double line accepted, dashed not proven, hatched rejected, thin without an answer.</summary>
    public static void Word(XGraphics page, XRect box, Verdict? verdict, string word, double size)
    {
        var inner = new XRect(box.X + 2.6, box.Y + 2.6, box.Width - 5.2, box.Height - 5.2);
        var mid = Pens.Of(Stroke.Mid);
        switch (verdict)
        {
            case Verdict.Accepted:
                page.DrawRectangle(mid, box);
                page.DrawRectangle(mid, new XRect(box.X + 2, box.Y + 2, box.Width - 4, box.Height - 4));
                break;
            case Verdict.NotProven:
                page.DrawRectangle(new XPen(XColors.Black, 0.9) { DashPattern = [4.2, 2.6] }, box);
                break;
            case Verdict.Rejected:
                foreach (var line in Marks.Hatch(box.X, box.Y, box.Width, box.Height, 2.2))
                {
                    page.DrawLine(Pens.Of(Stroke.Thin), line.X1, line.Y1, line.X2, line.Y2);
                }

                page.DrawRectangle(mid, box);
                page.DrawRectangle(mid, XBrushes.White, inner);
                break;
            default:
                page.DrawRectangle(Pens.Of(Stroke.Thin), box);
                break;
        }

        var text = word.ToUpperInvariant();
        var font = Lettering.Font(size, bold: verdict is not null);
        while (Lettering.Width(text, font) > box.Width - 8 && font.Size > 4)
        {
            font = Lettering.Font(font.Size - 0.25, bold: verdict is not null);
        }

        page.DrawString(text, font, Pens.Brush(Ink.Full), box.X + ((box.Width - Lettering.Width(text, font)) / 2), box.Y + (box.Height / 2) + (font.Size * 0.36));
    }

    /// <summary>The outline of an inspector's stamp: cut corners, a heavy and a light line.</summary>
    public static void Stamp(XGraphics page, XRect box)
    {
        page.DrawPolygon(Pens.Of(Stroke.Thick), Cut(box, 9));
        page.DrawPolygon(Pens.Of(Stroke.Thin), Cut(new XRect(box.X + 2.6, box.Y + 2.6, box.Width - 5.2, box.Height - 5.2), 8));
    }

    private static XPoint[] Cut(XRect b, double c) =>
    [
        new(b.Left + c, b.Top), new(b.Right - c, b.Top), new(b.Right, b.Top + c), new(b.Right, b.Bottom - c),
        new(b.Right - c, b.Bottom), new(b.Left + c, b.Bottom), new(b.Left, b.Bottom - c), new(b.Left, b.Top + c),
    ];
}
