namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Points and lines by number, in the order in which they appear, and what is joined to what.</summary>
internal sealed class NetworkLayout
{
    private readonly List<(int Edge, int Other)>[] _at;

    public NetworkLayout(IReadOnlyList<LevelObservation> observations, IReadOnlyDictionary<string, double> fixedUm)
    {
        var numbers = new Dictionary<string, int>(StringComparer.Ordinal);
        var lines = new Dictionary<string, int>(StringComparer.Ordinal);
        From = new int[observations.Count];
        To = new int[observations.Count];
        Line = new int[observations.Count];
        for (var i = 0; i < observations.Count; i++)
        {
            From[i] = Number(numbers, observations[i].From);
            To[i] = Number(numbers, observations[i].To);
            Line[i] = observations[i].Line is { } line ? Number(lines, line) : -1;
        }

        Points = [.. numbers.OrderBy(n => n.Value).Select(n => n.Key)];
        Lines = [.. lines.OrderBy(n => n.Value).Select(n => n.Key)];
        Fixed = [.. Points.Select(p => fixedUm.TryGetValue(p, out var height) ? height : (double?)null)];
        _at = [.. Points.Select(_ => new List<(int, int)>())];
        for (var i = 0; i < From.Length; i++)
        {
            _at[From[i]].Add((i, To[i]));
            _at[To[i]].Add((i, From[i]));
        }
    }

    public int[] From { get; }

    public int[] To { get; }

    /// <summary>Line of each observation, −1 for none.</summary>
    public int[] Line { get; }

    public string[] Points { get; }

    public string[] Lines { get; }

    public double?[] Fixed { get; }

    public bool Free => Array.TrueForAll(Fixed, f => f is null);

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
                foreach (var (_, other) in _at[part[k]])
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
            foreach (var (edge, other) in _at[point])
            {
                if (known[other])
                    continue;
                heights[other] = heights[point] + (From[edge] == point ? observations[edge].RiseUm : -observations[edge].RiseUm);
                known[other] = true;
                queue.Enqueue(other);
            }
        }

        return heights;
    }

    private static int Number(Dictionary<string, int> numbers, string name)
    {
        if (!numbers.TryGetValue(name, out var number))
            numbers.Add(name, number = numbers.Count);
        return number;
    }
}
