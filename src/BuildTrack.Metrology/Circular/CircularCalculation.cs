using System.Collections.Immutable;
using System.Globalization;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace BuildTrack.Metrology.Circular;

/// <summary>Circular test of two linear axes after ISO 230-4: circular deviation, radial deviation, and what its two-lobed shape says of the axes.</summary>
public static class CircularCalculation
{
    /// <summary>Fewest readings in a direction, dimensionless: a reading every 45°, three more than the lobes have unknowns.</summary>
    public const int FewestPoints = 8;

    /// <summary>Widest part of a path without a reading, degrees; a wider one leaves an arc.</summary>
    public const double LargestGapDeg = 45;

    /// <summary>Shortest arc that is evaluated, degrees: noise of the readings enters its radius and centre ten times as much as those of a full circle.</summary>
    public const double SmallestArcDeg = 90;

    /// <summary>A path without a reading over more than this part of an arc is none, dimensionless.</summary>
    public const double LargestGapPart = 0.25;

    /// <summary>Noise of the readings may enter a lobe from an arc by this factor against a full circle of as many readings, dimensionless.</summary>
    public const double LargestNoiseFactor = 3;

    /// <summary>Largest deviation of the radius, as a part of the nominal radius, dimensionless: beyond it a unit was mistaken.</summary>
    public const double LargestPart = 0.05;

    /// <summary>Largest nominal radius that is taken, mm; the smallest is its inverse.</summary>
    public const double LargestRadiusMm = 1e5;

    /// <summary>Two angles as near as this are one place, degrees.</summary>
    internal const double NearestDeg = 1e-9;

    /// <summary>What an eccentric set-up may falsify before a remark is made, µm.</summary>
    private const double NoticedUm = 0.1;

    private const double UmPerMm = 1000;

    /// <summary>Calculates the figures of the directions that were measured.</summary>
    /// <remarks>Definitions, conventions and limits: docs/method/circular.md. The order of the readings does not matter.</remarks>
    /// <param name="readings">Angles in degrees, deviations of the radius in µm.</param>
    /// <param name="radiusMm">Nominal radius, mm.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A radius outside 10⁻⁵ … 10⁵ mm, a deviation beyond <see cref="LargestPart"/> of it, an unknown sense.</exception>
    public static CircularResult Of(IReadOnlyList<CircularReading> readings, double radiusMm)
    {
        ArgumentNullException.ThrowIfNull(readings);
        if (Guard.FinitePositive(radiusMm, nameof(radiusMm)) is > LargestRadiusMm or < 1 / LargestRadiusMm)
            Guard.ThrowOutOfRange(radiusMm, nameof(radiusMm), "between 10⁻⁵ and 10⁵");
        for (var i = 0; i < readings.Count; i++)
            Check(readings[i], radiusMm, string.Create(CultureInfo.InvariantCulture, $"readings[{i}]"));

        var clockwise = Sorted(readings, ContouringSense.Clockwise);
        var counter = Sorted(readings, ContouringSense.CounterClockwise);
        if (CircularLayout.Defect(clockwise, counter) is { } defective)
            return new CircularResult(null, null, null, [], defective.Defect, defective.Sentence);
        return Figures(new Path(clockwise, radiusMm), new Path(counter, radiusMm), new Path([.. clockwise, .. counter], radiusMm), radiusMm);
    }

    /// <summary>An angle within one turn: 0 included, 360 not; degrees.</summary>
    /// <param name="angleDeg">Any angle, degrees.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    public static double WithinTurn(double angleDeg)
    {
        var rest = Guard.Finite(angleDeg, nameof(angleDeg)) % 360;
        rest = rest < 0 ? rest + 360 : rest;
        return rest >= 360 - NearestDeg || rest == 0 ? 0 : rest;
    }

    /// <summary>Distance of a reading's place from a centre, less the nominal radius, µm.</summary>
    /// <param name="reading">Angle in degrees, deviation of the radius in µm.</param>
    /// <param name="radiusMm">Nominal radius, mm.</param>
    /// <param name="centreXUm">The centre from that of the set-up, µm.</param>
    /// <param name="centreYUm">The same along Y, µm.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    public static double FromCentreUm(CircularReading reading, double radiusMm, double centreXUm, double centreYUm)
    {
        Guard.Finite(reading.RadiusDeviationUm, nameof(reading));
        var (sine, cosine) = Degrees.SineAndCosine(reading.AngleDeg);
        var radius = Guard.FinitePositive(radiusMm, nameof(radiusMm)) + (reading.RadiusDeviationUm / UmPerMm);
        double dx = (radius * cosine) - (Guard.Finite(centreXUm, nameof(centreXUm)) / UmPerMm), dy = (radius * sine) - (Guard.Finite(centreYUm, nameof(centreYUm)) / UmPerMm);
        return (Math.Sqrt((dx * dx) + (dy * dy)) - radiusMm) * UmPerMm;
    }

    private static void Check(CircularReading reading, double radiusMm, string place)
    {
        Guard.Finite(reading.AngleDeg, place + ".AngleDeg");
        if (Math.Abs(Guard.Finite(reading.RadiusDeviationUm, place + ".RadiusDeviationUm")) > LargestPart * radiusMm * UmPerMm)
            Guard.ThrowOutOfRange(reading.RadiusDeviationUm, place + ".RadiusDeviationUm", "within a twentieth of the nominal radius");
        if (reading.Sense is not (ContouringSense.Clockwise or ContouringSense.CounterClockwise))
            throw new ArgumentOutOfRangeException(nameof(reading), reading.Sense, $"{place} has no known direction.");
    }

    private static CircularReading[] Sorted(IReadOnlyList<CircularReading> readings, ContouringSense sense) =>
        [.. readings.Where(r => r.Sense == sense).Select(r => r with { AngleDeg = WithinTurn(r.AngleDeg) }).OrderBy(r => r.AngleDeg).ThenBy(r => r.RadiusDeviationUm)];

    private static CircularResult Figures(Path clockwise, Path counter, Path both, double radiusMm)
    {
        var common = both.Centre;
        CircularPath?[] paths = [clockwise.Figures(common), counter.Figures(common)];
        var measured = paths.OfType<CircularPath>().ToArray();
        var two = measured.Length == 2;
        double? mean = two ? (measured[0].RadiusUm + measured[1].RadiusUm) / 2 : null;
        double? scale = measured.All(p => p.ScaleMismatchUmPerM is not null) ? measured.Average(p => p.ScaleMismatchUmPerM) : null;
        double? squareness = measured.All(p => p.SquarenessUmPerM is not null) ? measured.Average(p => p.SquarenessUmPerM) : null;
        double[] read = [.. both.DeviationsUm];
        var figures = new CircularFigures(
            common.CentreXMm * UmPerMm, common.CentreYMm * UmPerMm, two ? (common.LargestMm - common.SmallestMm) * UmPerMm : null, two ? both.NarrowestUm : null,
            measured.Max(p => p.RadialMaxUm), measured.Min(p => p.RadialMinUm), read.Max(), read.Min(),
            mean, squareness, scale, scale * radiusMm / UmPerMm);
        return new CircularResult(paths[0], paths[1], figures, Remarks(common, radiusMm, paths), CircularDefect.None, null);
    }

    private static ImmutableArray<string> Remarks(FittedCircle common, double radiusMm, CircularPath?[] paths)
    {
        var remarks = ImmutableArray.CreateBuilder<string>();
        var square = (common.CentreXMm * common.CentreXMm) + (common.CentreYMm * common.CentreYMm);
        if (square / (2 * radiusMm) * UmPerMm is var falsified and > NoticedUm)
            remarks.Add(string.Create(CultureInfo.InvariantCulture, $"The instrument stood {Math.Sqrt(square) * UmPerMm:F0} µm off the centre of the path; that may falsify the figures by {falsified:F1} µm. Centre it and measure again."));
        foreach (var (path, word) in new[] { (paths[0], "Clockwise"), (paths[1], "Counter-clockwise") })
        {
            if (path?.Arc is { } arc)
            {
                remarks.Add(string.Create(
                    CultureInfo.InvariantCulture,
                    $"{word} an arc of {arc.LengthDeg:0.##}° from {arc.FromDeg:0.##}° was measured: its figures are those of the arc, "
                    + $"and noise of the readings enters its radius {arc.RadiusNoiseFactor:F1} times as much as that of a full circle."));
            }
        }

        if (paths.Any(p => p is null))
            remarks.Add("One direction only: reversal and lag of the axes enter its squareness and scale; the mean of both directions is freer of them.");
        return remarks.ToImmutable();
    }

    /// <summary>One path as points in the plane, mm from the centre of the set-up.</summary>
    private sealed class Path
    {
        private readonly double[] _x;
        private readonly double[] _y;
        private readonly double _radiusMm;
        private readonly CircularReading[] _readings;
        private FittedCircle? _centre;

        public Path(CircularReading[] readings, double radiusMm)
        {
            _readings = readings;
            _radiusMm = radiusMm;
            _x = new double[readings.Length];
            _y = new double[readings.Length];
            for (var i = 0; i < readings.Length; i++)
            {
                var (sine, cosine) = Degrees.SineAndCosine(readings[i].AngleDeg);
                var radius = radiusMm + (readings[i].RadiusDeviationUm / UmPerMm);
                (_x[i], _y[i]) = (radius * cosine, radius * sine);
            }
        }

        public FittedCircle Centre => _centre ??= CircleFit.LeastSquares(_x, _y);

        public double NarrowestUm => NarrowestRing.Of(_x, _y) is { } ring ? ring.WidthMm * UmPerMm : 0;

        public IEnumerable<double> DeviationsUm => _readings.Select(r => r.RadiusDeviationUm);

        public CircularPath? Figures(FittedCircle common)
        {
            if (_readings.Length == 0)
                return null;
            var (own, about) = (Distances(Centre), Distances(common));
            var (cosine, sine, factors) = Lobes(own);
            var arc = CircularLayout.Arc(_readings) is { } part ? new CircularArc(part.FromDeg, part.ToDeg, part.LengthDeg, factors.Radius) : null;
            var (squarenessAbsent, scaleAbsent) = (Absent(arc, "squareness", factors.Sine), Absent(arc, "scale", factors.Cosine));
            return new CircularPath(
                _readings.Length, own.Max() - own.Min(), NarrowestUm, (Centre.RadiusMm - _radiusMm) * UmPerMm, Centre.CentreXMm * UmPerMm, Centre.CentreYMm * UmPerMm,
                about.Max(), about.Min(), squarenessAbsent is null ? 2 * sine * UmPerMm / _radiusMm : null, scaleAbsent is null ? 2 * cosine * UmPerMm / _radiusMm : null,
                arc, squarenessAbsent, scaleAbsent);
        }

        private static string? Absent(CircularArc? arc, string what, double factor) => arc is null || factor <= LargestNoiseFactor ? null : string.Create(
            CultureInfo.InvariantCulture,
            $"On the arc of {arc.LengthDeg:0.##}° from {arc.FromDeg:0.##}° noise of the readings enters the {what} {factor:F1} times as much "
            + $"as on a full circle; at most {LargestNoiseFactor} is taken.");

        /// <summary>Distances from a centre less the nominal radius, µm.</summary>
        private double[] Distances(FittedCircle centre) => [.. _x.Select((x, i) =>
        {
            double dx = x - centre.CentreXMm, dy = _y[i] - centre.CentreYMm;
            return (Math.Sqrt((dx * dx) + (dy * dy)) - _radiusMm) * UmPerMm;
        })];

        /// <summary>Least squares on 1, cos θ, sin θ, cos 2θ, sin 2θ, the angles taken from the fitted centre, so that an eccentric set-up leaves no lobe of its own.</summary>
        /// <remarks>The factors are those of the standard deviations against a full circle of as many readings, where they are σ·√(2/n) for a lobe and σ/√n for the radius
        /// beside a centre. The covariance is (RᵀR)⁻¹ of the triangle R; its first three rows are the triangle of radius and centre alone.</remarks>
        private (double Cosine, double Sine, (double Radius, double Cosine, double Sine) Factors) Lobes(double[] distancesUm)
        {
            var count = distancesUm.Length;
            var angles = Matrix<double>.Build.Dense(count, 5);
            for (var i = 0; i < count; i++)
            {
                double dx = _x[i] - Centre.CentreXMm, dy = _y[i] - Centre.CentreYMm, distance = Math.Sqrt((dx * dx) + (dy * dy));
                double cosine = dx / distance, sine = dy / distance;
                angles.SetRow(i, [1, cosine, sine, (cosine - sine) * (cosine + sine), 2 * sine * cosine]);
            }

            var triangle = angles.QR(QRMethod.Thin);
            var lobes = triangle.Solve(Vector<double>.Build.Dense(distancesUm));
            var (five, three) = (triangle.R.Inverse(), triangle.R.SubMatrix(0, 3, 0, 3).Inverse());
            double Norm(Matrix<double> inverse, int row) => Math.Sqrt(inverse.Row(row).DotProduct(inverse.Row(row)));
            return (lobes[3], lobes[4], (Norm(three, 0) * Math.Sqrt(count), Norm(five, 3) * Math.Sqrt(count / 2.0), Norm(five, 4) * Math.Sqrt(count / 2.0)));
        }
    }
}
