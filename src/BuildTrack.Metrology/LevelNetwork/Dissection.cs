namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The order in which points are eliminated: nested dissection, halves before the points that part them.</summary>
/// <remarks>A. George, 1973; the parting points are a level of distances from a point at the end of the net (A. George, J. W. H. Liu, 1978).
/// What is eliminated together is a <see cref="Front"/>; fronts stand parents first, each parent followed by all that leads to it.</remarks>
internal sealed class Dissection
{
    /// <summary>Up to this many points are eliminated together without being parted further.</summary>
    private const int LargestLeaf = 16;

    /// <summary>Rows of 400 MB.</summary>
    private const long LargestEntries = 50_000_000;

    private readonly NetworkLayout _layout;
    private readonly int[] _order;
    private readonly int[] _queue;
    private readonly int[] _level;
    private readonly int[] _seen;
    private readonly List<Front> _fronts = [];
    private readonly Stack<(int Low, int High, Front? Parent)> _open = new();
    private int _sweep;

    /// <param name="layout">Points that hang together, once the datum's points count as one.</param>
    /// <param name="datum">Points that are one with the datum.</param>
    public Dissection(NetworkLayout layout, ReadOnlySpan<bool> datum)
    {
        _layout = layout;
        var count = 0;
        Position = new int[datum.Length];
        _order = new int[datum.Length];
        for (var p = 0; p < datum.Length; p++)
        {
            if (!datum[p])
                _order[Position[p] = count++] = p;
        }

        Datum = count;
        for (var p = 0; p < datum.Length; p++)
        {
            if (datum[p])
                Position[p] = count;
        }

        (_queue, _level, _seen) = (new int[count], new int[datum.Length], new int[datum.Length]);
        _open.Push((0, count, null));
        while (_open.TryPop(out var part))
            Divide(part.Low, part.High, part.Parent);
        Gather();
    }

    /// <summary>Position of each point in the order of elimination.</summary>
    public int[] Position { get; }

    /// <summary>The position of the datum: after all others.</summary>
    public int Datum { get; }

    /// <summary>Parents before children.</summary>
    public IReadOnlyList<Front> Fronts => _fronts;

    /// <summary>Numbers that the rows of all points take.</summary>
    public long Entries { get; private set; }

    /// <summary>More rows than can be held.</summary>
    public bool TooLarge => Entries > LargestEntries;

    /// <summary>What the elimination takes at most, in multiplications: for each point its front's size squared.</summary>
    public long Work { get; private set; }

    private void Divide(int low, int high, Front? parent)
    {
        if (high == low)
            return;
        if (high - low <= LargestLeaf)
        {
            _fronts.Add(new Front(low, high - low, parent));
            return;
        }

        var part = Component(low, high);
        if (part < high - low)
        {
            // Small parts go together, or a star would give a front for each of its rays.
            while (part < high - low && Component(low + part, high) is var next && part + next <= LargestLeaf)
                part += next;
            _open.Push((low + part, high, parent));
            _open.Push((low, low + part, parent));
            return;
        }

        // From a far point to the farthest from it: long and narrow levels.
        Sweep(Sweep(_queue[part - 1], low, high).Last, low, high);
        if (_level[_queue[part - 1]] < 2)
            _fronts.Add(new Front(low, part, parent));
        else
            Part(low, high, Level(part), parent);
    }

    /// <summary>Takes the points around the first one to the front of the part, and counts them.</summary>
    private int Component(int low, int high)
    {
        var count = Sweep(_order[low], low, high).Count;
        for (var i = 0; i < count; i++)
            Swap(low + i, Position[_queue[i]]);
        return count;
    }

    private void Swap(int i, int j)
    {
        (_order[i], _order[j]) = (_order[j], _order[i]);
        (Position[_order[i]], Position[_order[j]]) = (i, j);
    }

    private (int Count, int Last) Sweep(int start, int low, int high)
    {
        _sweep++;
        (_queue[0], _level[start], _seen[start]) = (start, 0, _sweep);
        var count = 1;
        for (var k = 0; k < count; k++)
        {
            var point = _queue[k];
            foreach (var other in _layout.Beside(point))
            {
                if (_seen[other] == _sweep || Position[other] < low || Position[other] >= high)
                    continue;
                (_queue[count++], _level[other], _seen[other]) = (other, _level[point] + 1, _sweep);
            }
        }

        return (count, _queue[count - 1]);
    }

    /// <summary>The level with the fewest points for what it cuts off.</summary>
    private int Level(int count)
    {
        int best = 1, begin = 1;
        var least = double.PositiveInfinity;
        for (var level = 1; level < _level[_queue[count - 1]]; level++)
        {
            var end = begin;
            while (_level[_queue[end]] == level)
                end++;
            var cost = (end - begin) / (double)Math.Min(begin, count - end);
            if (cost < least)
                (least, best) = (cost, level);
            begin = end;
        }

        return best;
    }

    private void Part(int low, int high, int level, Front? parent)
    {
        // In place: what is nearer, what is farther, and last the points between.
        int near = low, far = high;
        Span<int> between = new int[high - low];
        var count = 0;
        for (var k = 0; k < high - low; k++)
        {
            var point = _queue[k];
            if (_level[point] > level)
                _order[--far] = point;
            else if (_level[point] == level && Borders(point, level + 1, low, high))
                between[count++] = point;
            else
                _order[near++] = point;
        }

        _order.AsSpan(far, high - far).CopyTo(_order.AsSpan(near));
        between[..count].CopyTo(_order.AsSpan(high - count));
        for (var i = low; i < high; i++)
            Position[_order[i]] = i;
        var front = new Front(high - count, count, parent);
        _fronts.Add(front);
        _open.Push((low, near, front));
        _open.Push((near, high - count, front));
    }

    private bool Borders(int point, int level, int low, int high)
    {
        foreach (var other in _layout.Beside(point))
        {
            if (Position[other] >= low && Position[other] < high && _level[other] == level)
                return true;
        }

        return false;
    }

    /// <summary>What each front is joined to when its turn comes.</summary>
    private void Gather()
    {
        var rests = new Dictionary<Front, List<int>>(ReferenceEqualityComparer.Instance);
        var marked = new int[Datum];
        for (var k = _fronts.Count - 1; k >= 0; k--)
        {
            var front = _fronts[k];
            List<int> rest = [];
            for (var i = front.First; i < front.End; i++)
            {
                foreach (var other in _layout.Beside(_order[i]))
                    Add(Position[other]);
            }

            if (rests.Remove(front, out var handed))
            {
                foreach (var position in handed)
                    Add(position);
            }

            rest.Sort();
            front.TakeRest([.. rest]);
            if (front.Parent is { } parent)
            {
                if (rests.TryGetValue(parent, out var others))
                    others.AddRange(rest);
                else
                    rests.Add(parent, rest);
            }

            void Add(int position)
            {
                if (position < front.End || position == Datum || marked[position] == k + 1)
                    return;
                marked[position] = k + 1;
                rest.Add(position);
            }
        }

        foreach (var front in _fronts)
        {
            if (Entries > LargestEntries)
                return;
            front.Place((int)Entries);
            Entries += (long)front.Count * front.Stride;
            Work += (long)front.Count * front.Size * front.Size;
        }
    }
}
