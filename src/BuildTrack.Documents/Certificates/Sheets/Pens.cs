using BuildTrack.Documents.Drawings;
using PdfSharp.Drawing;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>Ink on white paper, and one accent.</summary>
internal static class Pens
{
    private static readonly XColor Full = XColor.FromArgb(0x15, 0x19, 0x1b), Note = XColor.FromArgb(0x46, 0x4d, 0x50),
        Soft = XColor.FromArgb(0xc4, 0xc8, 0xc1), Pencil = XColor.FromArgb(0x55, 0x26, 0x8e);

    public static XBrush Brush(Ink ink) => new XSolidBrush(Colour(ink));

    /// <summary>A pen of a line kind.</summary>
    /// <param name="scale">Points for one unit of the drawing.</param>
    public static XPen Of(Stroke stroke, Ink ink = Ink.Full, double scale = 0.52)
    {
        var width = scale * stroke switch { Stroke.Thick => 2.5, Stroke.Mid => 1.5, Stroke.Dashed => 2.5, Stroke.DoubleDotted => 1.3, _ => 1 };
        var pen = new XPen(Colour(ink), width);
        double[]? dashes = stroke switch
        {
            Stroke.Chain => [16, 4, 2, 4],
            Stroke.DoubleDotted => [14, 4, 2, 4, 2, 4],
            Stroke.Dashed => [7, 5],
            _ => null,
        };
        if (dashes is not null)
        {
            // The library counts dashes in widths of the pen.
            pen.DashPattern = [.. dashes.Select(d => d * scale / width)];
        }

        return pen;
    }

    private static XColor Colour(Ink ink) => ink switch { Ink.Note => Note, Ink.Soft => Soft, Ink.Pencil => Pencil, _ => Full };
}
