using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>The least-squares solution by orthogonal (QR) factors of the weighted observation matrix, never of its square.</summary>
internal sealed class NetworkAdjustment
{
    /// <summary>An eigenvalue below this part of the largest is zero; of a chain of 1000 points the smallest true one is 10⁻⁵.</summary>
    private const double NoEigenvalue = 1e-10;

    private readonly NetworkLayout _layout;
    private readonly int[] _column;
    private readonly int _free;

    private NetworkAdjustment(NetworkLayout layout)
    {
        _layout = layout;
        _column = new int[layout.Points.Length];
        for (var i = 0; i < _column.Length; i++)
            _column[i] = layout.Fixed[i] is null ? _free++ : -1;
        HeightsUm = new double[layout.Points.Length];
        Cofactors = new double[layout.Points.Length];
        LineRisesUm = new double[layout.Lines.Length];
        ResidualsUm = new double[layout.From.Length];
        Redundancy = Enumerable.Repeat(1.0, layout.From.Length).ToArray();
    }

    public double[] HeightsUm { get; }

    public double[] Cofactors { get; }

    public double[] LineRisesUm { get; }

    public double[] ResidualsUm { get; }

    public double[] Redundancy { get; }

    /// <summary>How many directions of the heights no observation fixes.</summary>
    public int Defect { get; private set; }

    public int DegreesOfFreedom => _layout.From.Length - _free - _layout.Lines.Length + Defect;

    /// <summary>Adjusts, unless more is undetermined than allowed.</summary>
    public static NetworkAdjustment Of(NetworkLayout layout, IReadOnlyList<LevelObservation> observations, int largestDefect)
    {
        var adjustment = new NetworkAdjustment(layout);
        var datum = adjustment.Datum();
        adjustment.Defect = datum.Length;
        if (datum.Length <= largestDefect)
            adjustment.Solve(observations, datum);
        return adjustment;
    }

    /// <summary>Orthonormal directions in which the heights may move without any observation noticing (once the lines follow).</summary>
    private Vector<double>[] Datum()
    {
        var build = Vector<double>.Build;
        if (_free == 0)
            return [];
        if (_layout.Lines.Length == 0)
            return _layout.Free ? [build.Dense(_free, 1 / Math.Sqrt(_free))] : [];

        // Normal matrix of equal weights with the lines taken out: what is undetermined does not depend on the weights.
        var normal = Matrix<double>.Build.Dense(_free, _free);
        var ofLine = _layout.Lines.Select(_ => new Dictionary<int, double>()).ToArray();
        var counts = new int[_layout.Lines.Length];
        for (var i = 0; i < _layout.From.Length; i++)
        {
            var terms = Terms(i);
            foreach (var (a, signA) in terms)
            {
                foreach (var (b, signB) in terms)
                    normal[a, b] += signA * signB;
                if (_layout.Line[i] >= 0)
                    ofLine[_layout.Line[i]][a] = ofLine[_layout.Line[i]].GetValueOrDefault(a) + signA;
            }

            if (_layout.Line[i] >= 0)
                counts[_layout.Line[i]]++;
        }

        for (var line = 0; line < counts.Length; line++)
        {
            foreach (var (a, valueA) in ofLine[line])
            {
                foreach (var (b, valueB) in ofLine[line])
                    normal[a, b] -= valueA * valueB / counts[line];
            }
        }

        var parts = normal.Evd(Symmetricity.Symmetric);
        var values = parts.EigenValues.Select(v => v.Real).ToArray();
        var largest = values.Max();
        return [.. Enumerable.Range(0, _free).Where(k => values[k] <= NoEigenvalue * largest || largest <= 0).Select(k => parts.EigenVectors.Column(k))];
    }

    private void Solve(IReadOnlyList<LevelObservation> observations, Vector<double>[] datum)
    {
        int count = observations.Count, columns = _free + _layout.Lines.Length;
        var start = _layout.Approximate(observations);
        var rest = new double[count];
        for (var i = 0; i < count; i++)
            rest[i] = observations[i].RiseUm - (start[_layout.To[i]] - start[_layout.From[i]]);
        var change = Vector<double>.Build.Dense(Math.Max(columns, 1));
        if (columns > 0)
        {
            var largest = observations.Max(o => o.Weight);
            var matrix = Matrix<double>.Build.Dense(count + datum.Length, columns);
            var right = Vector<double>.Build.Dense(count + datum.Length);
            for (var i = 0; i < count; i++)
            {
                var root = Math.Sqrt(observations[i].Weight / largest);
                foreach (var (column, sign) in Terms(i))
                    matrix[i, column] += sign * root;
                if (_layout.Line[i] >= 0)
                    matrix[i, _free + _layout.Line[i]] = root;
                right[i] = rest[i] * root;
            }

            // Rows orthogonal to all observations: they fix the datum at the least heights and change nothing else.
            for (var k = 0; k < datum.Length; k++)
            {
                for (var p = 0; p < start.Length; p++)
                {
                    matrix[count + k, _column[p]] = datum[k][_column[p]];
                    right[count + k] -= datum[k][_column[p]] * start[p];
                }
            }

            var factors = matrix.QR(QRMethod.Thin);
            change = factors.Solve(right);

            // Once more for what rounding left.
            change += factors.Solve(right - (matrix * change));
            Precision(factors, datum, largest);
        }

        for (var p = 0; p < start.Length; p++)
            HeightsUm[p] = _column[p] < 0 ? start[p] : start[p] + change[_column[p]];
        for (var line = 0; line < LineRisesUm.Length; line++)
            LineRisesUm[line] = change[_free + line];
        for (var i = 0; i < count; i++)
        {
            double adjusted = _layout.Line[i] >= 0 ? LineRisesUm[_layout.Line[i]] : 0;
            foreach (var (column, sign) in Terms(i))
                adjusted += sign * change[column];
            ResidualsUm[i] = adjusted - rest[i];
        }
    }

    private void Precision(QR<double> factors, Vector<double>[] datum, double largestWeight)
    {
        var q = factors.Q;
        for (var i = 0; i < Redundancy.Length; i++)
        {
            double sum = 0;
            for (var k = 0; k < q.ColumnCount; k++)
                sum += q[i, k] * q[i, k];
            Redundancy[i] = Math.Clamp(1 - sum, 0, 1);
        }

        var inverse = factors.R.Solve(Matrix<double>.Build.DenseIdentity(q.ColumnCount));
        for (var p = 0; p < Cofactors.Length; p++)
        {
            if (_column[p] < 0)
                continue;
            double sum = 0;
            for (var k = 0; k < q.ColumnCount; k++)
                sum += inverse[_column[p], k] * inverse[_column[p], k];
            foreach (var direction in datum)
                sum -= direction[_column[p]] * direction[_column[p]];
            Cofactors[p] = Math.Max(sum, 0) / largestWeight;
        }
    }

    private List<(int Column, int Sign)> Terms(int observation)
    {
        List<(int, int)> terms = [];
        if (_column[_layout.To[observation]] is var to and >= 0)
            terms.Add((to, 1));
        if (_column[_layout.From[observation]] is var from and >= 0)
            terms.Add((from, -1));
        return terms;
    }
}
