namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Short loops of a large net: the net grows edge by edge, and each edge that joins what hangs together already closes a loop by the shortest way there is at that moment.</summary>
/// <remarks>Each loop has an edge that none before it has, so they are independent. They are not always the shortest set; in a grid they are its cells.</remarks>
internal sealed class GrownLoops((int From, int To)[] edges, int[][] at)
{
    /// <summary>Edges looked at on all searches together; beyond it the loops left are closed along the tree.</summary>
    private const int LargestSearch = 50_000_000;

    private readonly int[] _tree = new int[at.Length];
    private readonly int[] _depth = new int[at.Length];
    private readonly bool[] _placed = new bool[edges.Length];
    private readonly bool[] _grown = new bool[at.Length];

    // Two searches towards each other: +n from the one end, −n from the other, in the n-th search.
    private readonly int[] _side = new int[at.Length];
    private readonly int[] _by = new int[at.Length];
    private int[] _near = new int[at.Length];
    private int[] _far = new int[at.Length];
    private int _searches;
    private int _looked;

    /// <summary>Loops as edges in no order.</summary>
    public List<int[]> Find()
    {
        List<int[]> loops = [];
        var order = new int[at.Length];
        var reached = new bool[at.Length];
        reached[0] = true;
        _tree[0] = -1;
        var count = 1;
        for (var k = 0; k < order.Length; k++)
        {
            var point = order[k];
            foreach (var e in at[point])
            {
                var other = Other(e, point);
                if (!reached[other])
                    (order[count++], reached[other], _tree[other], _depth[other]) = (other, true, e, _depth[point] + 1);
            }

            // The tree's edge first: it joins the point to what is there.
            if (_tree[point] >= 0)
                _placed[_tree[point]] = true;
            foreach (var e in at[point])
            {
                var other = Other(e, point);
                if (_placed[e] || !_grown[other])
                    continue;
                loops.Add(_looked < LargestSearch ? Close(e) : AlongTree(e));
                _placed[e] = true;
            }

            _grown[point] = true;
        }

        return loops;
    }

    private int[] Close(int edge)
    {
        var (a, b) = edges[edge];
        _searches++;
        (_side[a], _side[b]) = (_searches, -_searches);
        (_by[a], _by[b]) = (-1, -1);
        (_near[0], _far[0]) = (a, b);
        int nearCount = 1, farCount = 1, side = _searches;
        while (true)
        {
            // The smaller rim grows.
            if (nearCount > farCount)
                (_near, _far, nearCount, farCount, side) = (_far, _near, farCount, nearCount, -side);
            var meeting = Grow(ref nearCount, side);
            if (meeting >= 0)
                return Way(edge, meeting);
        }
    }

    private int Grow(ref int count, int side)
    {
        List<int> next = [];
        for (var k = 0; k < count; k++)
        {
            var point = _near[k];
            foreach (var e in at[point])
            {
                _looked++;
                if (!_placed[e] || e == _by[point])
                    continue;
                var other = Other(e, point);
                if (_side[other] == -side)
                    return e;
                if (_side[other] == side)
                    continue;
                (_side[other], _by[other]) = (side, e);
                next.Add(other);
            }
        }

        count = next.Count;
        next.CopyTo(_near);
        return -1;
    }

    private int[] Way(int edge, int meeting)
    {
        List<int> loop = [edge, meeting];
        Back(edges[meeting].From, loop);
        Back(edges[meeting].To, loop);
        return [.. loop];
    }

    private void Back(int point, List<int> loop)
    {
        for (; _by[point] >= 0; point = Other(_by[point], point))
            loop.Add(_by[point]);
    }

    private int[] AlongTree(int edge)
    {
        var (a, b) = edges[edge];
        List<int> loop = [edge];
        while (a != b)
        {
            ref var deeper = ref _depth[a] >= _depth[b] ? ref a : ref b;
            loop.Add(_tree[deeper]);
            deeper = Other(_tree[deeper], deeper);
        }

        return [.. loop];
    }

    private int Other(int edge, int point) => edges[edge].From == point ? edges[edge].To : edges[edge].From;
}
