using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using static System.FormattableString;

namespace BuildTrack.Documents.Drawings;

/// <summary>The bed seen obliquely from any side, heights exaggerated: every station stands on its stick above or below the plane that the deviations are taken from.</summary>
internal static class TurnedMap
{
    private const double Width = 960, Margin = 84, Top = 100, Field = 340, Rise = 62;

    /// <summary>How steeply the plane is looked at: its depth is shown at this part of its width.</summary>
    private const double Tilt = 0.42;

    /// <summary>A bed is shown at most this many times as long as it is wide; then its sides are at different scales.</summary>
    private const double Longest = 3;

    /// <param name="turn">Degrees by which the bed is turned counter-clockwise, seen from above; at 0 its +X goes to the right and its +Y away.</param>
    public static Drawing Draw(ref MapModel model, int turn)
    {
        var view = View.Of(model, turn);
        model = model.Written(model.Stations.Length <= 60 ? 1 : 0);
        var marks = new List<Mark>();
        view.Plane(marks);
        foreach (var across in model.Stations.GroupBy(s => s.XMm))
        {
            Join([.. across.OrderBy(s => s.YMm)], Stroke.Thin, Ink.Note);
        }

        foreach (var along in model.Stations.GroupBy(s => s.YMm))
        {
            Join([.. along.OrderBy(s => s.XMm)], Stroke.Mid, Ink.Full);
        }

        var written = Stations(marks, view, model);
        var height = Legend.Append(marks, model, 14, Top + Field + Rise + 60, Width, Invariant($"in {model.Unit}; heights drawn {view.Exaggeration:#,0} times"), travel: false, lines: false);
        model = model with { Stations = [.. model.Stations.Select(s => s with { Numbered = written.Contains(s.Station) })] };
        return new Drawing(Width, height, Invariant($"Deviations at the stations, seen obliquely and turned by {turn} degrees, in {model.Unit}"), model.Describe(), [.. marks]);

        void Join(MapStation[] line, Stroke stroke, Ink ink) => marks.AddRange(line.Zip(line.Skip(1)).Select(p => Between(view.Raised(p.First), view.Raised(p.Second), stroke, ink)));
    }

    // What must be written is placed first, what is nearer to the eye before what is farther.
    private static HashSet<string> Stations(List<Mark> marks, View view, MapModel model)
    {
        var written = new HashSet<string>(StringComparer.Ordinal);
        var taken = new List<(double X, double Y, double HalfWidth)>();
        foreach (var station in model.Stations.OrderBy(s => s.Weight is not null ? 0 : s.Extreme ? 1 : 2).ThenByDescending(s => view.Level(s).Y))
        {
            var ((x, foot), (_, y)) = (view.Level(station), view.Raised(station));
            var half = (Marks.WidthOf(station.Text, Drawing.Lettering) / 2) + (station.Hatched ? 3 : 0);
            var first = y + (station.Value >= 0 ? -10 : 22);
            var must = station.Weight is not null || station.Extreme;
            var free = FirstFree(taken, x, first, half, station.Value >= 0 ? -17 : 17, must ? 6 : 1);
            marks.Add(new LineMark(x, foot, x, y, Stroke.Thin));
            if (station.Weight is not null)
            {
                marks.Add(new CircleMark(x, y, 8, Stroke.Mid));
            }

            marks.Add(new CircleMark(x, y, 4.5, station.Beyond ? Stroke.Thick : Stroke.Mid));
            if (free is not { } at)
            {
                continue;
            }

            taken.Add((x, at, half));
            written.Add(station.Station);
            if (station.Hatched)
            {
                marks.Add(new BoxMark(x - half, at - 15, 2 * half, 19, Stroke.Thin));
                marks.AddRange(Marks.Hatch(x - half, at - 15, 2 * half, 19));
            }

            marks.Add(new TextMark(x, at, station.Text, Drawing.Lettering, Anchor.Middle, station.Beyond, Blank: true));
        }

        return written;
    }

    private static double? FirstFree(List<(double X, double Y, double HalfWidth)> taken, double x, double y, double half, double step, int tries)
    {
        for (var i = 0; i < tries; i++)
        {
            var at = y + (i * step);
            if (!taken.Exists(t => Math.Abs(t.X - x) < t.HalfWidth + half + 2 && Math.Abs(t.Y - at) < 17))
            {
                return at;
            }
        }

        return tries > 1 ? y + (tries * step) : null;
    }

    private static LineMark Between((double X, double Y) a, (double X, double Y) b, Stroke stroke, Ink ink = Ink.Full) => new(a.X, a.Y, b.X, b.Y, stroke, ink);

    /// <summary>From places of the bed to the sheet.</summary>
    /// <param name="LengthX">From the first to the last station, mm; of Y likewise.</param>
    /// <param name="ScaleX">Units per mm.</param>
    /// <param name="Height">Units per calculated unit of a deviation.</param>
    private sealed record View(double FromX, double FromY, double LengthX, double LengthY, double ScaleX, double ScaleY, double Cos, double Sin, double Height)
    {
        /// <summary>How many times a height is drawn larger than a length along X, for heights in µm.</summary>
        public double Exaggeration => 1000 * Height / ScaleX;

        public static View Of(MapModel model, int turn)
        {
            var (fromX, fromY) = (model.Stations.Min(s => s.XMm), model.Stations.Min(s => s.YMm));
            var (lengthX, lengthY) = (Math.Max(model.Stations.Max(s => s.XMm) - fromX, 1e-9), Math.Max(model.Stations.Max(s => s.YMm) - fromY, 1e-9));
            var longer = Math.Max(lengthX, lengthY);
            var (sideX, sideY) = (Math.Max(lengthX, longer / Longest), Math.Max(lengthY, longer / Longest));
            // The same scale from every side, so that nothing grows or shrinks while it is turned.
            var scale = Math.Min(Width - (2 * Margin), Field / Tilt) / double.Hypot(sideX, sideY);
            var (sin, cos) = Math.SinCos(turn * Math.PI / 180);
            return new View(fromX, fromY, lengthX, lengthY, sideX / lengthX * scale, sideY / lengthY * scale, cos, sin, Rise / Math.Max(model.Stations.Max(s => Math.Abs(s.Value)), 1e-9));
        }

        /// <summary>Where a place of the plane stands on the sheet.</summary>
        /// <param name="x">Part of the length along X, 0 at the first station.</param>
        public (double X, double Y) Place(double x, double y)
        {
            var (right, away) = ((x - 0.5) * LengthX * ScaleX, (y - 0.5) * LengthY * ScaleY);
            return ((Width / 2) + (right * Cos) - (away * Sin), Top + (Field / 2) - (((right * Sin) + (away * Cos)) * Tilt));
        }

        public (double X, double Y) Level(MapStation s) => Place((s.XMm - FromX) / LengthX, (s.YMm - FromY) / LengthY);

        public (double X, double Y) Raised(MapStation s) => Level(s) is var (x, y) ? (x, y - (s.Value * Height)) : default;

        /// <summary>The plane that the deviations are taken from, and the directions of travel beside it.</summary>
        public void Plane(List<Mark> marks)
        {
            (double X, double Y)[] corners = [Place(0, 0), Place(1, 0), Place(1, 1), Place(0, 1)];
            for (var i = 0; i < 4; i++)
            {
                marks.Add(Between(corners[i], corners[(i + 1) % 4], Stroke.Chain));
            }

            Direction(marks, Place(0, -0.12), Place(0.14, -0.12), "+X");
            Direction(marks, Place(-0.04, 0), Place(-0.04, 0.4), "+Y");
        }

        private static void Direction(List<Mark> marks, (double X, double Y) from, (double X, double Y) to, string name)
        {
            var length = Math.Max(double.Hypot(to.X - from.X, to.Y - from.Y), 1e-9);
            var (dx, dy) = ((to.X - from.X) / length, (to.Y - from.Y) / length);
            marks.Add(Between(from, to, Stroke.Thin));
            marks.Add(Marks.ArrowHead(to.X, to.Y, dx, dy));
            marks.Add(new TextMark(to.X + (dx * 16), to.Y + (dy * 16) + 5, name, Drawing.Lettering, Anchor.Middle));
        }
    }
}
