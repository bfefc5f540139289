using System.Collections.Immutable;

namespace BuildTrack.Documents.Drawings;

/// <summary>Line kinds of a shop drawing; each has one meaning everywhere.</summary>
public enum Stroke
{
    /// <summary>Outline, measured.</summary>
    Thick,

    /// <summary>Outline of less weight.</summary>
    Mid,

    /// <summary>Dimension, leader, tolerance.</summary>
    Thin,

    /// <summary>Long dash and dot: the reference.</summary>
    Chain,

    /// <summary>Long dash and two dots: what belongs together without being an edge.</summary>
    DoubleDotted,

    /// <summary>Not proven.</summary>
    Dashed,
}

/// <summary>Which ink draws a mark.</summary>
public enum Ink
{
    /// <summary>Text, outlines.</summary>
    Full,

    /// <summary>Field names, notes.</summary>
    Note,

    /// <summary>Ornament only, never meaning.</summary>
    Soft,

    /// <summary>The one accent: the result on its scale.</summary>
    Pencil,
}

/// <summary>Where a text stands relative to its point.</summary>
public enum Anchor
{
    Start,
    Middle,
    End,
}

/// <summary>One mark of a drawing; coordinates in drawing units, y downward.</summary>
public abstract record Mark;

public sealed record LineMark(double X1, double Y1, double X2, double Y2, Stroke Stroke, Ink Ink = Ink.Full) : Mark;

/// <param name="Blank">Filled with paper, so that what lies below does not show.</param>
public sealed record CircleMark(double X, double Y, double Radius, Stroke Stroke, bool Blank = true) : Mark;

public sealed record BoxMark(double X, double Y, double Width, double Height, Stroke Stroke, bool Blank = true) : Mark;

/// <summary>A closed shape filled with ink: arrow heads, the mark of a result.</summary>
public sealed record ShapeMark(ImmutableArray<(double X, double Y)> Points, Ink Ink, bool Filled = true) : Mark;

/// <param name="Y">The base line.</param>
/// <param name="Inclined">What the drawing says is inclined; what the form says is upright.</param>
/// <param name="Blank">Paper behind the text, so that lines below it do not disturb.</param>
public sealed record TextMark(
    double X, double Y, string Text, double Size, Anchor Anchor = Anchor.Start, bool Bold = false, bool Inclined = true, Ink Ink = Ink.Full, bool Blank = false) : Mark;

/// <summary>A drawing as a list of marks: the one model behind the picture on a page and the vectors in a document.</summary>
/// <param name="Width">In units; one unit is one pixel on a sheet 1024 wide.</param>
/// <param name="Title">What it is, in one sentence.</param>
/// <param name="Description">What it shows, for those who do not see it.</param>
public sealed record Drawing(double Width, double Height, string Title, string Description, ImmutableArray<Mark> Marks)
{
    /// <summary>Lettering on drawings: never below 14 units.</summary>
    public const double Lettering = 16;

    /// <summary>The smallest lettering.</summary>
    public const double SmallLettering = 14;
}

/// <summary>Shapes that are made of several marks.</summary>
internal static class Marks
{
    /// <summary>Lines at 45 degrees, cut to a rectangle.</summary>
    public static IEnumerable<LineMark> Hatch(double x, double y, double width, double height, double pitch = 5)
    {
        // A line x − X + y − Y = d crosses the rectangle for 0 < d < width + height.
        for (var d = pitch / 2; d < width + height; d += pitch)
        {
            var (x1, y1) = d <= height ? (x, y + d) : (x + d - height, y + height);
            var (x2, y2) = d <= width ? (x + d, y) : (x + width, y + d - width);
            yield return new LineMark(x1, y1, x2, y2, Stroke.Thin);
        }
    }

    /// <summary>Four to eight round values over a range, for a scale.</summary>
    /// <param name="least">Smallest step between them; 0 for any.</param>
    public static IEnumerable<double> RoundValues(double low, double high, double least = 0)
    {
        var rough = (high - low) / 5;
        var power = Math.Pow(10, Math.Floor(Math.Log10(rough)));
        var step = Math.Max(least, (rough / power) switch { < 1.5 => power, < 3.5 => 2 * power, < 7.5 => 5 * power, _ => 10 * power });
        for (var i = (long)Math.Ceiling(low / step); i * step <= high; i++)
        {
            yield return i * step;
        }
    }

    /// <summary>A balloon with its text; contacts have a second ring.</summary>
    public static IEnumerable<Mark> Balloon(double x, double y, double radius, string text, double size, bool doubled)
    {
        if (doubled)
        {
            yield return new CircleMark(x, y, radius + 3.5, Stroke.Mid);
        }

        yield return new CircleMark(x, y, radius, Stroke.Mid);
        yield return new TextMark(x, y + (size * 0.36), text, size, Anchor.Middle, Inclined: false);
    }

    /// <summary>A slim arrow head at a point; direction as a unit vector.</summary>
    public static ShapeMark ArrowHead(double x, double y, double dx, double dy, double length = 12, double half = 2.6) => new(
        [(x, y), (x - (dx * length) - (dy * half), y - (dy * length) + (dx * half)), (x - (dx * length) + (dy * half), y - (dy * length) - (dx * half))], Ink.Full);

    /// <summary>Width of a text in units, from the widths that plain grotesques share (digits 0.556 em); a little generous.</summary>
    public static double WidthOf(string text, double size) => size * text.Sum(c => c switch
    {
        '.' or ',' or ' ' or 'i' or 'l' or 'j' or 't' or 'f' or 'I' or '-' => 0.33,
        '+' or '−' or '≤' or '≥' => 0.6,
        'm' or 'w' or 'M' or 'W' => 0.85,
        >= 'A' and <= 'Z' => 0.7,
        _ => 0.57,
    });
}
