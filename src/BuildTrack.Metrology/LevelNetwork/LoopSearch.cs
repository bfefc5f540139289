namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>A set of independent loops; in a net of usual size the shortest such set, in a grid its cells.</summary>
/// <remarks>J. D. Horton, 1987: every loop of a shortest set is made of shortest ways from some point to the two ends of an observation.
/// Candidates are taken short ones first, each that is no sum (modulo 2) of those taken before.</remarks>
internal sealed class LoopSearch
{
    /// <summary>Up to this many candidates are tried; a larger net gets the loops of one tree.</summary>
    private const int LargestSearch = 100_000;

    /// <summary>Up to this many loops are made independent one by one.</summary>
    private const int LargestSet = 600;

    private readonly (int From, int To)[] _edges;
    private readonly List<int>[] _at;

    /// <param name="points">Number of points.</param>
    /// <param name="edges">Joined points; all points hang together.</param>
    public LoopSearch(int points, (int From, int To)[] edges)
    {
        _edges = edges;
        _at = [.. Enumerable.Range(0, points).Select(_ => new List<int>())];
        for (var e = 0; e < edges.Length; e++)
        {
            _at[edges[e].From].Add(e);
            _at[edges[e].To].Add(e);
        }
    }

    private int Wanted => _edges.Length - _at.Length + 1;

    /// <summary>Loops as edges in the order they are passed, starting with the lowest edge in its own direction.</summary>
    public List<List<(int Edge, int Sign)>> Find()
    {
        var all = (long)_at.Length * Wanted <= LargestSearch && Wanted <= LargestSet;
        List<int[]> candidates = [];
        for (var root = 0; root < (all ? _at.Length : 1); root++)
            Candidates(root, all, candidates);
        candidates.Sort(Compare);

        // The loops of one tree are independent: each has an edge that no other has.
        return [.. (all ? Independent(candidates) : candidates).Select(Ordered)];
    }

    private void Candidates(int root, bool disjointOnly, List<int[]> candidates)
    {
        var (by, depth) = Tree(root);
        for (var e = 0; e < _edges.Length; e++)
        {
            var (a, b) = _edges[e];
            if (by[a] == e || by[b] == e)
                continue;
            List<int> loop = [e];
            while (a != b)
            {
                ref var deeper = ref depth[a] >= depth[b] ? ref a : ref b;
                loop.Add(by[deeper]);
                deeper = Other(by[deeper], deeper);
            }

            if (disjointOnly && a != root)
                continue;
            loop.Sort();
            candidates.Add([.. loop]);
        }
    }

    private (int[] By, int[] Depth) Tree(int root)
    {
        int[] by = [.. _at.Select(_ => -1)], depth = new int[_at.Length];
        var seen = new bool[_at.Length];
        seen[root] = true;
        Queue<int> queue = new([root]);
        while (queue.TryDequeue(out var point))
        {
            foreach (var e in _at[point])
            {
                var other = Other(e, point);
                if (seen[other])
                    continue;
                (seen[other], by[other], depth[other]) = (true, e, depth[point] + 1);
                queue.Enqueue(other);
            }
        }

        return (by, depth);
    }

    private List<int[]> Independent(List<int[]> candidates)
    {
        List<int[]> taken = [];
        var rows = new Dictionary<int, ulong[]>();
        foreach (var loop in candidates)
        {
            if (taken.Count == Wanted)
                break;
            var bits = new ulong[(_edges.Length + 63) / 64];
            foreach (var e in loop)
                bits[e / 64] |= 1UL << (e % 64);
            int lead;
            while ((lead = Lead(bits)) >= 0 && rows.TryGetValue(lead, out var row))
            {
                for (var k = 0; k < bits.Length; k++)
                    bits[k] ^= row[k];
            }

            if (lead < 0)
                continue;
            rows.Add(lead, bits);
            taken.Add(loop);
        }

        return taken;
    }

    private List<(int Edge, int Sign)> Ordered(int[] loop)
    {
        var left = new HashSet<int>(loop);
        List<(int Edge, int Sign)> steps = [(loop[0], 1)];
        left.Remove(loop[0]);
        var at = _edges[loop[0]].To;
        while (left.Count > 0)
        {
            var next = _at[at].First(left.Contains);
            left.Remove(next);
            steps.Add((next, _edges[next].From == at ? 1 : -1));
            at = Other(next, at);
        }

        return steps;
    }

    private static int Lead(ulong[] bits)
    {
        for (var k = bits.Length - 1; k >= 0; k--)
        {
            if (bits[k] != 0)
                return (64 * k) + 63 - System.Numerics.BitOperations.LeadingZeroCount(bits[k]);
        }

        return -1;
    }

    private static int Compare(int[] a, int[] b) => a.Length != b.Length ? a.Length.CompareTo(b.Length) : a.AsSpan().SequenceCompareTo(b);

    private int Other(int edge, int point) => _edges[edge].From == point ? _edges[edge].To : _edges[edge].From;
}
