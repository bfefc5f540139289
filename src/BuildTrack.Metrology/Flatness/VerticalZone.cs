namespace BuildTrack.Metrology.Flatness;

/// <summary>The smallest vertical distance between two parallel planes that hold all points, with the weights that prove it.</summary>
/// <remarks>
/// <para>Linear programme, its dual: choose weights p ≥ 0 (highs) and q ≥ 0 (lows), Σp = Σq = 1, Σ(p − q)u = Σ(p − q)w = 0, so that
/// Σ(p − q)z is largest. Solved by the simplex method with four basic columns: one pass over the points finds the point that stands out
/// most above or below the present two planes, and exchanges it for a present contact (E. Stiefel, 1959: "Über diskrete und lineare
/// Tschebyscheff-Approximationen", Numer. Math. 1; the same as E. Remez' exchange).</para>
/// <para>Stations on a grid make almost every exchange degenerate (three in a row, weights zero). Ties in the ratio test are
/// broken lexicographically, which cannot cycle (Dantzig, Orden, Wolfe 1955). A start needs no triangle: the first point is high and low
/// contact at once, and two artificial columns of value zero stand for the two moments until a point replaces them; for points on one
/// line the second one stays, and the answer is the zone of a line.</para>
/// <para>Coordinates: those of <see cref="PlanFrame"/>; heights best levelled first. Ties in pricing go to the lowest index.</para>
/// </remarks>
internal sealed class VerticalZone
{
    private const int ArtificialU = -1;
    private const int ArtificialW = -2;
    private const double PivotTolerance = 1e-11;
    private const double WeightTolerance = 1e-13;
    private const double PriceTolerance = 1e-13;
    private const int LargestExchanges = 500;

    private readonly int[] _index = new int[4];
    private readonly int[] _sign = new int[4];

    // Rows: basic columns. _inverse = B⁻¹; _order = B⁻¹·B₀ for the lexicographic rule.
    private readonly double[] _inverse = new double[16];
    private readonly double[] _order = new double[16];

    public double SlopeU { get; private set; }

    public double SlopeW { get; private set; }

    /// <summary>Levels of the two planes at u = w = 0, from one pass over all points: they do hold every point.</summary>
    public double High { get; private set; }

    public double Low { get; private set; }

    public double Width => High - Low;

    /// <summary>Whether no point stood out at the end. False only where rounding defeated the exchange.</summary>
    public bool Finished { get; private set; }

    public int Exchanges { get; private set; }

    /// <summary>Contacts with weights: index and signed weight, weights of zero left out.</summary>
    public List<ContactPlace> Contacts()
    {
        var contacts = new List<ContactPlace>(4);
        for (var row = 0; row < 4; row++)
        {
            var weight = Weight(row);
            if (_index[row] >= 0 && weight > 1e-12)
                contacts.Add(new ContactPlace(_index[row], _sign[row] * weight));
        }

        contacts.Sort(static (one, other) =>
            one.Weight > 0 != other.Weight > 0 ? (one.Weight > 0 ? -1 : 1) : one.Index.CompareTo(other.Index));
        return contacts;
    }

    public void Solve(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z)
    {
        Start(u[0], w[0]);
        double largest = 0;
        for (var i = 0; i < z.Length; i++)
            largest = Math.Max(largest, Math.Abs(z[i]));
        var tolerance = PriceTolerance * largest;
        var fresh = true;
        Finished = false;
        for (Exchanges = 0; Exchanges < LargestExchanges; Exchanges++)
        {
            // Multipliers y = c_B B⁻¹: level of the high plane, minus the level of the low one, slopes.
            double high = 0, low = 0, slopeU = 0, slopeW = 0;
            for (var row = 0; row < 4; row++)
            {
                if (_index[row] < 0)
                    continue;
                var cost = _sign[row] * z[_index[row]];
                high += cost * _inverse[4 * row];
                low -= cost * _inverse[(4 * row) + 1];
                slopeU += cost * _inverse[(4 * row) + 2];
                slopeW += cost * _inverse[(4 * row) + 3];
            }

            double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
            int topAt = 0, bottomAt = 0;
            for (var i = 0; i < z.Length; i++)
            {
                var rest = z[i] - (slopeU * u[i]) - (slopeW * w[i]);
                if (rest > top)
                {
                    top = rest;
                    topAt = i;
                }

                if (rest < bottom)
                {
                    bottom = rest;
                    bottomAt = i;
                }
            }

            (SlopeU, SlopeW, High, Low) = (slopeU, slopeW, top, bottom);
            var above = top - high;
            var below = low - bottom;
            var enters = above >= below ? topAt : bottomAt;
            var sign = above >= below ? 1 : -1;
            if (Math.Max(above, below) <= tolerance || IsBasic(enters, sign))
            {
                if (fresh)
                {
                    Finished = true;
                    return;
                }

                // The inverse has been carried through all exchanges: make it anew from the contacts, and look once more.
                if (!Refresh(u, w))
                    return;
                fresh = true;
                continue;
            }

            fresh = false;
            if (!Exchange(enters, sign, u[enters], w[enters]))
                return;
        }
    }

    /// <summary>The first point as high and low contact, and the two artificial columns.</summary>
    private void Start(double u, double w)
    {
        _index[0] = 0;
        _index[1] = 0;
        _index[2] = ArtificialU;
        _index[3] = ArtificialW;
        _sign[0] = 1;
        _sign[1] = -1;
        _sign[2] = 1;
        _sign[3] = 1;

        // Columns (1,0,u,w), (0,1,−u,−w), (0,0,1,0), (0,0,0,1); inverted by hand.
        SetToUnit(_inverse);
        _inverse[8] = -u;
        _inverse[9] = u;
        _inverse[12] = -w;
        _inverse[13] = w;
        SetToUnit(_order);
    }

    private static void SetToUnit(double[] matrix)
    {
        Array.Clear(matrix);
        for (var k = 0; k < 4; k++)
            matrix[5 * k] = 1;
    }

    private double Weight(int row)
    {
        var weight = _inverse[4 * row] + _inverse[(4 * row) + 1];
        return weight < WeightTolerance ? 0 : weight;
    }

    private bool IsBasic(int index, int sign)
    {
        for (var row = 0; row < 4; row++)
        {
            if (_index[row] == index && _sign[row] == sign)
                return true;
        }

        return false;
    }

    /// <summary>Takes one point in and one contact out. False where no contact can leave (rounding).</summary>
    private bool Exchange(int enters, int sign, double u, double w)
    {
        Span<double> column = stackalloc double[4];
        for (var row = 0; row < 4; row++)
        {
            var r = 4 * row;
            column[row] = (sign > 0 ? _inverse[r] : _inverse[r + 1]) + (sign * ((_inverse[r + 2] * u) + (_inverse[r + 3] * w)));
        }

        var leaves = Leaving(column);
        if (leaves < 0)
            return false;
        var artificial = _index[leaves] < 0;
        Pivot(_inverse, leaves, column);
        _index[leaves] = enters;
        _sign[leaves] = sign;

        // The lexicographic order starts anew from a basis with one artificial column less.
        if (artificial)
            SetToUnit(_order);
        else
            Pivot(_order, leaves, column);
        return true;
    }

    private int Leaving(ReadOnlySpan<double> column)
    {
        // An artificial column stands at zero and must stay there: it goes as soon as it can, by the larger pivot.
        var leaves = -1;
        for (var row = 0; row < 4; row++)
        {
            if (_index[row] < 0 && Math.Abs(column[row]) > PivotTolerance
                && (leaves < 0 || Math.Abs(column[row]) > Math.Abs(column[leaves])))
            {
                leaves = row;
            }
        }

        if (leaves >= 0)
            return leaves;
        double smallest = double.PositiveInfinity;
        for (var row = 0; row < 4; row++)
        {
            if (_index[row] < 0 || column[row] <= PivotTolerance)
                continue;
            var ratio = Weight(row) / column[row];
            if (ratio < smallest || (ratio == smallest && Before(row, column[row], leaves, column[leaves])))
            {
                smallest = ratio;
                leaves = row;
            }
        }

        return leaves;
    }

    private bool Before(int row, double pivot, int other, double otherPivot)
    {
        for (var k = 0; k < 4; k++)
        {
            var one = _order[(4 * row) + k] / pivot;
            var two = _order[(4 * other) + k] / otherPivot;
            if (Math.Abs(one - two) > WeightTolerance)
                return one < two;
        }

        return row < other;
    }

    private static void Pivot(double[] matrix, int pivotRow, ReadOnlySpan<double> column)
    {
        var p = 4 * pivotRow;
        var pivot = column[pivotRow];
        for (var k = 0; k < 4; k++)
            matrix[p + k] /= pivot;
        for (var row = 0; row < 4; row++)
        {
            if (row == pivotRow)
                continue;
            var factor = column[row];
            for (var k = 0; k < 4; k++)
                matrix[(4 * row) + k] -= factor * matrix[p + k];
        }
    }

    /// <summary>B⁻¹ anew from the contacts, by elimination with the largest pivot. False where the contacts are dependent (rounding).</summary>
    private bool Refresh(ReadOnlySpan<double> u, ReadOnlySpan<double> w)
    {
        // Rows are the equations (Σp, Σq, moment u, moment w), columns the contacts; right half becomes the inverse.
        Span<double> a = stackalloc double[32];
        a.Clear();
        for (var k = 0; k < 4; k++)
        {
            a[(8 * k) + 4 + k] = 1;
            if (_index[k] < 0)
            {
                a[(_index[k] == ArtificialU ? 16 : 24) + k] = 1;
                continue;
            }

            a[(_sign[k] > 0 ? 0 : 8) + k] = 1;
            a[16 + k] = _sign[k] * u[_index[k]];
            a[24 + k] = _sign[k] * w[_index[k]];
        }

        for (var k = 0; k < 4; k++)
        {
            var best = k;
            for (var row = k + 1; row < 4; row++)
            {
                if (Math.Abs(a[(8 * row) + k]) > Math.Abs(a[(8 * best) + k]))
                    best = row;
            }

            var pivot = a[(8 * best) + k];
            if (Math.Abs(pivot) < 1e-14)
                return false;
            for (var column = 0; column < 8; column++)
            {
                var taken = a[(8 * best) + column];
                a[(8 * best) + column] = a[(8 * k) + column];
                a[(8 * k) + column] = taken / pivot;
            }

            for (var row = 0; row < 4; row++)
            {
                var factor = a[(8 * row) + k];
                if (row == k || factor == 0)
                    continue;
                for (var column = 0; column < 8; column++)
                    a[(8 * row) + column] -= factor * a[(8 * k) + column];
            }
        }

        for (var row = 0; row < 4; row++)
        {
            for (var column = 0; column < 4; column++)
                _inverse[(4 * row) + column] = a[(8 * row) + 4 + column];
        }

        return true;
    }
}
