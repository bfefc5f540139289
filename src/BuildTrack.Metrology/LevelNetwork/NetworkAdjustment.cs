namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The least-squares solution, by elimination of the points and, after them, of the lines' unknowns.</summary>
internal sealed class NetworkAdjustment
{
    private readonly NetworkLayout _layout;
    private readonly Dissection _order;
    private readonly NetworkFactor _factor;
    private readonly LineUnknowns? _lines;
    private readonly double[] _weights;

    private NetworkAdjustment(NetworkLayout layout, Dissection order, int[] places, IReadOnlyList<LevelObservation> observations, LineUnknowns? lines)
    {
        (_layout, _order, _lines) = (layout, order, lines);
        _weights = new double[observations.Count];
        for (var i = 0; i < _weights.Length; i++)
            _weights[i] = observations[i].Weight;
        _factor = new NetworkFactor(order, places, _weights);
        HeightsUm = new double[layout.Points.Length];
        Cofactors = new double[layout.Points.Length];
        LineRisesUm = new double[layout.Lines.Length];
        ResidualsUm = new double[layout.From.Length];
        Redundancy = new double[layout.From.Length];
    }

    public double[] HeightsUm { get; }

    public double[] Cofactors { get; }

    public double[] LineRisesUm { get; }

    public double[] ResidualsUm { get; }

    public double[] Redundancy { get; }

    /// <summary>How many directions of the heights no observation fixes.</summary>
    public int Defect => (_layout.Free ? 1 : 0) + (_lines?.Defect ?? 0);

    public int DegreesOfFreedom => _layout.From.Length - _layout.Points.Length + _layout.Fixed.Count(f => f is not null) - _layout.Lines.Length + Defect;

    /// <summary>Points that are one with the datum: the fixed ones, or any one of a free network.</summary>
    public static bool[] Datum(NetworkLayout layout)
    {
        var datum = Array.ConvertAll(layout.Fixed, f => f is not null);
        datum[0] |= layout.Free;
        return datum;
    }

    /// <summary>Adjusts.</summary>
    /// <param name="lines">The lines' unknowns, found determined; null without lines.</param>
    public static NetworkAdjustment Of(NetworkLayout layout, Dissection order, int[] places, IReadOnlyList<LevelObservation> observations, LineUnknowns? lines)
    {
        var adjustment = new NetworkAdjustment(layout, order, places, observations, lines);
        adjustment.Solve(observations);
        return adjustment;
    }

    private void Solve(IReadOnlyList<LevelObservation> observations)
    {
        var start = _layout.Approximate(observations);
        var rest = new double[observations.Count];
        for (var i = 0; i < rest.Length; i++)
            rest[i] = observations[i].RiseUm - (start[_layout.To[i]] - start[_layout.From[i]]);
        var change = Heights(_layout, _order, _factor, _weights, rest);
        _lines?.Solve(_factor, _weights, rest, change, LineRisesUm);
        for (var i = 0; i < rest.Length; i++)
            ResidualsUm[i] = Difference(change, i) + (_layout.Line[i] >= 0 ? LineRisesUm[_layout.Line[i]] : 0) - rest[i];
        for (var p = 0; p < start.Length; p++)
            HeightsUm[p] = start[p] + change[_order.Position[p]];
        var directions = Directions();
        foreach (var (heights, rises) in directions)
            Least(heights, rises);
        Precision(directions);
    }

    /// <summary>Heights over the datum, by position, that fit the rises best.</summary>
    public static double[] Heights(NetworkLayout layout, Dissection order, NetworkFactor factor, double[] weights, double[] rises)
    {
        double[] high = new double[order.Datum + 1], low = new double[order.Datum + 1];
        for (var i = 0; i < rises.Length; i++)
        {
            // The same pull on both ends: what is rounded here cannot lift a part as a whole.
            var pull = weights[i] * rises[i];
            int to = order.Position[layout.To[i]], from = order.Position[layout.From[i]];
            (high[to], low[to]) = Lanes.Plus((high[to], low[to]), pull);
            (high[from], low[from]) = Lanes.Plus((high[from], low[from]), -pull);
        }

        return factor.Solve(high, low);
    }

    /// <summary>Orthonormal directions in which the heights may move, by point, and what the lines' unknowns then do.</summary>
    private List<(double[] Heights, double[] Rises)> Directions()
    {
        List<(double[] Heights, double[] Rises)> directions = [];
        if (!_layout.Free)
            return directions;
        var level = new double[_layout.Points.Length];
        Array.Fill(level, 1 / Math.Sqrt(level.Length));
        directions.Add((level, new double[_layout.Lines.Length]));
        foreach (var (heights, rises) in _lines?.Tilts() ?? [])
        {
            // Twice, since once leaves rounding of the length before.
            for (var time = 0; time < 2; time++)
            {
                foreach (var (before, risesBefore) in directions)
                {
                    var share = -Product(before, heights);
                    AddTo(heights, before, share);
                    AddTo(rises, risesBefore, share);
                }
            }

            var length = Math.Sqrt(Product(heights, heights));
            directions.Add((Array.ConvertAll(heights, h => h / length), Array.ConvertAll(rises, r => r / length)));
        }

        return directions;
    }

    /// <summary>Takes a free direction out of the heights: of all solutions the least.</summary>
    private void Least(double[] heights, double[] rises)
    {
        for (var time = 0; time < 2; time++)
        {
            var share = -Product(heights, HeightsUm);
            AddTo(HeightsUm, heights, share);
            AddTo(LineRisesUm, rises, share);
        }
    }

    private void Precision(List<(double[] Heights, double[] Rises)> directions)
    {
        // Cofactors of least heights: those over the datum, projected from both sides.
        var images = directions.ConvertAll(d => Image(d.Heights));
        _factor.TurnIntoVariances();
        for (var i = 0; i < Redundancy.Length; i++)
            Redundancy[i] = Math.Clamp(1 - (_weights[i] * _factor.OfObservation(i)) - (_lines?.Share(i) ?? 0), 0, 1);
        var overDatum = _factor.OverDatum();
        var cross = images.ConvertAll(image => directions.ConvertAll(d => Product(d.Heights, image)));
        for (var p = 0; p < Cofactors.Length; p++)
        {
            var sum = overDatum[_order.Position[p]] + (_lines?.Variance(_order.Position[p]) ?? 0);
            for (var k = 0; k < images.Count; k++)
            {
                sum -= 2 * directions[k].Heights[p] * images[k][p];
                for (var l = 0; l < images.Count; l++)
                    sum += directions[k].Heights[p] * cross[k][l] * directions[l].Heights[p];
            }

            Cofactors[p] = Math.Max(sum, 0);
        }
    }

    /// <summary>The cofactors over the datum times a direction, by point.</summary>
    private double[] Image(double[] direction)
    {
        double[] high = new double[_order.Datum + 1], low = new double[_order.Datum + 1];
        for (var p = 0; p < direction.Length; p++)
            high[_order.Position[p]] = direction[p];
        var image = (double[])high.Clone();
        var solved = _factor.Solve(high, low);
        _lines?.AddImage(image, solved);
        return Array.ConvertAll(_order.Position, position => solved[position]);
    }

    private double Difference(double[] change, int observation) =>
        change[_order.Position[_layout.To[observation]]] - change[_order.Position[_layout.From[observation]]];

    private static double Product(double[] a, double[] b)
    {
        double sum = 0;
        for (var i = 0; i < a.Length; i++)
            sum += a[i] * b[i];
        return sum;
    }

    private static void AddTo(double[] target, double[] values, double factor)
    {
        for (var i = 0; i < target.Length; i++)
            target[i] += factor * values[i];
    }
}
