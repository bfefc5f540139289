using BuildTrack.Metrology.LevelNetwork;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>The same adjustment slow and obvious: one dense matrix of weighted observations and its QR factors, what is undetermined from eigenvalues.</summary>
internal sealed class DenseNetwork
{
    private const double NoEigenvalue = 1e-10;

    private readonly IReadOnlyList<LevelObservation> _net;
    private readonly Dictionary<string, double> _known;
    private readonly List<string> _unknown;
    private readonly List<string> _lines;

    public DenseNetwork(IReadOnlyList<LevelObservation> net, Dictionary<string, double> known)
    {
        (_net, _known) = (net, known);
        Points = [.. net.SelectMany(o => new[] { o.From, o.To }).Distinct()];
        _unknown = [.. Points.Where(p => !known.ContainsKey(p))];
        _lines = [.. net.Select(o => o.Line).OfType<string>().Distinct()];
        var datum = Datum();
        Defect = datum.Length;
        if (Defect <= (known.Count == 0 ? 3 : 0))
            Solve(datum);
    }

    public List<string> Points { get; }

    public int Defect { get; }

    public int DegreesOfFreedom => _net.Count - _unknown.Count - _lines.Count + Defect;

    public double[] HeightsUm { get; private set; } = [];

    public double[] Cofactors { get; private set; } = [];

    public double[] LineRisesUm { get; private set; } = [];

    public double[] ResidualsUm { get; private set; } = [];

    public double[] Redundancy { get; private set; } = [];

    private Matrix<double> Coefficients()
    {
        var matrix = Matrix<double>.Build.Dense(_net.Count, _unknown.Count + _lines.Count);
        for (var i = 0; i < _net.Count; i++)
        {
            if (_unknown.IndexOf(_net[i].To) is var to and >= 0)
                matrix[i, to] += 1;
            if (_unknown.IndexOf(_net[i].From) is var from and >= 0)
                matrix[i, from] -= 1;
            if (_net[i].Line is { } line)
                matrix[i, _unknown.Count + _lines.IndexOf(line)] = 1;
        }

        return matrix;
    }

    /// <summary>Orthonormal directions in which the heights may move without any observation noticing, once the lines follow.</summary>
    private Vector<double>[] Datum()
    {
        if (_unknown.Count == 0)
            return [];
        if (_lines.Count == 0)
            return _known.Count > 0 ? [] : [Vector<double>.Build.Dense(_unknown.Count, 1 / Math.Sqrt(_unknown.Count))];
        var all = Coefficients();
        Matrix<double> points = all.SubMatrix(0, _net.Count, 0, _unknown.Count), lines = all.SubMatrix(0, _net.Count, _unknown.Count, _lines.Count);
        var joint = points.TransposeThisAndMultiply(lines);
        var normal = points.TransposeThisAndMultiply(points) - (joint * lines.TransposeThisAndMultiply(lines).Inverse() * joint.Transpose());
        var parts = normal.Evd(Symmetricity.Symmetric);
        var values = parts.EigenValues.Select(v => v.Real).ToArray();
        return [.. Enumerable.Range(0, _unknown.Count).Where(k => values[k] <= NoEigenvalue * values.Max()).Select(k => parts.EigenVectors.Column(k))];
    }

    private void Solve(Vector<double>[] datum)
    {
        var columns = _unknown.Count + _lines.Count;
        var plain = Coefficients();
        var roots = Vector<double>.Build.Dense([.. _net.Select(o => Math.Sqrt(o.Weight))]);
        var largest = roots.Maximum();
        var rises = Vector<double>.Build.Dense([.. _net.Select(o => o.RiseUm - _known.GetValueOrDefault(o.To) + _known.GetValueOrDefault(o.From))]);
        var matrix = Matrix<double>.Build.Dense(_net.Count + datum.Length, Math.Max(columns, 1));
        var right = Vector<double>.Build.Dense(_net.Count + datum.Length);
        for (var i = 0; i < _net.Count; i++)
        {
            for (var k = 0; k < columns; k++)
                matrix[i, k] = roots[i] / largest * plain[i, k];
            right[i] = roots[i] / largest * rises[i];
        }

        for (var k = 0; k < datum.Length; k++)
        {
            for (var p = 0; p < _unknown.Count; p++)
                matrix[_net.Count + k, p] = datum[k][p];
        }

        var solution = Vector<double>.Build.Dense(Math.Max(columns, 1));
        Redundancy = [.. _net.Select(_ => 1.0)];
        Cofactors = new double[Points.Count];
        if (columns > 0)
        {
            var factors = matrix.QR(QRMethod.Thin);
            solution = factors.Solve(right);
            solution += factors.Solve(right - (matrix * solution));
            var inverse = factors.R.Solve(Matrix<double>.Build.DenseIdentity(columns));
            for (var i = 0; i < _net.Count; i++)
                Redundancy[i] = 1 - factors.Q.Row(i).DotProduct(factors.Q.Row(i));
            for (var p = 0; p < _unknown.Count; p++)
                Cofactors[Points.IndexOf(_unknown[p])] = (inverse.Row(p).DotProduct(inverse.Row(p)) - datum.Sum(d => d[p] * d[p])) / largest / largest;
        }

        HeightsUm = [.. Points.Select(p => _known.TryGetValue(p, out var height) ? height : solution[_unknown.IndexOf(p)])];
        LineRisesUm = [.. _lines.Select((_, k) => solution[_unknown.Count + k])];
        ResidualsUm = columns == 0 ? [.. rises.Select(r => -r)] : [.. (plain * solution) - rises];
    }
}
