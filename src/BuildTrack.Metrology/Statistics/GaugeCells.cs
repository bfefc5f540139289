namespace BuildTrack.Metrology.Statistics;

/// <summary>Readings of a crossed study in order, as differences from their grand mean.</summary>
internal sealed class GaugeCells
{
    private readonly double[,,] _values;
    private readonly double[,] _cells;
    private readonly double[] _parts;
    private readonly double[] _appraisers;

    private GaugeCells(double[,,] values, double largestSize)
    {
        _values = values;
        LargestSize = largestSize;
        (_cells, _parts, _appraisers) = (new double[Parts, Appraisers], new double[Parts], new double[Appraisers]);
        var grand = Mean(0, Parts, 0, Appraisers);
        for (var i = 0; i < Parts; i++)
        {
            for (var j = 0; j < Appraisers; j++)
            {
                for (var t = 0; t < Trials; t++)
                    values[i, j, t] -= grand;
            }
        }

        for (var i = 0; i < Parts; i++)
        {
            _parts[i] = Mean(i, i + 1, 0, Appraisers);
            for (var j = 0; j < Appraisers; j++)
                _cells[i, j] = Mean(i, i + 1, j, j + 1);
        }

        for (var j = 0; j < Appraisers; j++)
            _appraisers[j] = Mean(0, Parts, j, j + 1);
    }

    public int Parts => _values.GetLength(0);

    public int Appraisers => _values.GetLength(1);

    public int Trials => _values.GetLength(2);

    /// <summary>Largest size of a reading as it was given: the scale of its rounding.</summary>
    public double LargestSize { get; }

    public double this[int part, int appraiser, int trial] => _values[part, appraiser, trial];

    public double PartMean(int part) => _parts[part];

    public double AppraiserMean(int appraiser) => _appraisers[appraiser];

    public double CellMean(int part, int appraiser) => _cells[part, appraiser];

    public double CellRange(int part, int appraiser)
    {
        double low = _values[part, appraiser, 0], high = low;
        for (var t = 1; t < Trials; t++)
            (low, high) = (Math.Min(low, _values[part, appraiser, t]), Math.Max(high, _values[part, appraiser, t]));
        return high - low;
    }

    /// <summary>Parts, appraisers and trials in the order of their first reading, or why they are no crossed study.</summary>
    public static (GaugeCells? Cells, string? Defect) Of(IReadOnlyList<GaugeReading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        if (readings.Count > GaugeStudy.MostReadings)
            Guard.ThrowOutOfRange(readings.Count, "number of readings", "at most 100 000");
        var (parts, appraisers, trials) = (
            new Dictionary<string, int>(StringComparer.Ordinal), new Dictionary<string, int>(StringComparer.Ordinal), new Dictionary<int, int>());
        var found = new Dictionary<(int, int, int), double>();
        foreach (var reading in readings)
        {
            ArgumentNullException.ThrowIfNull(reading, nameof(readings));
            if (string.IsNullOrWhiteSpace(reading.Part) || string.IsNullOrWhiteSpace(reading.Appraiser))
                throw new ArgumentException("A reading has no part or no appraiser; each needs both names.", nameof(readings));
            var name = FormattableString.Invariant($"reading of part '{reading.Part}' by '{reading.Appraiser}', trial {reading.Trial}");
            if (Math.Abs(Guard.Finite(reading.Value, name)) > IndividualsChart.LargestNumber)
                Guard.ThrowOutOfRange(reading.Value, name, "within ±10¹²");
            if (!found.TryAdd((Place(parts, reading.Part), Place(appraisers, reading.Appraiser), Place(trials, reading.Trial)), reading.Value))
                throw new ArgumentException($"The {name} stands twice; it must stand once.", nameof(readings));
        }

        if (Defect(parts, appraisers, trials, found) is { } sentence)
            return (null, sentence);
        var values = new double[parts.Count, appraisers.Count, trials.Count];
        foreach (var ((i, j, t), value) in found)
            values[i, j, t] = value;
        return (new GaugeCells(values, readings.Max(r => Math.Abs(r.Value))), null);
    }

    private static int Place<T>(Dictionary<T, int> places, T name)
        where T : notnull
    {
        if (places.TryGetValue(name, out var place))
            return place;
        places.Add(name, places.Count);
        return places.Count - 1;
    }

    private static string? Defect(
        Dictionary<string, int> parts, Dictionary<string, int> appraisers, Dictionary<int, int> trials, Dictionary<(int, int, int), double> found)
    {
        if (found.Count == 0)
            return "There are no readings.";
        foreach (var (count, what) in new[] { (parts.Count, "part"), (appraisers.Count, "appraiser"), (trials.Count, "trial") })
        {
            if (count < 2)
                return $"There is one {what} only; a study needs two or more.";
        }

        // A long product first: names without order could ask for a table of a thousand million cells.
        if ((long)parts.Count * appraisers.Count * trials.Count == found.Count)
            return null;
        var (part, appraiser, trial) =
            (from p in parts from a in appraisers from t in trials where !found.ContainsKey((p.Value, a.Value, t.Value)) select (p.Key, a.Key, t.Key)).First();
        return FormattableString.Invariant($"The reading of part '{part}' by '{appraiser}', trial {trial}, is missing; a crossed study needs every one.");
    }

    private double Mean(int part, int toPart, int appraiser, int toAppraiser)
    {
        double first = _values[part, appraiser, 0], sum = 0;
        for (var i = part; i < toPart; i++)
        {
            for (var j = appraiser; j < toAppraiser; j++)
            {
                for (var t = 0; t < Trials; t++)
                    sum += _values[i, j, t] - first;
            }
        }

        return first + (sum / ((toPart - part) * (toAppraiser - appraiser) * Trials));
    }
}
