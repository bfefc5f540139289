namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Points and lines by number, in the order in which they appear, and what is joined to what.</summary>
internal sealed class NetworkLayout
{
    private readonly Dictionary<string, int> _numbers = new(StringComparer.Ordinal);
    private readonly int[] _first;
    private readonly int[] _joins;
    private readonly int[] _others;

    public NetworkLayout(IReadOnlyList<LevelObservation> observations, IReadOnlyDictionary<string, double> fixedUm)
    {
        var lines = new Dictionary<string, int>(StringComparer.Ordinal);
        From = new int[observations.Count];
        To = new int[observations.Count];
        Line = new int[observations.Count];
        for (var i = 0; i < observations.Count; i++)
        {
            From[i] = Number(_numbers, observations[i].From);
            To[i] = Number(_numbers, observations[i].To);
            Line[i] = observations[i].Line is { } line ? Number(lines, line) : -1;
        }

        Points = Names(_numbers);
        Lines = Names(lines);
        Fixed = new double?[Points.Length];
        foreach (var (name, height) in fixedUm)
        {
            if (_numbers.TryGetValue(name, out var point))
                Fixed[point] = height;
        }

        _first = new int[Points.Length + 1];
        _joins = new int[2 * From.Length];
        _others = new int[2 * From.Length];
        Join();
    }

    public int[] From { get; }

    public int[] To { get; }

    /// <summary>Line of each observation, −1 for none.</summary>
    public int[] Line { get; }

    public string[] Points { get; }

    public string[] Lines { get; }

    public double?[] Fixed { get; }

    public bool Free => Array.TrueForAll(Fixed, f => f is null);

    public bool Has(string point) => _numbers.ContainsKey(point);

    /// <summary>The other ends of the observations that begin or end at a point, in the order of the input.</summary>
    public ReadOnlySpan<int> Beside(int point) => _others.AsSpan(_first[point], _first[point + 1] - _first[point]);

    /// <summary>The parts that observations join, each by the numbers of its points.</summary>
    public List<List<int>> Parts()
    {
        var seen = new bool[Points.Length];
        List<List<int>> parts = [];
        for (var start = 0; start < Points.Length; start++)
        {
            if (seen[start])
                continue;
            List<int> part = [start];
            seen[start] = true;
            for (var k = 0; k < part.Count; k++)
            {
                foreach (var other in Beside(part[k]))
                {
                    if (seen[other])
                        continue;
                    seen[other] = true;
                    part.Add(other);
                }
            }

            part.Sort();
            parts.Add(part);
        }

        return parts;
    }

    /// <summary>Heights along a tree of observations: the adjustment then works with small numbers and keeps their digits.</summary>
    public double[] Approximate(IReadOnlyList<LevelObservation> observations)
    {
        var heights = new double[Points.Length];
        var known = new bool[Points.Length];
        Queue<int> queue = new();
        for (var i = 0; i < Points.Length; i++)
        {
            if (Fixed[i] is not { } height)
                continue;
            (heights[i], known[i]) = (height, true);
            queue.Enqueue(i);
        }

        if (queue.Count == 0)
        {
            known[0] = true;
            queue.Enqueue(0);
        }

        while (queue.TryDequeue(out var point))
        {
            for (var k = _first[point]; k < _first[point + 1]; k++)
            {
                var (join, other) = (_joins[k], _others[k]);
                if (known[other])
                    continue;
                heights[other] = heights[point] + (From[join] == point ? observations[join].RiseUm : -observations[join].RiseUm);
                known[other] = true;
                queue.Enqueue(other);
            }
        }

        return heights;
    }

    private void Join()
    {
        for (var i = 0; i < From.Length; i++)
        {
            _first[From[i] + 1]++;
            _first[To[i] + 1]++;
        }

        for (var p = 0; p < Points.Length; p++)
            _first[p + 1] += _first[p];
        var next = _first[..^1];
        for (var i = 0; i < From.Length; i++)
        {
            _others[next[From[i]]] = To[i];
            _others[next[To[i]]] = From[i];
            _joins[next[From[i]]++] = i;
            _joins[next[To[i]]++] = i;
        }
    }

    private static string[] Names(Dictionary<string, int> numbers)
    {
        var names = new string[numbers.Count];
        foreach (var (name, number) in numbers)
            names[number] = name;
        return names;
    }

    private static int Number(Dictionary<string, int> numbers, string name)
    {
        if (!numbers.TryGetValue(name, out var number))
            numbers.Add(name, number = numbers.Count);
        return number;
    }
}
