using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Straightness;

/// <summary>Minimum zone of stations along a line: smallest over the edges of the upper and the lower hull.</summary>
/// <remarks>The range of z − s·u is convex in s with its corners at the slopes of hull edges, so one of them is the least: exact, no iteration.</remarks>
internal sealed class LineZone
{
    /// <summary>A station this near to the zone (relative) touches it.</summary>
    private const double Touching = 1e-10;

    private readonly double[] _u;
    private readonly double[] _rest;
    private readonly List<int> _upper;
    private readonly List<int> _lower;

    /// <param name="u">Positions, strictly increasing.</param>
    /// <param name="rest">Heights less any line, for their digits.</param>
    public LineZone(double[] u, double[] rest)
    {
        _u = u;
        _rest = rest;
        _upper = Hull(1);
        _lower = Hull(-1);
    }

    /// <summary>Smallest width along the height.</summary>
    public double Width { get; private set; } = double.PositiveInfinity;

    /// <summary>Smallest width across.</summary>
    public double Across { get; private set; } = double.PositiveInfinity;

    /// <summary>Slope of the zone, µm per unit of u, on top of the line taken out.</summary>
    public double Slope { get; private set; }

    /// <summary>Tries every edge.</summary>
    /// <param name="ratio">From the slope of an edge (µm per unit of u) to the whole slope as a pure number.</param>
    public void Solve(Func<double, double> ratio)
    {
        foreach (var hull in (List<int>[])[_upper, _lower])
        {
            for (var k = 0; k + 1 < hull.Count; k++)
            {
                var slope = Edge(hull, k);
                var width = At(Top(slope), slope) - At(Bottom(slope), slope);
                var pure = ratio(slope);
                Across = Math.Min(Across, width / Math.Sqrt(1 + (pure * pure)));
                if (width < Width)
                    (Width, Slope) = (width, slope);
            }
        }
    }

    /// <summary>The contacts with the lowest indices: the highest index as low as can be, then the second, then the third.</summary>
    /// <param name="floor">What rounding of the heights can pretend, µm.</param>
    /// <param name="indexOf">Index in the input of each station in order of position.</param>
    public ImmutableArray<ContactPlace> Contacts(double floor, int[] indexOf)
    {
        double top = At(Top(Slope), Slope), bottom = At(Bottom(Slope), Slope), near = (Touching * Width) + floor;
        List<(int Index, int Place, bool High)> touching = [];
        for (var i = 0; i < _u.Length; i++)
        {
            var height = At(i, Slope);
            if (top - height <= near)
                touching.Add((indexOf[i], i, true));
            else if (height - bottom <= near)
                touching.Add((indexOf[i], i, false));
        }

        touching.Sort();
        List<(int Index, int Place, bool High)> chosen = [];
        while (chosen.Count < 3 && touching.Count > 0)
        {
            // The shortest beginning of the list that, with those chosen already, still proves the zone.
            var span = new Extent(_u);
            foreach (var one in chosen)
                span.Take(one.Place, one.High);
            var last = 0;
            while (last < touching.Count && !span.Overlap)
            {
                span.Take(touching[last].Place, touching[last].High);
                last++;
            }

            if (last == 0)
                break;
            chosen.Add(touching[last - 1]);
            touching.RemoveRange(last - 1, touching.Count - last + 1);
        }

        return Weighted(chosen);
    }

    private ImmutableArray<ContactPlace> Weighted(List<(int Index, int Place, bool High)> chosen)
    {
        if (chosen.Count != 3)
            return [];
        var pairIsHigh = chosen.Count(c => c.High) == 2;
        var pair = chosen.Where(c => c.High == pairIsHigh).OrderBy(c => c.Place).ToArray();
        var middle = chosen.Single(c => c.High != pairIsHigh);
        var sign = pairIsHigh ? 1 : -1;
        double a = _u[pair[0].Place], b = _u[pair[1].Place], c = _u[middle.Place];
        ContactPlace[] places =
        [
            new(pair[0].Index, sign * (b - c) / (b - a)), new(pair[1].Index, sign * (c - a) / (b - a)), new(middle.Index, -sign),
        ];
        return [.. places.OrderBy(p => p.Weight < 0).ThenBy(p => p.Index)];
    }

    private double At(int i, double slope) => _rest[i] - (slope * _u[i]);

    private double Edge(List<int> hull, int k) => (_rest[hull[k + 1]] - _rest[hull[k]]) / (_u[hull[k + 1]] - _u[hull[k]]);

    private int Top(double slope) => Extreme(_upper, slope, -1);

    private int Bottom(double slope) => Extreme(_lower, slope, 1);

    /// <summary>The corner of a hull that stands out most from lines of a slope: edge slopes fall along the upper hull and rise along the lower.</summary>
    private int Extreme(List<int> hull, double slope, int rising)
    {
        int low = 0, high = hull.Count - 1;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (rising * (Edge(hull, middle) - slope) >= 0)
                high = middle;
            else
                low = middle + 1;
        }

        return hull[low];
    }

    private List<int> Hull(int side)
    {
        List<int> hull = [];
        for (var i = 0; i < _u.Length; i++)
        {
            while (hull.Count > 1 && side * Turn(hull[^2], hull[^1], i) >= 0)
                hull.RemoveAt(hull.Count - 1);
            hull.Add(i);
        }

        return hull;
    }

    private double Turn(int a, int b, int c) =>
        ((_u[b] - _u[a]) * (_rest[c] - _rest[a])) - ((_u[c] - _u[a]) * (_rest[b] - _rest[a]));

    /// <summary>Extent of high and of low contacts. Where the two overlap, one of the ends lies between the other two: three contacts.</summary>
    private struct Extent(double[] u)
    {
        private double _leastHigh = double.PositiveInfinity, _mostHigh = double.NegativeInfinity;
        private double _leastLow = double.PositiveInfinity, _mostLow = double.NegativeInfinity;

        public readonly bool Overlap => _leastHigh < _mostLow && _leastLow < _mostHigh;

        public void Take(int place, bool high)
        {
            if (high)
                (_leastHigh, _mostHigh) = (Math.Min(_leastHigh, u[place]), Math.Max(_mostHigh, u[place]));
            else
                (_leastLow, _mostLow) = (Math.Min(_leastLow, u[place]), Math.Max(_mostLow, u[place]));
        }
    }
}
