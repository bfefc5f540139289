using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Documents.Drawings;

/// <summary>The bed seen obliquely, as its two rail seats: R1 in front, R2 behind it, bars up and down from each seat's line.</summary>
internal static class RailMap
{
    private const double Width = 960, Left = 52, Shift = 66, Bar = 44;

    /// <summary>Two rows of at least two stations each.</summary>
    public static bool Fits(ImmutableArray<MapStation> stations) =>
        stations.GroupBy(s => s.YMm).ToArray() is [var one, var two] && one.Count() >= 2 && two.Count() >= 2;

    public static Drawing Draw(ref MapModel model)
    {
        var rows = model.Stations.GroupBy(s => s.YMm).OrderBy(g => g.Key).Select(g => g.OrderBy(s => s.XMm).ToArray()).ToArray();
        var (from, to) = (model.Stations.Min(s => s.XMm), model.Stations.Max(s => s.XMm));
        var scale = (Width - Left - Shift - 112) / (to - from);
        var pitch = scale * rows.SelectMany(r => r.Zip(r.Skip(1), (a, b) => b.XMm - a.XMm)).Min();
        var size = pitch >= 50 ? Drawing.Lettering : Drawing.SmallLettering;
        // Tenths where five characters fit between two stations, else whole micrometres.
        model = model.Written(pitch >= 42 ? 1 : 0);

        var layout = new Layout(model, Left + 18 - (from * scale), scale, Bar / Math.Max(model.Largest, 1e-9), pitch, size);
        rows = [.. rows.Select(r => r.Select(s => layout.Model.Stations.Single(t => t.Station == s.Station)).ToArray())];
        var marks = new List<Mark>();
        const double back = 122, front = 268;
        layout.Ties(marks, rows, front, back);
        layout.Tolerance(marks, front, 0, from, to, true);
        layout.Tolerance(marks, back, Shift, from, to, false);
        layout.ContactLines(marks, rows, front, back);
        var written = new HashSet<string>(StringComparer.Ordinal);
        layout.Row(marks, rows[1], back, Shift, 30, written);
        layout.Row(marks, rows[0], front, 0, 360, written);
        marks.Add(new TextMark(Left + Shift - 14, back - 10, NameOf(rows[1]), 18, Anchor.End, Inclined: false, Blank: true));
        marks.Add(new TextMark(Left - 14, front - 10, NameOf(rows[0]), 18, Anchor.End, Inclined: false, Blank: true));
        var height = Legend.Append(marks, model, Left - 40, 402, Width, $"in {model.Unit};  +X");

        model = model with { Stations = [.. model.Stations.Select(s => s with { Numbered = written.Contains(s.Station) })] };
        return new Drawing(Width, height, $"Deviations at the stations of both rail seats, in {model.Unit}", model.Describe(), [.. marks]);
    }

    private static string NameOf(MapStation[] row) => row[0].Station.IndexOf('-', StringComparison.Ordinal) is var dash and > 0 ? row[0].Station[..dash] : FormattableString.Invariant($"y {row[0].YMm:0}");

    private sealed record Layout(MapModel Model, double Zero, double Scale, double BarScale, double Pitch, double Size)
    {
        private double X(MapStation s, double shift) => Zero + (s.XMm * Scale) + shift;

        public void Ties(List<Mark> marks, MapStation[][] rows, double front, double back)
        {
            foreach (var station in rows[0])
            {
                var end = station == rows[0][0] || station == rows[0][^1];
                if (rows[1].FirstOrDefault(s => s.XMm == station.XMm) is { } other)
                {
                    marks.Add(new LineMark(X(station, 0), front, X(other, Shift), back, Stroke.Thin, end ? Ink.Full : Ink.Soft));
                }
            }
        }

        /// <summary>The seat as a chain line, the limit as two thin lines about it, its dimension once.</summary>
        public void Tolerance(List<Mark> marks, double y, double shift, double from, double to, bool dimension)
        {
            var (left, right) = (Zero + (from * Scale) + shift - 16, Zero + (to * Scale) + shift + 18);
            marks.Add(new LineMark(left, y, right, y, Stroke.Chain));
            if (Model.HalfLimit is not { } half)
            {
                if (dimension)
                {
                    marks.Add(new TextMark(right + 6, y + 5, $"limit {Model.LimitText}", Drawing.Lettering));
                }

                return;
            }

            var (top, bottom) = (y - ((Model.Centre + half) * BarScale), y - ((Model.Centre - half) * BarScale));
            var far = right + (dimension ? 16 : 0);
            marks.Add(new LineMark(left, top, far, top, Stroke.Thin));
            marks.Add(new LineMark(left, bottom, far, bottom, Stroke.Thin));
            if (dimension)
            {
                marks.Add(new LineMark(right + 10, top, right + 10, bottom, Stroke.Thin));
                marks.Add(Marks.ArrowHead(right + 10, top, 0, -1, 9));
                marks.Add(Marks.ArrowHead(right + 10, bottom, 0, 1, 9));
                marks.Add(new TextMark(right + 22, ((top + bottom) / 2) - 3, "limit", Drawing.Lettering));
                marks.Add(new TextMark(right + 22, ((top + bottom) / 2) + 15, Model.LimitText, Drawing.Lettering));
            }
        }

        /// <summary>High to high and low to low.</summary>
        public void ContactLines(List<Mark> marks, MapStation[][] rows, double front, double back)
        {
            foreach (var side in Model.Contacts.GroupBy(c => c.Weight > 0))
            {
                var points = side.Select(c => rows[0].Any(s => s.Station == c.Station) ? (X(c, 0), front) : (X(c, Shift), back)).ToArray();
                for (var i = 0; i < points.Length; i++)
                {
                    for (var j = i + 1; j < points.Length; j++)
                    {
                        marks.Add(new LineMark(points[i].Item1, points[i].Item2, points[j].Item1, points[j].Item2, Stroke.DoubleDotted));
                    }
                }
            }
        }

        /// <summary>Bars, numbers and balloons of one seat. Contacts and extremes take their room first; the rest only what is left.</summary>
        public void Row(List<Mark> marks, MapStation[] row, double y, double shift, double balloonY, HashSet<string> written)
        {
            var width = Math.Clamp(Pitch * 0.42, 7, 18);
            var (taken, balloons) = (new List<(double From, double To, bool Up)>(), new List<double>());
            var (radius, ring) = (Pitch >= 34 ? 14 : 12.5, Pitch >= 34 ? Drawing.Lettering : Drawing.SmallLettering);
            var numbers = new List<Mark>();
            foreach (var station in row)
            {
                var height = Math.Abs(station.Value) * BarScale;
                var top = station.Value > 0 ? y - height : y;
                marks.Add(new BoxMark(X(station, shift) - (width / 2), top, width, Math.Max(height, 0.5), Stroke.Mid));
                if (station.Hatched)
                {
                    marks.AddRange(Marks.Hatch(X(station, shift) - (width / 2), top, width, height));
                }

                var tip = station.Value > 0 ? y - height : y + height;
                marks.Add(new LineMark(X(station, shift) - (width / 2), tip, X(station, shift) + (width / 2), tip, Stroke.Thick));
            }

            foreach (var station in row.OrderBy(s => s.Weight is not null ? 0 : s.Extreme ? 1 : 2))
            {
                var x = X(station, shift);
                var must = station.Weight is not null || station.Extreme;
                var up = station.Value >= 0;
                var half = (Marks.WidthOf(station.Text, Size) / 2) + 0.5;
                if (must || !taken.Any(t => t.Up == up && t.From < x + half && x - half < t.To))
                {
                    taken.Add((x - half, x + half, up));
                    written.Add(station.Station);
                    var height = Math.Abs(station.Value) * BarScale;
                    numbers.Add(new TextMark(x, up ? y - height - 6 : y + height + Size + 1, station.Text, Size, Anchor.Middle, station.Beyond, Blank: true));
                }

                if (must || balloons.TrueForAll(b => Math.Abs(b - x) >= (2 * radius) + 1))
                {
                    balloons.Add(x);
                    numbers.AddRange(Marks.Balloon(x, balloonY, radius, station.Number, ring, station.Weight is not null));
                }
            }

            marks.AddRange(numbers);
        }
    }
}
