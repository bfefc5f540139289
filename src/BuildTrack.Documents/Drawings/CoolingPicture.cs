using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Temperatures;

namespace BuildTrack.Documents.Drawings;

/// <summary>Rounds of a bed's temperatures over time: top to bottom at each round, the fitted decay, the allowed gradient, and when it is kept.</summary>
public static class CoolingPicture
{
    private const double Width = 720, Height = 268, Left = 56, Right = 692, Top = 26, Bottom = 214;

    /// <summary>The picture; null without rounds or without an allowed gradient.</summary>
    public static Drawing? Of(GradientStanding standing, PlantTime time)
    {
        if (standing is not { Latest: { } latest, Allowed: { } allowed })
        {
            return null;
        }

        var first = standing.Rounds[0].At;
        var last = standing.Forecast?.Ready is { } ready && ready > latest.At ? ready : latest.At;
        // The spread may be far longer than the wait: it is drawn as far as the picture goes.
        var span = Math.Max(last.Microseconds - first.Microseconds, 60e6) * 1.25;
        var high = Math.Max((double)standing.Rounds.Max(r => r.Gradient), allowed) * 1.12;
        double X(Instant at) => Math.Clamp(Left + 20 + ((at.Microseconds - first.Microseconds) / span * (Right - Left - 20)), Left, Right);
        double Y(double kelvin) => Bottom - (Math.Clamp(kelvin / high, 0, 1) * (Bottom - Top));

        List<Mark> marks =
        [
            new LineMark(Left, Top - 8, Left, Bottom, Stroke.Mid), new LineMark(Left, Bottom, Right, Bottom, Stroke.Mid),
            new TextMark(Left - 8, Bottom + 5, "0", Drawing.SmallLettering, Anchor.End), new TextMark(8, Top - 10, "K", Drawing.SmallLettering),
            new LineMark(Left, Y(allowed), Right, Y(allowed), Stroke.Chain), new LineMark(Left - 5, Y(allowed), Left, Y(allowed), Stroke.Thin),
            new TextMark(Left - 8, Y(allowed) + 5, FormattableString.Invariant($"{allowed:0.0##}"), Drawing.SmallLettering, Anchor.End, Bold: true),
            new TextMark(Right, Y(allowed) - 8, "allowed", Drawing.SmallLettering, Anchor.End, Ink: Ink.Note, Blank: true),
        ];
        if (standing.Forecast is { } forecast)
        {
            Decay(marks, forecast, first, latest.At, X, Y);
            var at = X(forecast.Ready);
            marks.Add(new LineMark(X(forecast.From), Y(allowed) + 12, X(forecast.To), Y(allowed) + 12, Stroke.Mid, Ink.Pencil));
            marks.Add(new LineMark(X(forecast.From), Y(allowed) + 7, X(forecast.From), Y(allowed) + 17, Stroke.Mid, Ink.Pencil));
            marks.Add(new LineMark(X(forecast.To), Y(allowed) + 7, X(forecast.To), Y(allowed) + 17, Stroke.Mid, Ink.Pencil));
            marks.Add(new ShapeMark([(at - 5.5, Y(allowed) + 12), (at + 5.5, Y(allowed) + 12), (at, Y(allowed))], Ink.Pencil));
            var told = $"about {time.TimeOfDay(GradientStanding.Told(forecast.Ready))}";
            marks.Add(new TextMark(Math.Min(at, Right - (Marks.WidthOf(told, Drawing.Lettering) / 2)), Y(allowed) + 36, told, Drawing.Lettering, Anchor.Middle, Bold: true, Inclined: false, Ink: Ink.Pencil, Blank: true));
        }

        var free = double.NegativeInfinity;
        foreach (var round in standing.Rounds)
        {
            var (x, y) = (X(round.At), Y((double)round.Gradient));
            marks.Add(new CircleMark(x, y, 4.5, Stroke.Mid));
            marks.Add(new LineMark(x, Bottom, x, Bottom + 6, Stroke.Thin));
            var half = Marks.WidthOf("00:00", Drawing.SmallLettering) / 2;
            if (x - half >= free || round == latest)
            {
                // The latest round is always named: one that would touch it gives way.
                if (round == latest && x - half < free)
                {
                    marks.RemoveAll(m => m is TextMark t && t.Y is Bottom + 24 && t.X + half > x - half);
                }

                marks.Add(new TextMark(x, Bottom + 24, time.TimeOfDay(round.At), Drawing.SmallLettering, Anchor.Middle));
                marks.Add(new TextMark(x + 9, y - 8, FormattableString.Invariant($"{round.Gradient:0.00}"), Drawing.SmallLettering, Blank: true));
                free = x + half + 8;
            }
        }

        marks.Add(new TextMark(Right, Bottom + 46, "time of day", Drawing.SmallLettering, Anchor.End, Ink: Ink.Note));
        return new Drawing(Width, Height, "Top to bottom of the bed over time, in K", $"{standing.Rounds.Length} rounds; {standing.Sentence(time)}.", [.. marks]);
    }

    /// <summary>The picture as inline SVG; null where there is none.</summary>
    public static string? Svg(GradientStanding standing, PlantTime time, string id = "cooling") => Of(standing, time) is { } drawing ? SvgText.Of(drawing, id) : null;

    private static void Decay(List<Mark> marks, GradientForecast forecast, Instant first, Instant latest, Func<Instant, double> x, Func<double, double> y)
    {
        const int pieces = 40;
        var (from, to) = (first.Microseconds, first.Microseconds + (long)(Math.Max(forecast.Ready.Microseconds - first.Microseconds, 60e6) * 1.2));
        Instant Moment(int i) => new(from + ((to - from) / pieces * i));
        double At(Instant at) => Math.Abs(forecast.Figures.ExcessNowK) * Math.Exp((latest.Microseconds - at.Microseconds) / 60e6 / forecast.Figures.TimeConstantMin);
        for (var i = 0; i < pieces; i++)
        {
            marks.Add(new LineMark(x(Moment(i)), y(At(Moment(i))), x(Moment(i + 1)), y(At(Moment(i + 1))), Stroke.Thin));
        }
    }
}
