namespace BuildTrack.Metrology.Circular;

/// <summary>Why points have no circle.</summary>
public enum CircleDefect
{
    /// <summary>They have one.</summary>
    None,

    /// <summary>Fewer than three.</summary>
    TooFewPoints,

    /// <summary>They lie on one line, or so nearly that the centre runs away.</summary>
    OnOneLine,
}

/// <summary>The circle of least squared distances, or the defect that leaves none.</summary>
/// <param name="CentreXMm">Centre, mm; 0 with a defect.</param>
/// <param name="CentreYMm">Centre, mm; 0 with a defect.</param>
/// <param name="RadiusMm">Mean distance of the points from the centre, mm; 0 with a defect.</param>
/// <param name="SumOfSquaresMm2">Sum of squared distances from the circle, mm².</param>
/// <param name="LargestMm">Largest distance of a point from the centre, mm.</param>
/// <param name="SmallestMm">Smallest distance of a point from the centre, mm.</param>
/// <param name="Defect">What is wrong with the points, if anything.</param>
public sealed record FittedCircle(
    double CentreXMm, double CentreYMm, double RadiusMm, double SumOfSquaresMm2, double LargestMm, double SmallestMm, CircleDefect Defect);

/// <summary>Circle of least squares through points in a plane.</summary>
/// <remarks>Geometric: the distances across the circle are squared, not the residuals of its equation, which pull the centre away on an arc.
/// Method: docs/method/circular.md.</remarks>
public static class CircleFit
{
    /// <summary>Largest coordinate that is taken, mm.</summary>
    public const double LargestMm = 1e9;

    private const int MostSteps = 500;

    /// <summary>Across an extent of 1, an arc that leaves less than this of a bow has no centre.</summary>
    private const double Flat = 1e-7;

    /// <summary>Near its least the sum is level over half the digits of the centre; there the steps themselves must die away.</summary>
    private const double Level = 1 + 1e-12;

    /// <summary>Fits.</summary>
    /// <param name="xMm">Coordinates, mm.</param>
    /// <param name="yMm">Coordinates, mm.</param>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number beyond <see cref="LargestMm"/>.</exception>
    public static FittedCircle LeastSquares(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm)
    {
        Check(xMm, nameof(xMm));
        Check(yMm, nameof(yMm));
        Guard.SameLength(yMm.Length, nameof(yMm), xMm.Length, nameof(xMm));
        if (xMm.Length < 3)
            return Without(CircleDefect.TooFewPoints);

        // About the mean and in units of the extent: the numbers below then are near 1.
        double meanX = Mean(xMm), meanY = Mean(yMm), extent = 0;
        double[] x = new double[xMm.Length], y = new double[xMm.Length];
        for (var i = 0; i < x.Length; i++)
        {
            (x[i], y[i]) = (xMm[i] - meanX, yMm[i] - meanY);
            extent = Math.Max(extent, Math.Max(Math.Abs(x[i]), Math.Abs(y[i])));
        }

        for (var i = 0; extent > 0 && i < x.Length; i++)
            (x[i], y[i]) = (x[i] / extent, y[i] / extent);
        if (extent == 0 || Start(x, y) is not { } centre || Refined(x, y, centre) is not { } found)
            return Without(CircleDefect.OnOneLine);
        var about = new About(x, y, found.X, found.Y);
        return new FittedCircle(
            meanX + (extent * found.X), meanY + (extent * found.Y), extent * about.Mean, extent * extent * about.Squares, extent * about.Largest, extent * about.Smallest,
            CircleDefect.None);
    }

    /// <summary>Centre of the circle whose equation has the least squared residuals (Kåsa): two linear equations.</summary>
    private static (double X, double Y)? Start(double[] x, double[] y)
    {
        double xx = 0, xy = 0, yy = 0, xr = 0, yr = 0;
        for (var i = 0; i < x.Length; i++)
        {
            var square = (x[i] * x[i]) + (y[i] * y[i]);
            (xx, xy, yy) = (xx + (x[i] * x[i]), xy + (x[i] * y[i]), yy + (y[i] * y[i]));
            (xr, yr) = (xr + (x[i] * square), yr + (y[i] * square));
        }

        var determinant = (xx * yy) - (xy * xy);
        return determinant <= Flat * Flat * (xx + yy) * (xx + yy)
            ? null
            : (((xr * yy) - (yr * xy)) / (2 * determinant), ((yr * xx) - (xr * xy)) / (2 * determinant));
    }

    /// <summary>Steps of Gauss and Newton on the centre alone (the radius is the mean distance), halved where the sum would grow.</summary>
    private static (double X, double Y)? Refined(double[] x, double[] y, (double X, double Y) centre)
    {
        var here = new About(x, y, centre.X, centre.Y);
        for (var step = 0; step < MostSteps; step++)
        {
            var (dx, dy) = here.Step(x, y);
            if (!double.IsFinite(dx) || !double.IsFinite(dy))
                return null;
            About next;
            var halvings = 0;
            do
            {
                next = new About(x, y, here.X + dx, here.Y + dy);
                (dx, dy) = (dx / 2, dy / 2);
            }
            while (next.Squares > here.Squares * Level && ++halvings < 60);
            var moved = Math.Max(Math.Abs(next.X - here.X), Math.Abs(next.Y - here.Y));
            if (next.Squares > here.Squares * Level)
                break;
            here = next;
            if (Math.Max(Math.Abs(here.X), Math.Abs(here.Y)) > 1 / Flat)
                return null;
            if (moved <= 32 * Rounding.Unit * (1 + here.Mean))
                break;
        }

        return (here.X, here.Y);
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (var value in values)
            sum += value - values[0];
        return values[0] + (sum / values.Length);
    }

    private static void Check(ReadOnlySpan<double> values, string name)
    {
        Guard.Finite(values, name);
        foreach (var value in values)
        {
            if (Math.Abs(value) > LargestMm)
                Guard.ThrowOutOfRange(value, name, "within ±10⁹");
        }
    }

    private static FittedCircle Without(CircleDefect defect) => new(0, 0, 0, 0, 0, 0, defect);

    /// <summary>Distances of all points from one centre.</summary>
    private sealed class About
    {
        private readonly double[] _distances;

        public About(double[] x, double[] y, double centreX, double centreY)
        {
            (X, Y) = (centreX, centreY);
            _distances = new double[x.Length];
            double sum = 0;
            for (var i = 0; i < x.Length; i++)
            {
                double dx = x[i] - X, dy = y[i] - Y;
                _distances[i] = Math.Sqrt((dx * dx) + (dy * dy));
                sum += _distances[i] - _distances[0];
            }

            Mean = _distances[0] + (sum / x.Length);
            (Largest, Smallest) = (_distances.Max(), _distances.Min());
            foreach (var distance in _distances)
                Squares += (distance - Mean) * (distance - Mean);
        }

        public double X { get; }

        public double Y { get; }

        public double Mean { get; }

        public double Squares { get; }

        public double Largest { get; }

        public double Smallest { get; }

        /// <summary>The step of the centre that would take out the residuals if the distances were linear in it.</summary>
        public (double Dx, double Dy) Step(double[] x, double[] y)
        {
            var count = x.Length;
            double[] ux = new double[count], uy = new double[count];
            for (var i = 0; i < count; i++)
            {
                // A point on the centre has no direction; it moves nothing.
                if (_distances[i] > 0)
                    (ux[i], uy[i]) = ((x[i] - X) / _distances[i], (y[i] - Y) / _distances[i]);
            }

            double meanX = ux.Average(), meanY = uy.Average(), xx = 0, xy = 0, yy = 0, xe = 0, ye = 0;
            for (var i = 0; i < count; i++)
            {
                double ax = ux[i] - meanX, ay = uy[i] - meanY, rest = _distances[i] - Mean;
                (xx, xy, yy) = (xx + (ax * ax), xy + (ax * ay), yy + (ay * ay));
                (xe, ye) = (xe + (ax * rest), ye + (ay * rest));
            }

            var determinant = (xx * yy) - (xy * xy);
            return (((xe * yy) - (ye * xy)) / determinant, ((ye * xx) - (xe * xy)) / determinant);
        }
    }
}
