using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

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

    /// <summary>Points that leave their common line by less than this part of the extent count as lying on it.</summary>
    private const double ArtificialTolerance = 1e-10;

    private const double WeightTolerance = 1e-13;
    private const double PriceTolerance = 1e-13;
    private const int LargestExchanges = 500;

    private FourNumbers _index;
    private FourNumbers _sign;
    private bool _hasArtificial;

    // Lanes: the four contacts. _inverse[k] = column k of B⁻¹, k = Σp, Σq, moment u, moment w; _order[k] = column k of B⁻¹·B₀ for the lexicographic rule.
    private FourColumns _inverse;
    private FourColumns _order;

    // The levels that the contacts fix; High and Low hold every point.
    private (double High, double Low) _levels;

    public double SlopeU { get; private set; }

    public double SlopeW { get; private set; }

    /// <summary>Levels of the two planes at u = w = 0, from one pass over all points: they do hold every point.</summary>
    public double High { get; private set; }

    public double Low { get; private set; }

    /// <summary>Distance of the two planes: an upper bound of the zone, the zone itself where <see cref="Finished"/>.</summary>
    public double Width => High - Low;

    /// <summary>Σ(p − q)z of the present weights: a lower bound of the zone, whatever happened on the way.</summary>
    public double Proved { get; private set; }

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

    /// <summary>One of the four contacts, in the order of the exchange: index and signed weight.</summary>
    public (int Index, double Weight) Contact(int row) => (_index[row], _sign[row] * Weight(row));

    /// <summary>Whether no plane near by can be narrower across: four contacts, none with a weight near nothing.</summary>
    /// <remarks>Then any other slope widens the zone along z by more than a hundredth of it for each unit of the frame, and the cosine of a flat set
    /// gives back less than a thousandth.</remarks>
    public bool IsPinned()
    {
        const double LeastWeight = 0.01;
        for (var row = 0; row < 4; row++)
        {
            if (_index[row] < 0 || Weight(row) <= LeastWeight)
                return false;
        }

        return true;
    }

    /// <summary>Solves for these heights, from the first point.</summary>
    public void Solve(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z)
    {
        Start(u[0], w[0]);
        Exchange(u, w, z);
    }

    /// <summary>Solves for other heights at the same places, from the contacts of the last time: any contacts that satisfy their equations may begin.</summary>
    public void SolveAgain(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z)
    {
        if (!Finished)
        {
            Start(u[0], w[0]);
        }

        SetToUnit(ref _order);
        Exchange(u, w, z);
    }

    private void Exchange(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z)
    {
        var tolerance = PriceTolerance * Extremes.LargestMagnitude(z);
        var fresh = true;
        Finished = false;
        for (Exchanges = 0; Exchanges < LargestExchanges; Exchanges++)
        {
            var (high, low, slopeU, slopeW) = Multipliers(z);
            var (top, topAt, bottom, bottomAt) = Extremes.Of(u, w, z, slopeU, slopeW);
            (SlopeU, SlopeW, High, Low, Proved, _levels) = (slopeU, slopeW, top, bottom, high - low, (high, low));
            var above = top - high;
            var below = low - bottom;
            var (enters, sign) = above >= below ? (topAt, 1) : (bottomAt, -1);
            if (Math.Max(above, below) <= tolerance || IsBasic(enters, sign))
            {
                if (fresh || Agrees(u, w, z, tolerance))
                {
                    Finished = true;
                    return;
                }

                // The inverse was carried through the exchanges and has lost digits: make it anew from the contacts, and look once more.
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

    /// <summary>y = c_B B⁻¹: level of the high plane, level of the low one, slopes.</summary>
    private (double High, double Low, double SlopeU, double SlopeW) Multipliers(ReadOnlySpan<double> z)
    {
        var cost = Vector256.Create(Cost(0, z), Cost(1, z), Cost(2, z), Cost(3, z));
        return (Sum(cost * _inverse[0]), -Sum(cost * _inverse[1]), Sum(cost * _inverse[2]), Sum(cost * _inverse[3]));
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

        // Contacts (1,0,u,w), (0,1,−u,−w), (0,0,1,0), (0,0,0,1); inverted by hand.
        _inverse[0] = Vector256.Create(1, 0, -u, -w);
        _inverse[1] = Vector256.Create(0, 1, u, w);
        _inverse[2] = Vector256.Create(0.0, 0, 1, 0);
        _inverse[3] = Vector256.Create(0.0, 0, 0, 1);
        _hasArtificial = true;
        SetToUnit(ref _order);
    }

    private static void SetToUnit(ref FourColumns matrix)
    {
        matrix[0] = Vector256.Create(1.0, 0, 0, 0);
        matrix[1] = Vector256.Create(0.0, 1, 0, 0);
        matrix[2] = Vector256.Create(0.0, 0, 1, 0);
        matrix[3] = Vector256.Create(0.0, 0, 0, 1);
    }

    private static double Sum(Vector256<double> lanes) => lanes[0] + lanes[1] + (lanes[2] + lanes[3]);

    private double Cost(int row, ReadOnlySpan<double> z) => _index[row] < 0 ? 0 : _sign[row] * z[_index[row]];

    private double Weight(int row)
    {
        var weight = Entry(_inverse, 0, row) + Entry(_inverse, 1, row);
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
        var moments = Vector256.FusedMultiplyAdd(_inverse[2], Vector256.Create(u), _inverse[3] * Vector256.Create(w));
        var column = sign > 0 ? _inverse[0] + moments : _inverse[1] - moments;
        var leaves = Leaving(column);
        if (leaves < 0)
            return false;
        var artificial = _index[leaves] < 0;
        Pivot(ref _inverse, leaves, column);
        _index[leaves] = enters;
        _sign[leaves] = sign;

        // The lexicographic order starts anew from a basis with one artificial column less.
        if (artificial)
            SetToUnit(ref _order);
        else
            Pivot(ref _order, leaves, column);
        return true;
    }

    private int Leaving(Vector256<double> column)
    {
        // An artificial column stands at zero and must stay there: it goes as soon as it can, by the larger pivot.
        var leaves = -1;
        if (_hasArtificial)
        {
            _hasArtificial = false;
            for (var row = 0; row < 4; row++)
            {
                if (_index[row] >= 0)
                    continue;
                _hasArtificial = true;
                if (Math.Abs(column[row]) > ArtificialTolerance && (leaves < 0 || Math.Abs(column[row]) > Math.Abs(column[leaves])))
                    leaves = row;
            }

            if (leaves >= 0)
                return leaves;
        }

        // Smallest weight / column over the contacts that can leave, without a branch where there is no tie.
        var weights = _inverse[0] + _inverse[1];
        weights = Vector256.ConditionalSelect(Vector256.LessThan(weights, Vector256.Create(WeightTolerance)), default, weights);
        var can = Vector256.GreaterThan(column, Vector256.Create(PivotTolerance))
            & Vector256.GreaterThanOrEqual(Vector256.Create((double)_index[0], _index[1], _index[2], _index[3]), default);
        var ratios = Vector256.ConditionalSelect(can, weights / column, Vector256.Create(double.PositiveInfinity));
        var smallest = Math.Min(Math.Min(ratios[0], ratios[1]), Math.Min(ratios[2], ratios[3]));
        if (double.IsPositiveInfinity(smallest))
            return -1;
        var ties = Vector256.Equals(ratios, Vector256.Create(smallest)).ExtractMostSignificantBits();
        leaves = BitOperations.TrailingZeroCount(ties);
        for (ties &= ties - 1; ties != 0; ties &= ties - 1)
        {
            var row = BitOperations.TrailingZeroCount(ties);
            if (Before(row, column[row], leaves, column[leaves]))
                leaves = row;
        }

        return leaves;
    }

    private bool Before(int row, double pivot, int other, double otherPivot)
    {
        for (var k = 0; k < 4; k++)
        {
            var one = Entry(_order, k, row) / pivot;
            var two = Entry(_order, k, other) / otherPivot;
            if (Math.Abs(one - two) > WeightTolerance)
                return one < two;
        }

        return row < other;
    }

    private static void Pivot(ref FourColumns matrix, int pivotRow, Vector256<double> column)
    {
        var rows = Vector256.Create(0L, 1, 2, 3);
        var pivoted = Vector256.Equals(rows, Vector256.Create((long)pivotRow)).AsDouble();
        var pivot = Vector256.Create(column[pivotRow]);
        var factors = -column;
        for (var k = 0; k < 4; k++)
        {
            var p = Vector256.Create(Entry(matrix, k, pivotRow)) / pivot;
            matrix[k] = Vector256.ConditionalSelect(pivoted, p, Vector256.FusedMultiplyAdd(factors, p, matrix[k]));
        }
    }

    /// <summary>One number of a column, read where it stands.</summary>
    private static double Entry(in FourColumns matrix, int column, int row) => MemoryMarshal.Cast<Vector256<double>, double>((ReadOnlySpan<Vector256<double>>)matrix)[(4 * column) + row];

    /// <summary>Whether the carried inverse still is one: the contacts lie on their planes, and the weights satisfy their equations.</summary>
    private bool Agrees(ReadOnlySpan<double> u, ReadOnlySpan<double> w, ReadOnlySpan<double> z, double tolerance)
    {
        double high = 0, low = 0, momentU = 0, momentW = 0;
        for (var row = 0; row < 4; row++)
        {
            var i = _index[row];
            if (i < 0)
                return false;
            double sign = _sign[row], weight = Entry(_inverse, 0, row) + Entry(_inverse, 1, row);
            var level = sign > 0 ? _levels.High : _levels.Low;
            if (!(Math.Abs(Extremes.Rest(u[i], w[i], z[i], SlopeU, SlopeW) - level) <= tolerance))
                return false;
            high += sign > 0 ? weight : 0;
            low += sign > 0 ? 0 : weight;
            momentU += sign * weight * u[i];
            momentW += sign * weight * w[i];
        }

        var worst = Math.Max(Math.Max(Math.Abs(high - 1), Math.Abs(low - 1)), Math.Max(Math.Abs(momentU), Math.Abs(momentW)));
        return worst <= WeightTolerance;
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

        for (var k = 0; k < 4; k++)
            _inverse[k] = Vector256.Create(a[4 + k], a[12 + k], a[20 + k], a[28 + k]);
        return true;
    }

    [InlineArray(4)]
    private struct FourNumbers
    {
        private int _first;
    }

    [InlineArray(4)]
    private struct FourColumns
    {
        private Vector256<double> _first;
    }
}
