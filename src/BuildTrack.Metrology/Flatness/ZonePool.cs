namespace BuildTrack.Metrology.Flatness;

/// <summary>The few points that can be contacts of a zone, in a frame made for calculation, and the vertical zone they have.</summary>
internal sealed class ZonePool
{
    private const int AtFirst = 96;

    private readonly PlanePlace _base;
    private readonly ZoneFrame _frame;
    private readonly VerticalZone _zone = new();
    private int[] _indices = new int[AtFirst];
    private double[] _columns = new double[3 * AtFirst];
    private int _count;

    public ZonePool(in PlaneMoments moments, BlockScan scan)
    {
        _base = scan.Plane;
        _frame = new ZoneFrame(moments, scan.Plane);
    }

    /// <summary>Levels of the two planes of the pool's zone at the base place, µm above the base plane.</summary>
    public double High { get; private set; }

    public double Low { get; private set; }

    /// <summary>The base plane tilted as the pool's zone is.</summary>
    public PlanePlace Plane { get; private set; }

    /// <summary>How many members there are.</summary>
    public int Count => _count;

    /// <summary>Takes in a point unless it is a member already.</summary>
    public void Join(int index, double x, double y, double z)
    {
        if (_indices.AsSpan(0, _count).Contains(index))
            return;
        if (_count == _indices.Length)
        {
            var (before, columns) = (_count, _columns);
            Array.Resize(ref _indices, 2 * before);
            _columns = new double[6 * before];
            for (var column = 0; column < 3; column++)
                columns.AsSpan(column * before, before).CopyTo(_columns.AsSpan(2 * column * before));
        }

        var size = _indices.Length;
        (_columns[_count], _columns[size + _count]) = _frame.Place(x, y);
        _columns[(2 * size) + _count] = _base.Above(x, y, z);
        _indices[_count++] = index;
    }

    /// <summary>The vertical zone of the members; false where rounding defeated the exchange.</summary>
    public bool Solve()
    {
        var size = _indices.Length;
        _zone.Solve(_columns.AsSpan(0, _count), _columns.AsSpan(size, _count), _columns.AsSpan(2 * size, _count));
        Plane = _frame.Tilted(_zone.SlopeU, _zone.SlopeW);
        (High, Low) = (_zone.High, _zone.Low);
        return _zone.Finished;
    }

    /// <summary>Whether no plane near by can be narrower across.</summary>
    public bool IsPinned() => _zone.IsPinned();

    /// <summary>Turns a plane until the members are no narrower across any plane near by; levels along z in the second part.</summary>
    public (PlanePlace Plane, double High, double Low) Turned(PlanePlace plane, ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z)
    {
        const int mostTurns = 30;
        const double UmPerMm = Length.MicrometresPerMillimetre;
        var n = _count;
        double[] along = new double[n], across = new double[n], heights = new double[n];
        var zone = new VerticalZone();
        var width = double.PositiveInfinity;
        for (var turn = 0; turn < mostTurns; turn++)
        {
            var normal = new Vector3(-plane.AlongX / UmPerMm, -plane.AlongY / UmPerMm, 1).Unit();
            var (first, second) = normal.Across();
            for (var k = 0; k < n; k++)
            {
                var i = _indices[k];
                var place = new Vector3((x[i] - plane.X) * UmPerMm, (y[i] - plane.Y) * UmPerMm, z[i] - plane.Z);
                (along[k], across[k], heights[k]) = (place.Dot(first), place.Dot(second), normal.Z * plane.Above(x[i], y[i], z[i]));
            }

            var frame = PlanFrame.Of(along, across);
            zone.Solve(frame.U, frame.W, heights);
            var (alongFirst, alongSecond) = frame.Slopes(zone.SlopeU, zone.SlopeW);
            var turned = (-alongFirst * first) + (-alongSecond * second) + normal;
            var narrower = zone.Width / turned.Length;
            if (narrower >= width * (1 - (64 * Rounding.Unit)))
                break;
            width = narrower;
            plane = plane with { AlongX = -turned.X / turned.Z * UmPerMm, AlongY = -turned.Y / turned.Z * UmPerMm };
        }

        double high = double.NegativeInfinity, low = double.PositiveInfinity;
        foreach (var i in _indices.AsSpan(0, _count))
        {
            var rest = plane.Above(x[i], y[i], z[i]);
            (high, low) = (Math.Max(high, rest), Math.Min(low, rest));
        }

        return (plane, high, low);
    }

    /// <summary>The proof from the points that touch, block by block in the order of the input.</summary>
    public ZoneProof Proof(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, BlockScan scan, double tolerance)
    {
        var touching = new InBlocks(this, x, y, z, scan, tolerance);
        return ZoneProof.Of(ref touching, scan.Top - scan.Bottom, tolerance);
    }

    private ref struct InBlocks(ZonePool pool, ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, BlockScan scan, double tolerance) : ITouching
    {
        private readonly ReadOnlySpan<double> _x = x, _y = y, _z = z;
        private int _next;

        public void Take(List<PlacedHeight> taken, int wanted)
        {
            while (_next < _x.Length && taken.Count < wanted)
            {
                var block = _next / scan.Size;
                var (begin, count) = scan.Range(block, _x.Length);
                if (scan.Top - scan.Tops[block] > tolerance && scan.Bottoms[block] - scan.Bottom > tolerance)
                {
                    _next = begin + count;
                    continue;
                }

                for (; _next < begin + count && taken.Count < wanted; _next++)
                {
                    var rest = scan.Plane.Above(_x[_next], _y[_next], _z[_next]);
                    if (scan.Top - rest > tolerance && rest - scan.Bottom > tolerance)
                        continue;
                    var (u, w) = pool._frame.Place(_x[_next], _y[_next]);
                    taken.Add(new PlacedHeight(_next, u, w, pool._base.Above(_x[_next], _y[_next], _z[_next])));
                }
            }
        }
    }
}
