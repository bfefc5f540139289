using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The unknown slopes of lines, after the heights are eliminated.</summary>
/// <remarks>What the best heights leave of a line's unit slope is a column of its own; the slopes are fitted to these columns alone (R. Frisch, F. V. Waugh, 1933), made orthogonal
/// one after the other, twice, so that nothing of those before is left in them.</remarks>
internal sealed class LineUnknowns
{
    /// <summary>An eigenvalue below this is zero; the largest possible is 1.</summary>
    private const double NoEigenvalue = 1e-10;

    private readonly NetworkLayout _layout;
    private readonly Dissection _order;

    /// <summary>Undetermined directions: slopes of the lines, and the heights that follow them by position.</summary>
    private (double[] Slopes, double[] Heights)[] _free = [];

    /// <summary>Length of the part of a column that is made orthogonal; heights by position and slopes follow with it.</summary>
    private readonly int _observed;

    /// <summary>For each independent unknown: what it does to the weighted observations, to the heights and to the slopes.</summary>
    private double[][] _columns = [];

    private LineUnknowns(NetworkLayout layout, Dissection order)
    {
        (_layout, _order) = (layout, order);

        // Room for the rows that hold what is undetermined, one for each line at most.
        _observed = Whole(layout.From.Length + layout.Lines.Length);
    }

    /// <summary>How many directions of the slopes no observation fixes, once the heights follow.</summary>
    public int Defect => _free.Length;

    private int SlopesAt => _observed + Whole(_order.Datum + 1);

    /// <summary>Finds what the lines leave undetermined; null without lines.</summary>
    public static LineUnknowns? Of(NetworkLayout layout, Dissection order, int[] places)
    {
        if (layout.Lines.Length == 0)
            return null;
        var lines = new LineUnknowns(layout, order);

        // Equal weights: what is undetermined does not depend on them.
        var weights = new double[layout.From.Length];
        Array.Fill(weights, 1);
        var columns = lines.Columns(new NetworkFactor(order, places, weights), weights);
        var products = Matrix<double>.Build.Dense(columns.Length, columns.Length);
        for (var i = 0; i < columns.Length; i++)
        {
            for (var j = 0; j <= i; j++)
                products[i, j] = products[j, i] = Lanes.Product(columns[i].AsSpan(0, lines._observed), columns[j]);
        }

        var parts = products.Evd(Symmetricity.Symmetric);
        lines._free =
        [
            .. Enumerable.Range(0, columns.Length).Where(k => parts.EigenValues[k].Real <= NoEigenvalue).Select(k =>
            {
                var sum = Sum(columns, parts.EigenVectors.Column(k).ToArray());
                return (lines.Slopes(sum).ToArray(), Array.ConvertAll(lines.Heights(sum).ToArray(), h => -h));
            }),
        ];
        return lines;
    }

    /// <summary>Solves for the slopes and takes their part out of the heights.</summary>
    /// <param name="factor">The eliminated heights.</param>
    /// <param name="weights">Weights of the observations.</param>
    /// <param name="rest">Rises, µm.</param>
    /// <param name="heights">Best heights by position without slopes; changed.</param>
    /// <param name="rises">Filled with the slopes.</param>
    public void Solve(NetworkFactor factor, double[] weights, double[] rest, double[] heights, double[] rises)
    {
        _columns = Columns(factor, weights);
        HoldFree(weights.Length);
        for (var k = 0; k < _columns.Length; k++)
        {
            for (var time = 0; time < 2; time++)
            {
                for (var before = 0; before < k; before++)
                    Lanes.Add(_columns[k], _columns[before], -Share(_columns[before], _columns[k]));
            }

            var length = Math.Sqrt(Share(_columns[k], _columns[k]));
            for (var i = 0; i < _columns[k].Length; i++)
                _columns[k][i] /= length;
        }

        var left = new double[_observed];
        for (var i = 0; i < weights.Length; i++)
            left[i] = Math.Sqrt(weights[i]) * (rest[i] - (heights[_order.Position[_layout.To[i]]] - heights[_order.Position[_layout.From[i]]]));
        var shares = new double[_columns.Length];
        for (var time = 0; time < 2; time++)
        {
            // The second time for what rounding left.
            for (var k = 0; k < shares.Length; k++)
            {
                var share = Lanes.Product(left, _columns[k]);
                shares[k] += share;
                Lanes.Add(left, _columns[k], -share);
            }
        }

        var solution = Sum(_columns, shares);
        Slopes(solution).CopyTo(rises);
        var change = Heights(solution);
        for (var p = 0; p < heights.Length; p++)
            heights[p] -= change[p];
    }

    /// <summary>The undetermined directions: heights by point, slopes by line.</summary>
    public IEnumerable<(double[] Heights, double[] Rises)> Tilts() =>
        _free.Select(f => (Array.ConvertAll(_order.Position, position => f.Heights[position]), (double[])f.Slopes.Clone()));

    /// <summary>Share of an observation in its own adjusted value by way of the slopes, dimensionless.</summary>
    public double Share(int observation) => Squares(observation);

    /// <summary>Variance that the slopes give to the height at a position, unit of 1/weight.</summary>
    public double Variance(int position) => Squares(_observed + position);

    /// <summary>Adds the slopes' part to cofactors times a direction, both by position.</summary>
    public void AddImage(double[] direction, double[] image)
    {
        foreach (var column in _columns)
        {
            var heights = Heights(column);
            double share = 0;
            for (var p = 0; p < direction.Length; p++)
                share += heights[p] * direction[p];
            for (var p = 0; p < image.Length; p++)
                image[p] += share * heights[p];
        }
    }

    /// <summary>Rows that are orthogonal to all observations: they hold the undetermined directions at zero and change nothing else.</summary>
    private void HoldFree(int row)
    {
        var directions = new List<double[]>();
        foreach (var (slopes, _) in _free)
        {
            var direction = new double[Whole(slopes.Length)];
            for (var line = 0; line < slopes.Length; line++)
                direction[line] = slopes[line] / Slopes(_columns[line])[line];
            for (var time = 0; time < 2; time++)
            {
                foreach (var before in directions)
                    Lanes.Add(direction, before, -Lanes.Product(direction, before));
            }

            var length = Math.Sqrt(Lanes.Product(direction, direction));
            for (var line = 0; line < direction.Length; line++)
                direction[line] /= length;
            for (var line = 0; line < slopes.Length; line++)
                _columns[line][row + directions.Count] = direction[line];
            directions.Add(direction);
        }
    }

    /// <summary>For each line, of a unit of slope scaled by its weight: what the best heights leave of it in the weighted observations, these heights, and the slope.</summary>
    private double[][] Columns(NetworkFactor factor, double[] weights)
    {
        var scale = new double[_layout.Lines.Length];
        for (var i = 0; i < weights.Length; i++)
        {
            if (_layout.Line[i] >= 0)
                scale[_layout.Line[i]] += weights[i];
        }

        var columns = new double[scale.Length][];
        var rises = new double[weights.Length];
        for (var line = 0; line < scale.Length; line++)
        {
            var unit = 1 / Math.Sqrt(scale[line]);
            for (var i = 0; i < rises.Length; i++)
                rises[i] = _layout.Line[i] == line ? unit : 0;
            var heights = NetworkAdjustment.Heights(_layout, _order, factor, weights, rises);
            var column = columns[line] = new double[SlopesAt + Whole(scale.Length)];
            for (var i = 0; i < rises.Length; i++)
                column[i] = Math.Sqrt(weights[i]) * (rises[i] - (heights[_order.Position[_layout.To[i]]] - heights[_order.Position[_layout.From[i]]]));
            heights.CopyTo(Heights(column));
            Slopes(column)[line] = unit;
        }

        return columns;
    }

    private Span<double> Heights(double[] column) => column.AsSpan(_observed, _order.Datum + 1);

    private Span<double> Slopes(double[] column) => column.AsSpan(SlopesAt, _layout.Lines.Length);

    private double Share(double[] of, double[] column) => Lanes.Product(of.AsSpan(0, _observed), column);

    private double Squares(int row)
    {
        double sum = 0;
        foreach (var column in _columns)
            sum += column[row] * column[row];
        return sum;
    }

    private static double[] Sum(double[][] columns, double[] factors)
    {
        var sum = new double[columns[0].Length];
        for (var k = 0; k < columns.Length; k++)
            Lanes.Add(sum, columns[k], factors[k]);
        return sum;
    }

    private static int Whole(int length) => (length + 3) & ~3;
}
