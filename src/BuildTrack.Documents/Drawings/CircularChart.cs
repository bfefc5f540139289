using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Metrology.Circular;
using static System.FormattableString;

namespace BuildTrack.Documents.Drawings;

/// <summary>A circular test: both ways round about their common centre, the deviation of the radius enlarged, and the band that holds them.</summary>
/// <remarks>The path is drawn from the readings that the result was calculated from; the figure on the dimension is the stored one.</remarks>
public static class CircularChart
{
    internal const double CentreX = 330, CentreY = 296, Nominal = 190;

    /// <summary>What the largest deviation is drawn as, drawing units.</summary>
    private const double LargestDrawn = 56;

    private const double Width = 960, Height = 600, Column = 672;

    // Where the band is dimensioned: between two axes, so that neither lettering is in the way.
    private const double DimensionDegrees = 332;

    /// <summary>Null where the evaluation is none of a circular test, or has no value yet.</summary>
    public static Drawing? Of(EvaluationRecord evaluation)
    {
        ArgumentNullException.ThrowIfNull(evaluation);
        if (evaluation.Input.Characteristic.Evaluator != CircularEvaluator.Name || evaluation.Result.Value is not { } value)
        {
            return null;
        }

        var (readings, radius) = CircularEvaluator.PathOf(evaluation.Input);
        var figures = CircularCalculation.Of(readings, radius).Figures!;
        var path = readings.Select(r => (r.AngleDeg, r.Sense, Um: CircularCalculation.FromCentreUm(r, radius, figures.CentreXUm, figures.CentreYUm))).ToArray();
        var (low, high) = (path.Min(p => p.Um), path.Max(p => p.Um));
        var perUm = LargestDrawn / Math.Max(Math.Max(Math.Abs(low), Math.Abs(high)), 1e-9);

        var marks = new List<Mark>();
        Axes(marks);
        marks.Add(new CircleMark(CentreX, CentreY, Nominal, Stroke.Chain, Blank: false));
        marks.Add(new CircleMark(CentreX, CentreY, Nominal + (high * perUm), Stroke.Thin, Blank: false));
        marks.Add(new CircleMark(CentreX, CentreY, Nominal + (low * perUm), Stroke.Thin, Blank: false));
        foreach (var (sense, stroke) in new[] { (ContouringSense.Clockwise, Stroke.Mid), (ContouringSense.CounterClockwise, Stroke.DoubleDotted) })
        {
            var points = path.Where(p => p.Sense == sense).OrderBy(p => p.AngleDeg).Select(p => At(p.AngleDeg, Nominal + (p.Um * perUm))).ToArray();
            marks.AddRange(points.Select((p, i) => (From: p, To: points[(i + 1) % points.Length])).Select(s => new LineMark(s.From.X, s.From.Y, s.To.X, s.To.Y, stroke)));
        }

        var shown = Shown.InUnitOf(value, evaluation.Input.Requirement);
        Dimension(marks, Nominal + (low * perUm), Nominal + (high * perUm), shown);
        Beside(marks, evaluation, radius, perUm);
        var name = evaluation.Input.Characteristic.Title;
        return new Drawing(
            Width, Height, $"{name}: deviation of the radius round the path, in µm",
            Invariant($"Radius {radius:0.###} mm, {path.Length / 2} places each way round. {shown}; about the common centre from {Shown.Signed(low, 1)} to {Shown.Signed(high, 1)} µm. ")
            + string.Join("; ", new[] { 0.0, 45, 90, 135, 180, 225, 270, 315 }.Select(Both)) + ".",
            [.. marks]);

        string Both(double degrees)
        {
            string One(ContouringSense sense) => Shown.Signed(path.Where(p => p.Sense == sense).MinBy(p => Math.Abs(p.AngleDeg - degrees)).Um, 1);
            return Invariant($"at {degrees:0}° clockwise {One(ContouringSense.Clockwise)}, counter-clockwise {One(ContouringSense.CounterClockwise)}");
        }
    }

    private static (double X, double Y) At(double degrees, double radius)
    {
        var (sine, cosine) = Metrology.Degrees.SineAndCosine(degrees);
        return (CentreX + (radius * cosine), CentreY - (radius * sine));
    }

    private static void Axes(List<Mark> marks)
    {
        const double half = Nominal + LargestDrawn + 14;
        marks.Add(new LineMark(CentreX - half, CentreY, CentreX + half, CentreY, Stroke.Thin, Ink.Soft));
        marks.Add(new LineMark(CentreX, CentreY - half, CentreX, CentreY + half, Stroke.Thin, Ink.Soft));
        marks.Add(new TextMark(CentreX + half + 6, CentreY + 5, "+X, 0°", Drawing.SmallLettering, Ink: Ink.Note));
        marks.Add(new TextMark(CentreX, CentreY - half - 8, "+Y, 90°", Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
        marks.Add(new TextMark(CentreX - half - 6, CentreY + 5, "180°", Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        marks.Add(new TextMark(CentreX, CentreY + half + 20, "270°", Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
    }

    private static void Dimension(List<Mark> marks, double inner, double outer, string text)
    {
        var (from, to, end) = (At(DimensionDegrees, inner), At(DimensionDegrees, outer), At(DimensionDegrees, Nominal + LargestDrawn + 34));
        var (sine, cosine) = Metrology.Degrees.SineAndCosine(DimensionDegrees);
        marks.Add(new LineMark(from.X, from.Y, end.X, end.Y, Stroke.Thin));
        if (outer - inner > 26)
        {
            marks.Add(Marks.ArrowHead(from.X, from.Y, -cosine, sine));
            marks.Add(Marks.ArrowHead(to.X, to.Y, cosine, -sine));
        }

        marks.Add(new TextMark(end.X + 6, end.Y + 8, text, Drawing.Lettering, Bold: true));
    }

    private static void Beside(List<Mark> marks, EvaluationRecord evaluation, double radius, double perUm)
    {
        var y = 60.0;
        foreach (var (stroke, text) in new[] { (Stroke.Mid, "clockwise"), (Stroke.DoubleDotted, "counter-clockwise"), (Stroke.Chain, Invariant($"nominal radius {radius:0.###} mm")), (Stroke.Thin, "band that holds both") })
        {
            marks.Add(new LineMark(Column, y - 5, Column + 44, y - 5, stroke));
            marks.Add(new TextMark(Column + 54, y, text, Drawing.Lettering, Inclined: false));
            y += 28;
        }

        // A round length that is neither lost nor wider than the drawing of a deviation.
        var bar = new[] { 0.1, 0.2, 0.5, 1.0, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000 }.Last(um => um * perUm <= LargestDrawn || um == 0.1);
        y += 8;
        marks.Add(new LineMark(Column, y - 5, Column + (bar * perUm), y - 5, Stroke.Thick));
        marks.Add(new TextMark(Column + Math.Max(54, (bar * perUm) + 10), y, Invariant($"{bar:0.#} µm of deviation"), Drawing.Lettering, Inclined: false));
        y += 42;
        foreach (var figure in evaluation.Result.Figures.Where(f => f.Name.StartsWith('G') || f.Name.StartsWith('F')))
        {
            marks.Add(new TextMark(Column, y, Invariant($"{figure.Name} {(figure.Name[0] == 'F' ? Shown.Signed(figure.Value, 1) : figure.Value.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture))} µm"), Drawing.SmallLettering, Ink: Ink.Note));
            y += 24;
        }
    }
}
