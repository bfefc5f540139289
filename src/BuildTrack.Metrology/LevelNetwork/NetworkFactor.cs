using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The network with its points eliminated one after the other, each replaced by direct joins of its neighbours.</summary>
/// <remarks>
/// <para>Weights of joins are only ever added, multiplied and divided, and what holds a point is the sum of its joins, never a stored diagonal (W. K. Grassmann, M. I. Taksar, D. P. Heyman, 1985):
/// no subtraction, so no digit is lost however far the weights lie apart.</para>
/// <para>On the way back the variances of the differences of joined points take the place of the inverse on its pattern (K. Takahashi, 1973): a redundancy number
/// needs the variance of one difference, and as a difference of three large numbers of the inverse it would have no digits where the datum is far.</para>
/// </remarks>
internal sealed class NetworkFactor
{
    private readonly Dissection _order;

    /// <summary>Weights from each point to those of its front that come later; on the way back, variances of their differences.</summary>
    private readonly double[] _rows;

    /// <summary>1/(sum of the weights of a point's joins) when its turn comes.</summary>
    private readonly double[] _inverse;

    /// <summary>Column of the heaviest join of each point.</summary>
    private readonly int[] _heaviest;

    private readonly int[] _places;

    /// <param name="order">Order of elimination.</param>
    /// <param name="places">Place of each observation (<see cref="Places"/>).</param>
    /// <param name="weights">Weight of each observation.</param>
    public NetworkFactor(Dissection order, int[] places, ReadOnlySpan<double> weights)
    {
        _order = order;
        _places = places;
        _rows = new double[order.Entries];
        _inverse = new double[order.Datum];
        _heaviest = new int[order.Datum];
        for (var i = 0; i < weights.Length; i++)
        {
            if (places[i] >= 0)
                _rows[places[i]] += weights[i];
        }

        var fronts = order.Fronts;
        var left = new double[fronts.Count == 0 ? 0 : fronts.Max(f => f.LeftEnd)];
        var begun = new HashSet<Front>(ReferenceEqualityComparer.Instance);
        for (var k = fronts.Count - 1; k >= 0; k--)
        {
            if (begun.Add(fronts[k]))
                Clear(fronts[k], left);
            Eliminate(fronts[k], left);
            if (fronts[k].Parent is not { } parent)
                continue;
            if (begun.Add(parent))
                Clear(parent, left);
            HandOn(fronts[k], parent, left);
        }
    }

    /// <summary>Where the row of the earlier end of each observation holds its later end; −1 where both ends are one with the datum.</summary>
    public static int[] Places(NetworkLayout layout, Dissection order)
    {
        var frontOf = new Front[order.Datum];
        foreach (var front in order.Fronts)
            frontOf.AsSpan(front.First, front.Count).Fill(front);
        var places = new int[layout.From.Length];
        for (var i = 0; i < places.Length; i++)
        {
            int a = order.Position[layout.From[i]], b = order.Position[layout.To[i]];
            var (early, late) = a < b ? (a, b) : (b, a);
            places[i] = early == order.Datum ? -1 : frontOf[early].Own + ((early - frontOf[early].First) * frontOf[early].Stride) + frontOf[early].Local(late, order.Datum);
        }

        return places;
    }

    /// <summary>Heights over the datum that balance the pulls on the points.</summary>
    /// <param name="high">Pull on each point in the order of elimination, weight × µm.</param>
    /// <param name="low">What rounding took from it. Both are used up.</param>
    /// <remarks>A pull is handed on to the neighbours whole, to twice the digits: a rounding error in it would lift all that hangs on the datum by light observations.</remarks>
    public double[] Solve(double[] high, double[] low)
    {
        var heights = new double[_order.Datum + 1];
        var fronts = _order.Fronts;
        var longest = fronts.Count == 0 ? 0 : fronts.Max(f => f.Stride);
        double[] localHigh = new double[longest], localLow = new double[longest];
        for (var k = fronts.Count - 1; k >= 0; k--)
            Push(fronts[k], high, low, localHigh, localLow);
        foreach (var front in fronts)
        {
            var local = localHigh.AsSpan(0, front.Stride);
            local.Clear();
            for (var i = 0; i < front.Rest.Length; i++)
                local[front.Count + i] = heights[front.Rest[i]];
            for (var i = front.Count - 1; i >= 0; i--)
            {
                var begin = i & ~3;
                var around = Lanes.Product(Row(front, i)[begin..], local[begin..]);
                local[i] = heights[front.First + i] = (high[front.First + i] + around) * _inverse[front.First + i];
            }
        }

        return heights;
    }

    /// <summary>Replaces the joins by variances of differences; after this nothing can be solved any more.</summary>
    public void TurnIntoVariances()
    {
        var fronts = _order.Fronts;
        var whole = new double[fronts.Count == 0 ? 0 : fronts.Max(f => f.WholeEnd)];
        foreach (var front in fronts)
        {
            Fetch(front, whole);
            for (var i = front.Count - 1; i >= 0; i--)
                Variances(front, i, whole);
        }
    }

    /// <summary>Variance of the adjusted difference of an observation's ends, unit of 1/weight.</summary>
    public double OfObservation(int observation) => _places[observation] < 0 ? 0 : _rows[_places[observation]];

    /// <summary>Variances of the points over the datum in the order of elimination, last the datum's own; unit of 1/weight.</summary>
    public double[] OverDatum()
    {
        var variances = new double[_order.Datum + 1];
        foreach (var front in _order.Fronts)
        {
            for (var i = 0; i < front.Count; i++)
                variances[front.First + i] = Row(front, i)[front.Size - 1];
        }

        return variances;
    }

    private Span<double> Row(Front front, int i) => _rows.AsSpan(front.Own + (i * front.Stride), front.Stride);

    private static void Clear(Front front, double[] left) => left.AsSpan(front.Left, front.LeftEnd - front.Left).Clear();

    private void Eliminate(Front front, double[] left)
    {
        for (var begin = 0; begin < front.Count; begin += 4)
        {
            var end = Math.Min(begin + 4, front.Count);
            for (var k = begin; k < end; k++)
            {
                Take(front, k);
                for (var i = k + 1; i < end; i++)
                    Lanes.Add(Row(front, i)[(i & ~3)..], Row(front, k)[(i & ~3)..], Row(front, k)[i] * _inverse[front.First + k]);
            }

            for (var i = end; i < front.Size - 1; i++)
            {
                var from = i & ~3;
                var target = i < front.Count
                    ? Row(front, i)[from..]
                    : left.AsSpan(front.Left + ((i - front.Count) * front.LeftStride) + from - front.LeftColumn, front.Stride - from);
                if (end - begin == 4)
                {
                    var at = front.Own + (begin * front.Stride) + i;
                    var own = front.First + begin;
                    var parts = Vector256.Create(
                        _rows[at] * _inverse[own], _rows[at + front.Stride] * _inverse[own + 1],
                        _rows[at + (2 * front.Stride)] * _inverse[own + 2], _rows[at + (3 * front.Stride)] * _inverse[own + 3]);
                    if (parts != Vector256<double>.Zero)
                        Lanes.Add(target, _rows.AsSpan(front.Own + (begin * front.Stride) + from), front.Stride, parts);
                    continue;
                }

                for (var k = begin; k < end; k++)
                    Lanes.Add(target, Row(front, k)[from..], Row(front, k)[i] * _inverse[front.First + k]);
            }
        }
    }

    /// <summary>A point's turn: what holds it, and its heaviest join.</summary>
    private void Take(Front front, int k)
    {
        var row = Row(front, k);
        row[(k & ~3)..(k + 1)].Clear();
        _inverse[front.First + k] = 1 / Lanes.Sum(row[(k & ~3)..]);
        var heaviest = k + 1;
        for (var i = k + 2; i < front.Size; i++)
        {
            if (row[i] > row[heaviest])
                heaviest = i;
        }

        _heaviest[front.First + k] = heaviest;
    }

    private void HandOn(Front front, Front parent, double[] left)
    {
        for (var i = 0; i < front.Rest.Length; i++)
        {
            var row = left.AsSpan(front.Left + (i * front.LeftStride) + front.Count - front.LeftColumn);
            var to = front.ToParent[i];
            var target = to < parent.Count
                ? Row(parent, to)
                : left.AsSpan(parent.Left + ((to - parent.Count) * parent.LeftStride), parent.LeftStride);
            var column = to < parent.Count ? 0 : parent.LeftColumn;
            for (var j = i + 1; j < front.ToParent.Length; j++)
                target[front.ToParent[j] - column] += row[j];
        }
    }

    private void Push(Front front, double[] high, double[] low, double[] frontHigh, double[] frontLow)
    {
        Span<double> localHigh = frontHigh.AsSpan(0, front.Stride), localLow = frontLow.AsSpan(0, front.Stride);
        localHigh.Clear();
        localLow.Clear();
        for (var i = 0; i < front.Count; i++)
            (localHigh[i], localLow[i]) = (high[front.First + i], low[front.First + i]);
        for (var i = 0; i < front.Rest.Length; i++)
            (localHigh[front.Count + i], localLow[front.Count + i]) = (high[front.Rest[i]], low[front.Rest[i]]);
        for (var i = 0; i < front.Count; i++)
        {
            var pull = localHigh[i] + localLow[i];
            var rest = (localHigh[i] - pull) + localLow[i];
            high[front.First + i] = pull;
            if (pull == 0)
                continue;
            var begin = i & ~3;
            var given = Lanes.AddExactly(localHigh[begin..], localLow[begin..], Row(front, i)[begin..], pull * _inverse[front.First + i]);

            // What the rounded shares leave goes to the neighbour for which it is least.
            var heaviest = _heaviest[front.First + i];
            (localHigh[heaviest], localLow[heaviest]) = Lanes.Plus((localHigh[heaviest], localLow[heaviest]), (pull - given.High) - given.Low + rest);
        }

        for (var i = 0; i < front.Rest.Length; i++)
            (high[front.Rest[i]], low[front.Rest[i]]) = (localHigh[front.Count + i], localLow[front.Count + i]);
    }

    private static void Fetch(Front front, double[] whole)
    {
        if (front.Parent is not { } parent)
        {
            whole[front.Whole + ((front.Size - 1) * (front.Stride + 1))] = 0;
            return;
        }

        for (var i = 0; i < front.ToParent.Length; i++)
        {
            var from = whole.AsSpan(parent.Whole + (front.ToParent[i] * parent.Stride), parent.Stride);
            var to = whole.AsSpan(front.Whole + ((front.Count + i) * front.Stride) + front.Count, front.ToParent.Length);
            for (var j = 0; j < to.Length; j++)
                to[j] = from[front.ToParent[j]];
        }
    }

    /// <summary>Variances of the differences of one point to all later ones of its front.</summary>
    /// <remarks>A point is the mean of its neighbours by weight, with a variance of its own besides: Huygens' theorem of the mean of squared distances.</remarks>
    private void Variances(Front front, int k, double[] whole)
    {
        var begin = k & ~3;
        var own = _inverse[front.First + k];
        var row = Row(front, k)[begin..];
        for (var i = 0; i < row.Length; i++)
            row[i] *= own;
        var target = whole.AsSpan(front.Whole + (k * front.Stride) + begin, front.Stride - begin);
        target.Clear();
        var j = k + 1;
        for (; j + 4 <= front.Size; j += 4)
        {
            var parts = Vector256.Create(row[j - begin], row[j + 1 - begin], row[j + 2 - begin], row[j + 3 - begin]);
            Lanes.Add(target, whole.AsSpan(front.Whole + (j * front.Stride) + begin), front.Stride, parts);
        }

        for (; j < front.Size; j++)
            Lanes.Add(target, whole.AsSpan(front.Whole + (j * front.Stride) + begin, target.Length), row[j - begin]);
        var change = own - (Lanes.Product(row, target) / 2);
        for (j = k + 1; j < front.Size; j++)
            whole[front.Whole + (j * front.Stride) + k] = target[j - begin] += change;
        target[k - begin] = 0;
        target.CopyTo(row);
    }
}
