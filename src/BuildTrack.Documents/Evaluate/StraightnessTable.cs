using System.Globalization;
using BuildTrack.Metrology.Straightness;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Reads heights or readings, run by run.</summary>
/// <remarks>Readings without a position are in the order of the stations toward +X, whichever way the level travelled.</remarks>
internal sealed class StraightnessTable(TextReader csv, string fileName, double? baseMm, bool baseGiven)
{
    /// <summary>No level shows more, in µm/m or arcsec: 45°.</summary>
    private const double LargestReading = 1e6;

    /// <summary>Stations of two runs this near are one, mm; and so far may a base miss the end of the one before.</summary>
    private const double SamePlaceMm = 0.001;

    private readonly PointTable table = new(csv, fileName);

    private readonly List<EvaluationFault> faults = [];

    private readonly List<Rows> rows = [];

    private int position, value, run, direction, arrow;

    private bool readings, arcsec;

    public IEnumerable<EvaluationFault> Faults => table.Faults.Concat(faults);

    public List<StraightnessPass> Passes { get; } = [];

    /// <summary>The base where the table holds readings.</summary>
    public double? StepMm => readings ? baseMm : null;

    /// <summary>False where there are faults.</summary>
    public bool Read()
    {
        if (!table.ReadHeader() || !Columns())
        {
            return false;
        }

        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            Take(row);
        }

        if (table.Faults.Count > 0)
        {
            return false;
        }

        Passes.AddRange(rows.Select(Pass).OfType<StraightnessPass>());
        foreach (var pass in Passes.Skip(1).Where(p => !SameStations(Passes[0], p)))
        {
            faults.Add(new EvaluationFault(fileName, pass.LastLine, 1, $"other stations in {pass.Name}", $"the {Passes[0].PositionsMm.Length} stations of {Passes[0].Name}"));
        }

        return faults.Count == 0;
    }

    private bool Columns()
    {
        (run, direction, arrow, position) = (table.Find("run"), table.Find("direction"), table.Find("arrow"), table.Find("position_mm"));
        string[] known = [.. ((string[])["height_um", "reading_um_per_m", "reading_arcsec"]).Where(n => table.Find(n) >= 0)];
        if (known.Length > 1)
        {
            faults.Add(new EvaluationFault(fileName, table.Line, 1, string.Join(" and ", known), "one of them"));
            return false;
        }

        value = known.Length == 1 ? table.Find(known[0]) : table.Need("height_um", "a column height_um, or reading_um_per_m or reading_arcsec with --base-mm");
        readings = known.Length == 1 && known[0] != "height_um";
        arcsec = known.Length == 1 && known[0] == "reading_arcsec";
        if (!readings && known.Length == 1)
        {
            position = table.Need("position_mm", "a column position_mm");
        }

        if (readings && !baseGiven)
        {
            faults.Add(new EvaluationFault("--base-mm", null, null, "nothing", "the base of the level in mm, since the table holds readings"));
        }

        if (!readings && baseGiven && known.Length == 1)
        {
            faults.Add(new EvaluationFault("--base-mm", null, null, "a base with a table of heights", "readings (reading_um_per_m or reading_arcsec), or no base"));
        }

        return table.Faults.Count == 0 && faults.Count == 0;
    }

    private void Take(Field[] row)
    {
        if (!table.RightLength(row))
        {
            return;
        }

        double at = 0;
        var unit = arcsec ? "arcsec" : readings ? "µm/m" : "µm";
        var good = (position < 0 || Within(row, position, "mm", LevelReadings.LargestNumber, out at))
            & Within(row, value, unit, readings ? LargestReading : LevelReadings.LargestNumber, out var number);
        good &= Word(row, direction, "direction", "+ or -", ["+", "+x", "out"], ["-", "-x", "back"], out var back)
            & Word(row, arrow, "arrow", "+X or -X", ["+x", "+"], ["-x", "-"], out var towardMinus);
        if (!good)
        {
            return;
        }

        var name = run >= 0 && run < row.Length ? row[run].Text : "";
        var target = rows.FirstOrDefault(r => r.Run == name && r.Back == back);
        if (target is null)
        {
            rows.Add(target = new Rows(name, back));
        }

        if (position >= 0 && !target.Seen.Add(at))
        {
            table.Fault(row[position], $"the position {row[position].Text} mm a second time in {target.Name}", "each station once in a run and direction");
            return;
        }

        var rise = arcsec ? LevelReadings.FromArcsec([number])[0] : number;
        target.Points.Add((at, LevelReadings.TowardPlusX(rise, towardMinus ? LevelArrow.TowardMinusX : LevelArrow.TowardPlusX), table.Line));
    }

    private StraightnessPass? Pass(Rows pass)
    {
        var points = position >= 0 ? pass.Points.OrderBy(p => p.At).ToList() : pass.Points;
        if (!readings)
        {
            return new StraightnessPass(pass.Name, pass.Back, pass.Points[^1].Line, [.. points.Select(p => p.At)], [.. points.Select(p => p.Value)]);
        }

        // A base that is no length is a fault already.
        if (baseMm is not { } step)
        {
            return null;
        }

        for (var i = 1; position >= 0 && i < points.Count; i++)
        {
            if (Math.Abs(points[i].At - points[0].At - (i * step)) > SamePlaceMm)
            {
                faults.Add(new EvaluationFault(fileName, points[i].Line, 1, Invariant($"a reading at {points[i].At} mm"), Invariant($"the next base at {points[0].At + (i * step)} mm")));
                return null;
            }
        }

        return new StraightnessPass(
            pass.Name, pass.Back, pass.Points[^1].Line, [.. LevelReadings.PositionsMm(points.Count, step).Select(p => p + points[0].At)],
            LevelReadings.HeightsUm([.. points.Select(p => p.Value)], step));
    }

    private bool Within(Field[] row, int index, string unit, double largest, out double number)
    {
        if (!table.Number(row, index, unit, out number))
        {
            return false;
        }

        if (Math.Abs(number) <= largest)
        {
            return true;
        }

        table.Fault(row[index], $"'{row[index].Text}'", string.Create(CultureInfo.InvariantCulture, $"a number within ±{largest:R} {unit}"));
        return false;
    }

    private bool Word(Field[] row, int index, string name, string expected, string[] plus, string[] minus, out bool isMinus)
    {
        isMinus = false;
        if (index < 0)
        {
            return true;
        }

        var text = (index < row.Length ? row[index].Text : "").Replace('−', '-').ToLowerInvariant();
        isMinus = minus.Contains(text);
        if (isMinus || plus.Contains(text))
        {
            return true;
        }

        table.Fault(index < row.Length ? row[index] : row[^1], text.Length == 0 ? "nothing" : $"'{row[index].Text}'", $"{expected} for {name}");
        return false;
    }

    private static bool SameStations(StraightnessPass one, StraightnessPass other) =>
        one.PositionsMm.Length == other.PositionsMm.Length && one.PositionsMm.Zip(other.PositionsMm).All(p => Math.Abs(p.First - p.Second) <= SamePlaceMm);

    private sealed record Rows(string Run, bool Back)
    {
        public HashSet<double> Seen { get; } = [];

        public List<(double At, double Value, long Line)> Points { get; } = [];

        public string Name => (Run.Length > 0 ? $"run {Run}, " : "") + (Back ? "direction -" : "direction +");
    }
}
