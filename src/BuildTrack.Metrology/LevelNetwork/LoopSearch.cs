namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>A set of independent loops: in a net of usual size the shortest such set, in a larger one short loops, in a grid its cells either way.</summary>
/// <remarks>J. D. Horton, 1987: every loop of a shortest set is made of shortest ways from some point to the two ends of an observation.
/// Candidates are taken short ones first, each that is no sum (modulo 2) of those taken before.</remarks>
internal sealed class LoopSearch
{
    /// <summary>Up to this many candidates are tried; a larger net gets the short loops of <see cref="GrownLoops"/>.</summary>
    private const int LargestSearch = 100_000;

    /// <summary>Up to this many edges are looked at to find the shortest ways from every point.</summary>
    private const int LargestNet = 2_000_000;

    /// <summary>Up to this many loops are made independent one by one.</summary>
    private const int LargestSet = 600;

    private readonly (int From, int To)[] _edges;
    private readonly int[][] _at;

    /// <param name="points">Number of points.</param>
    /// <param name="edges">Joined points; all points hang together.</param>
    public LoopSearch(int points, (int From, int To)[] edges)
    {
        _edges = edges;
        var counts = new int[points];
        foreach (var (from, to) in edges)
            (counts[from], counts[to]) = (counts[from] + 1, counts[to] + 1);
        _at = Array.ConvertAll(counts, count => new int[count]);
        for (var e = edges.Length - 1; e >= 0; e--)
        {
            _at[edges[e].From][--counts[edges[e].From]] = e;
            _at[edges[e].To][--counts[edges[e].To]] = e;
        }
    }

    private int Wanted => _edges.Length - _at.Length + 1;

    /// <summary>Which set <see cref="Find"/> gives.</summary>
    public LoopBasis Basis => (long)_at.Length * Wanted <= LargestSearch && Wanted <= LargestSet && (long)_at.Length * _edges.Length <= LargestNet
        ? LoopBasis.Shortest
        : LoopBasis.Grown;

    /// <summary>Loops as edges in the order they are passed, starting with the lowest edge in its own direction; short ones first.</summary>
    public List<(int Edge, int Sign)[]> Find()
    {
        if (Basis == LoopBasis.Shortest)
        {
            List<int[]> candidates = [];
            for (var root = 0; root < _at.Length; root++)
                Candidates(root, candidates);
            candidates.Sort(Compare);
            return Independent(candidates).ConvertAll(Ordered);
        }

        var loops = new GrownLoops(_edges, _at).Find();
        foreach (var loop in loops)
            Array.Sort(loop);
        loops.Sort(Compare);
        return loops.ConvertAll(Ordered);
    }

    private void Candidates(int root, List<int[]> candidates)
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

            if (a != root)
                continue;
            loop.Sort();
            candidates.Add([.. loop]);
        }
    }

    private (int[] By, int[] Depth) Tree(int root)
    {
        int[] by = new int[_at.Length], depth = new int[_at.Length];
        Array.Fill(by, -1);
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

    private (int Edge, int Sign)[] Ordered(int[] loop)
    {
        // Edges already passed are crossed out; a point of a loop has two of its edges.
        var left = loop.AsSpan().ToArray();
        var steps = new (int Edge, int Sign)[loop.Length];
        steps[0] = (loop[0], 1);
        left[0] = -1;
        var at = _edges[loop[0]].To;
        for (var k = 1; k < loop.Length; k++)
        {
            var place = Next(at, loop, left);
            var next = loop[place];
            left[place] = -1;
            steps[k] = (next, _edges[next].From == at ? 1 : -1);
            at = Other(next, at);
        }

        return steps;
    }

    private int Next(int point, int[] loop, int[] left)
    {
        foreach (var e in _at[point])
        {
            if (Array.BinarySearch(loop, e) is var place and >= 0 && left[place] >= 0)
                return place;
        }

        throw new InvalidOperationException("A loop does not close.");
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
