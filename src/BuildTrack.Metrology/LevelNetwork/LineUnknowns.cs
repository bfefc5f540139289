using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The unknown slopes of lines, after the heights are eliminated.</summary>
/// <remarks>What the best heights leave of a line's unit slope is a column of its own; the slopes are fitted to such columns alone by orthogonal (QR) factors
/// (R. Frisch, F. V. Waugh, 1933).</remarks>
internal sealed class LineUnknowns
{
    /// <summary>An eigenvalue below this is zero; the largest possible is 1.</summary>
    private const double NoEigenvalue = 1e-10;

    /// <summary>Undetermined directions: slopes of the lines, and the heights that follow them by position.</summary>
    private readonly (double[] Slopes, double[] Heights)[] _free;
    private Matrix<double>? _orthogonal;

    /// <summary>Heights by position for a unit of each independent unknown.</summary>
    private Matrix<double>? _heights;

    private LineUnknowns((double[] Slopes, double[] Heights)[] free) => _free = free;

    /// <summary>How many directions of the slopes no observation fixes, once the heights follow.</summary>
    public int Defect => _free.Length;

    /// <summary>Finds what the lines leave undetermined; null without lines.</summary>
    public static LineUnknowns? Of(NetworkLayout layout, Dissection order, int[] places)
    {
        if (layout.Lines.Length == 0)
            return null;

        // Equal weights: what is undetermined does not depend on them.
        var weights = new double[layout.From.Length];
        Array.Fill(weights, 1);
        var scale = Vector<double>.Build.Dense(layout.Lines.Length);
        foreach (var line in layout.Line)
        {
            if (line >= 0)
                scale[line]++;
        }

        scale = scale.Map(count => 1 / Math.Sqrt(count));
        var (heights, left) = Columns(layout, order, new NetworkFactor(order, places, weights), weights, scale);
        var parts = left.TransposeThisAndMultiply(left).Evd(Symmetricity.Symmetric);
        var none = Enumerable.Range(0, layout.Lines.Length).Where(k => parts.EigenValues[k].Real <= NoEigenvalue).Select(parts.EigenVectors.Column);
        return new LineUnknowns([.. none.Select(free => (free.PointwiseMultiply(scale).ToArray(), (-heights * free).ToArray()))]);
    }

    /// <summary>Solves for the slopes and takes their part out of the heights.</summary>
    /// <param name="rest">Rises, µm.</param>
    /// <param name="heights">Best heights by position without slopes; changed.</param>
    /// <param name="rises">Filled with the slopes.</param>
    public void Solve(NetworkLayout layout, Dissection order, NetworkFactor factor, double[] weights, double[] rest, double[] heights, double[] rises)
    {
        var scale = Vector<double>.Build.Dense(layout.Lines.Length);
        for (var i = 0; i < weights.Length; i++)
        {
            if (layout.Line[i] >= 0)
                scale[layout.Line[i]] += weights[i];
        }

        scale = scale.Map(sum => 1 / Math.Sqrt(sum));
        var (columns, left) = Columns(layout, order, factor, weights, scale);

        // Below the observations, rows orthogonal to all of them: they hold the undetermined directions at zero and change nothing else.
        var matrix = Matrix<double>.Build.Dense(weights.Length + Defect, scale.Count);
        var right = Vector<double>.Build.Dense(weights.Length + Defect);
        for (var i = 0; i < weights.Length; i++)
        {
            var root = Math.Sqrt(weights[i]);
            right[i] = root * (rest[i] - (heights[order.Position[layout.To[i]]] - heights[order.Position[layout.From[i]]]));
            for (var line = 0; line < scale.Count; line++)
                matrix[i, line] = root * left[i, line];
        }

        if (Defect > 0)
        {
            var free = Matrix<double>.Build.DenseOfColumns(_free.Select(f => f.Slopes.Select((slope, line) => slope / scale[line])));
            matrix.SetSubMatrix(weights.Length, 0, free.QR(QRMethod.Thin).Q.Transpose());
        }

        var factors = matrix.QR(QRMethod.Thin);
        var slopes = factors.Solve(right);
        slopes += factors.Solve(right - (matrix * slopes));
        slopes.PointwiseMultiply(scale).ToArray().CopyTo(rises, 0);
        var change = (columns * slopes).ToArray();
        for (var p = 0; p < heights.Length; p++)
            heights[p] -= change[p];
        _orthogonal = factors.Q;
        _heights = factors.R.Transpose().Solve(columns.Transpose()).Transpose();
    }

    /// <summary>The undetermined directions: heights by point, slopes by line.</summary>
    public IEnumerable<(double[] Heights, double[] Rises)> Tilts(Dissection order) =>
        _free.Select(f => (Array.ConvertAll(order.Position, position => f.Heights[position]), (double[])f.Slopes.Clone()));

    /// <summary>Share of an observation in its own adjusted value by way of the slopes, dimensionless.</summary>
    public double Share(int observation) => Square(_orthogonal!, observation);

    /// <summary>Variance that the slopes give to the height at a position, unit of 1/weight.</summary>
    public double Variance(int position) => Square(_heights!, position);

    /// <summary>Adds the slopes' part to cofactors times a direction, both by position.</summary>
    public void AddImage(double[] direction, double[] image)
    {
        var part = _heights! * _heights!.TransposeThisAndMultiply(Vector<double>.Build.Dense(direction));
        for (var p = 0; p < image.Length; p++)
            image[p] += part[p];
    }

    /// <summary>For each line its heights by position for a scaled unit of slope, and what these leave of it in each observation.</summary>
    private static (Matrix<double> Heights, Matrix<double> Left) Columns(
        NetworkLayout layout, Dissection order, NetworkFactor factor, double[] weights, Vector<double> scale)
    {
        var heights = Matrix<double>.Build.Dense(order.Datum + 1, scale.Count);
        var left = Matrix<double>.Build.Dense(weights.Length, scale.Count);
        var rises = new double[weights.Length];
        for (var line = 0; line < scale.Count; line++)
        {
            for (var i = 0; i < rises.Length; i++)
                rises[i] = layout.Line[i] == line ? 1 : 0;
            var column = NetworkAdjustment.Heights(layout, order, factor, weights, rises);
            for (var p = 0; p < column.Length; p++)
                heights[p, line] = column[p] * scale[line];
            for (var i = 0; i < rises.Length; i++)
                left[i, line] = (rises[i] - (column[order.Position[layout.To[i]]] - column[order.Position[layout.From[i]]])) * scale[line];
        }

        return (heights, left);
    }

    private static double Square(Matrix<double> rows, int row)
    {
        double sum = 0;
        for (var k = 0; k < rows.ColumnCount; k++)
            sum += rows[row, k] * rows[row, k];
        return sum;
    }
}
