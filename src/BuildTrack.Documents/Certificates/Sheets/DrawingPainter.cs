using BuildTrack.Documents.Drawings;
using PdfSharp.Drawing;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>Draws a drawing's marks as vectors on a page.</summary>
internal static class DrawingPainter
{
    /// <param name="x">Left edge on the page, points.</param>
    /// <param name="y">Upper edge on the page, points.</param>
    /// <param name="scale">Points for one unit.</param>
    public static void Paint(XGraphics page, Drawing drawing, double x, double y, double scale)
    {
        // Letters last: the blank behind one number may not cut into its neighbour.
        var at = new Place(x, y, scale);
        foreach (var mark in drawing.Marks)
        {
            Paint(page, mark, at);
        }

        foreach (var text in drawing.Marks.OfType<TextMark>())
        {
            Write(page, text, at);
        }
    }

    private static void Paint(XGraphics page, Mark mark, Place at)
    {
        switch (mark)
        {
            case LineMark line:
                page.DrawLine(Pens.Of(line.Stroke, line.Ink, at.Scale), at.X(line.X1), at.Y(line.Y1), at.X(line.X2), at.Y(line.Y2));
                break;
            case CircleMark circle:
                var round = new XRect(at.X(circle.X - circle.Radius), at.Y(circle.Y - circle.Radius), 2 * circle.Radius * at.Scale, 2 * circle.Radius * at.Scale);
                page.DrawEllipse(Pens.Of(circle.Stroke, scale: at.Scale), circle.Blank ? XBrushes.White : null, round);
                break;
            case BoxMark box:
                var frame = new XRect(at.X(box.X), at.Y(box.Y), box.Width * at.Scale, box.Height * at.Scale);
                page.DrawRectangle(Pens.Of(box.Stroke, scale: at.Scale), box.Blank ? XBrushes.White : null, frame);
                break;
            case ShapeMark shape:
                var points = shape.Points.Select(p => new XPoint(at.X(p.X), at.Y(p.Y))).ToArray();
                if (shape.Filled)
                {
                    page.DrawPolygon(Pens.Brush(shape.Ink), points, XFillMode.Winding);
                }
                else
                {
                    page.DrawPolygon(Pens.Of(Stroke.Mid, shape.Ink, at.Scale), XBrushes.White, points, XFillMode.Winding);
                }

                break;
            case TextMark { Blank: true } text:
                var (font, left, width) = Measure(text, at);
                page.DrawRectangle(XBrushes.White, left - 0.6, at.Y(text.Y) - (font.Size * 0.74), width + 1.2, font.Size * 0.78);
                break;
        }
    }

    private static void Write(XGraphics page, TextMark text, Place at)
    {
        var (font, left, _) = Measure(text, at);
        page.DrawString(text.Text, font, Pens.Brush(text.Ink), left, at.Y(text.Y));
    }

    private static (XFont Font, double Left, double Width) Measure(TextMark text, Place at)
    {
        var font = Lettering.Font(Math.Round(text.Size * at.Scale, 2), text.Bold, text.Inclined);
        var width = Lettering.Width(text.Text, font);
        return (font, at.X(text.X) - (text.Anchor switch { Anchor.Middle => width / 2, Anchor.End => width, _ => 0 }), width);
    }

    private readonly record struct Place(double Left, double Top, double Scale)
    {
        public double X(double x) => Left + (x * Scale);

        public double Y(double y) => Top + (y * Scale);
    }
}
