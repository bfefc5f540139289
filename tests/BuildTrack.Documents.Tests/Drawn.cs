using System.Xml.Linq;
using BuildTrack.Documents.Drawings;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>What holds of every drawing.</summary>
internal static class Drawn
{
    /// <summary>Letters are large enough and no mark leaves the sheet; title and description are in the SVG, word for word.</summary>
    public static void OnTheSheet(Drawing drawing)
    {
        Assert.All(drawing.Marks.OfType<TextMark>(), t =>
        {
            var wide = Marks.WidthOf(t.Text, t.Size);
            var left = t.Anchor switch { Anchor.Start => t.X, Anchor.Middle => t.X - (wide / 2), _ => t.X - wide };
            Assert.True(t.Size >= Drawing.SmallLettering, t.Text);
            Assert.True(left >= 0 && left + wide <= drawing.Width + 1, $"{t.Text} stands from {left} to {left + wide} of {drawing.Width}");
            Assert.InRange(t.Y, t.Size * 0.7, drawing.Height);
        });
        Assert.All(drawing.Marks.OfType<LineMark>(), l => Assert.True(Math.Min(l.X1, l.X2) >= 0 && Math.Max(l.X1, l.X2) <= drawing.Width && Math.Max(l.Y1, l.Y2) <= drawing.Height, $"{l}"));
        Assert.All(drawing.Marks.OfType<BoxMark>(), b => Assert.True(b.X >= 0 && b.X + b.Width <= drawing.Width && b.Y + b.Height <= drawing.Height, $"{b}"));
        var svg = XDocument.Parse(SvgText.Of(drawing, "x"));
        Assert.Equal(drawing.Title, svg.Descendants().Single(e => e.Name.LocalName == "title").Value);
        Assert.Equal(drawing.Description, svg.Descendants().Single(e => e.Name.LocalName == "desc").Value);
    }
}
