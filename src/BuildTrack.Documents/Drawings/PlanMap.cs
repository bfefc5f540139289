namespace BuildTrack.Documents.Drawings;

/// <summary>The stations in plan, each in its place with a signed number: for layouts that are not two rows.</summary>
internal static class PlanMap
{
    private const double Width = 960, Margin = 60;

    public static Drawing Draw(ref MapModel model)
    {
        var (fromX, toX) = (model.Stations.Min(s => s.XMm), model.Stations.Max(s => s.XMm));
        var (fromY, toY) = (model.Stations.Min(s => s.YMm), model.Stations.Max(s => s.YMm));
        // Both directions at one scale, unless the field would become a strip; then x tells the truth and y is stretched.
        var scaleX = (Width - (2 * Margin) - 40) / Math.Max(toX - fromX, 1e-9);
        var scaleY = Math.Clamp(scaleX, 150 / Math.Max(toY - fromY, 1e-9), 330 / Math.Max(toY - fromY, 1e-9));
        scaleX = Math.Min(scaleX, scaleY * 4);
        var fieldWidth = (toX - fromX) * scaleX;
        var left = (Width - fieldWidth) / 2;
        var bottom = 46 + ((toY - fromY) * scaleY);
        model = model.Written(model.Stations.Length <= 60 ? 1 : 0);

        (double X, double Y) At(MapStation s) => (left + ((s.XMm - fromX) * scaleX), bottom - ((s.YMm - fromY) * scaleY));
        var marks = new List<Mark> { new BoxMark(left - 34, 12, fieldWidth + 68, bottom + 22, Stroke.Chain, Blank: false) };
        foreach (var side in model.Contacts.GroupBy(c => c.Weight > 0))
        {
            var points = side.Select(At).ToArray();
            for (var i = 0; i < points.Length; i++)
            {
                for (var j = i + 1; j < points.Length; j++)
                {
                    marks.Add(new LineMark(points[i].X, points[i].Y, points[j].X, points[j].Y, Stroke.DoubleDotted));
                }
            }
        }

        var taken = new List<(double X, double Y, double HalfWidth)>();
        var written = new HashSet<string>(StringComparer.Ordinal);
        foreach (var station in model.Stations.OrderBy(s => s.Weight is not null ? 0 : s.Extreme ? 1 : 2))
        {
            var (x, y) = At(station);
            var must = station.Weight is not null || station.Extreme;
            var radius = Math.Max(12.5, (Marks.WidthOf(station.Number, Drawing.SmallLettering) / 2) + 3);
            var half = Math.Max(radius + 4, Marks.WidthOf(station.Text, Drawing.Lettering) / 2);
            if (!must && taken.Exists(t => Math.Abs(t.X - x) < t.HalfWidth + half && Math.Abs(t.Y - y) < 44))
            {
                marks.Add(new CircleMark(x, y, 3, Stroke.Mid));
                continue;
            }

            taken.Add((x, y, half));
            written.Add(station.Station);
            if (station.Hatched)
            {
                marks.Add(new BoxMark(x - half - 3, y + radius + 4, (2 * half) + 6, 20, Stroke.Thin));
                marks.AddRange(Marks.Hatch(x - half - 3, y + radius + 4, (2 * half) + 6, 20));
            }

            marks.AddRange(Marks.Balloon(x, y, radius, station.Number, Drawing.SmallLettering, station.Weight is not null));
            marks.Add(new TextMark(x, y + radius + 19, station.Text, Drawing.Lettering, Anchor.Middle, station.Beyond, Blank: true));
        }

        var height = Legend.Append(marks, model, 14, bottom + 66, Width, $"in {model.Unit};  +X");
        model = model with { Stations = [.. model.Stations.Select(s => s with { Numbered = written.Contains(s.Station) })] };
        return new Drawing(Width, height, $"Deviations at the stations in plan, in {model.Unit}", model.Describe(), [.. marks]);
    }
}

/// <summary>What the signs of a map mean, and the direction of travel.</summary>
internal static class Legend
{
    /// <summary>Adds the legend; the answer is the height the drawing then has.</summary>
    /// <param name="says">What stands at its right end: the unit, and the direction of travel or the scale of heights.</param>
    /// <param name="travel">An arrow follows it.</param>
    /// <param name="lines">The drawing joins contacts by lines.</param>
    public static double Append(List<Mark> marks, MapModel model, double x, double y, double width, string says, bool travel = true, bool lines = true)
    {
        var size = Drawing.Lettering;
        var left = x;
        if (model.Stations.Any(s => s.Hatched))
        {
            marks.Add(new BoxMark(left, y - 14, 18, 16, Stroke.Mid));
            marks.AddRange(Marks.Hatch(left, y - 14, 18, 16));
            Say("beyond the limit, proved", 26);
        }

        var contacts = model.Contacts.ToArray();
        if (contacts.Length > 0)
        {
            marks.Add(new CircleMark(left + 11, y - 6, 11, Stroke.Mid));
            marks.Add(new CircleMark(left + 11, y - 6, 7.5, Stroke.Mid));
            Say(contacts.Length == 1 ? $"contact: this place fixes {model.What}" : $"contact: these {Count(contacts.Length)} fix {model.What}", 30);
        }

        if (lines && contacts.Length > 2)
        {
            marks.Add(new LineMark(left, y - 6, left + 44, y - 6, Stroke.DoubleDotted));
            Say("high to high, low to low", 54);
        }

        // Where the signs leave no room, it stands a line lower.
        var right = width - 12 - (travel ? 72 : 0);
        if (left > right - Marks.WidthOf(says, size))
        {
            y += 26;
        }

        if (travel)
        {
            marks.Add(new LineMark(right + 10, y - 6, right + 72, y - 6, Stroke.Thin));
            marks.Add(Marks.ArrowHead(right + 72, y - 6, 1, 0));
        }

        marks.Add(new TextMark(right, y, says, size, Anchor.End));
        return y + 12;

        static string Count(int n) => n switch { 2 => "two", 3 => "three", 4 => "four", _ => n.ToString(System.Globalization.CultureInfo.InvariantCulture) };

        void Say(string words, double indent)
        {
            marks.Add(new TextMark(left + indent, y, words, size, Inclined: false));
            left += indent + Marks.WidthOf(words, size) + 22;
        }
    }
}
