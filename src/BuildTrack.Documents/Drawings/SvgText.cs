using System.Globalization;
using System.Security;
using System.Text;

namespace BuildTrack.Documents.Drawings;

/// <summary>Writes a drawing as inline SVG for pages.</summary>
/// <remarks>
/// The sheet gives the colours: strokes take <c>currentColor</c>, <c>var(--ink-2)</c>, <c>var(--rule-soft)</c> and <c>var(--pencil)</c>, blank shapes
/// <c>var(--paper)</c>, each with a plain value behind it for readers without the sheet. No ids but those made from <c>id</c>, so several drawings can stand on one page.
/// </remarks>
public static class SvgText
{
    /// <summary>The SVG of a drawing.</summary>
    /// <param name="id">Begin of the ids of title and description; unique on the page.</param>
    public static string Of(Drawing drawing, string id)
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"<svg class=\"drawing\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {N(drawing.Width)} {N(drawing.Height)}\" role=\"img\" aria-labelledby=\"{E(id)}-t {E(id)}-d\"");
        text.Append(" fill=\"none\" stroke=\"currentColor\" font-family=\"'Liberation Sans', Arimo, 'Helvetica Neue', Helvetica, Arial, sans-serif\">");
        text.Append(CultureInfo.InvariantCulture, $"<title id=\"{E(id)}-t\">{E(drawing.Title)}</title><desc id=\"{E(id)}-d\">{E(drawing.Description)}</desc>");
        foreach (var mark in drawing.Marks)
        {
            Append(text, mark);
        }

        return text.Append("</svg>").ToString();
    }

    private static void Append(StringBuilder text, Mark mark)
    {
        switch (mark)
        {
            case LineMark line:
                text.Append(CultureInfo.InvariantCulture, $"<path d=\"M{N(line.X1)} {N(line.Y1)}L{N(line.X2)} {N(line.Y2)}\"{Stroked(line.Stroke)}{Inked(line.Ink)}/>");
                break;
            case CircleMark circle:
                text.Append(CultureInfo.InvariantCulture, $"<circle cx=\"{N(circle.X)}\" cy=\"{N(circle.Y)}\" r=\"{N(circle.Radius)}\"{Filled(circle.Blank)}{Stroked(circle.Stroke)}/>");
                break;
            case BoxMark box:
                text.Append(CultureInfo.InvariantCulture, $"<rect x=\"{N(box.X)}\" y=\"{N(box.Y)}\" width=\"{N(box.Width)}\" height=\"{N(box.Height)}\"{Filled(box.Blank)}{Stroked(box.Stroke)}/>");
                break;
            case ShapeMark shape:
                text.Append(CultureInfo.InvariantCulture, $"<path d=\"M{string.Join('L', shape.Points.Select(p => N(p.X) + " " + N(p.Y)))}Z\"");
                text.Append(shape.Filled ? $" fill=\"{Colour(shape.Ink)}\" stroke=\"none\"/>" : $" fill=\"var(--paper, #fff)\" stroke-width=\"1.5\"{Inked(shape.Ink)}/>");
                break;
            case TextMark letters:
                Append(text, letters);
                break;
        }
    }

    private static void Append(StringBuilder text, TextMark letters)
    {
        text.Append(CultureInfo.InvariantCulture, $"<text x=\"{N(letters.X)}\" y=\"{N(letters.Y)}\" font-size=\"{N(letters.Size)}\" fill=\"{Colour(letters.Ink)}\"");
        text.Append(letters.Anchor switch { Anchor.Middle => " text-anchor=\"middle\"", Anchor.End => " text-anchor=\"end\"", _ => "" });
        text.Append(letters.Inclined ? " font-style=\"italic\"" : "").Append(letters.Bold ? " font-weight=\"700\"" : "");
        text.Append(letters.Blank ? " stroke=\"var(--paper, #fff)\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"" : " stroke=\"none\"");
        text.Append('>').Append(E(letters.Text)).Append("</text>");
    }

    private static string Stroked(Stroke stroke) => stroke switch
    {
        Stroke.Thick => " stroke-width=\"2.5\"",
        Stroke.Mid => " stroke-width=\"1.5\"",
        Stroke.Chain => " stroke-width=\"1\" stroke-dasharray=\"16 4 2 4\"",
        Stroke.DoubleDotted => " stroke-width=\"1.3\" stroke-dasharray=\"14 4 2 4 2 4\"",
        Stroke.Dashed => " stroke-width=\"2.5\" stroke-dasharray=\"7 5\"",
        _ => " stroke-width=\"1\"",
    };

    private static string Inked(Ink ink) => ink == Ink.Full ? "" : $" stroke=\"{Colour(ink)}\"";

    private static string Filled(bool blank) => blank ? " fill=\"var(--paper, #fff)\"" : "";

    private static string Colour(Ink ink) => ink switch
    {
        Ink.Note => "var(--ink-2, #464d50)",
        Ink.Soft => "var(--rule-soft, #cfd3cc)",
        Ink.Pencil => "var(--pencil, #55268e)",
        _ => "currentColor",
    };

    private static string N(double value) => Math.Round(value, 1, MidpointRounding.AwayFromZero).ToString("0.#", CultureInfo.InvariantCulture);

    private static string E(string text) => SecurityElement.Escape(text);
}
