using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace BuildTrack.Metrology.Commissioning;

/// <summary>A beam by its caustic.</summary>
/// <param name="WaistPositionMm">Where the waist lies, mm.</param>
/// <param name="WaistDiameterUm">Second-moment diameter of the waist, µm.</param>
/// <param name="DivergenceMrad">Full divergence angle, mrad.</param>
/// <param name="RayleighMm">Rayleigh length, mm.</param>
/// <param name="BeamParameterMmMrad">Beam parameter product, waist radius × half angle, mm·mrad.</param>
/// <param name="WithinRayleigh">Planes within one Rayleigh length of the waist, dimensionless; about half of them should be.</param>
/// <param name="BeforeRayleigh">Planes more than one Rayleigh length before the waist, dimensionless.</param>
/// <param name="BeyondRayleigh">Planes more than one Rayleigh length behind it, dimensionless.</param>
/// <param name="Planes">How many planes, dimensionless.</param>
/// <param name="ScatterShare">Standard deviation of the planes about the fit as a share of their diameter, dimensionless, with three degrees of freedom fewer than planes.</param>
/// <param name="Departures">Of every plane: diameter over that of the fit, less one, dimensionless.</param>
/// <param name="Weights">Of every plane: by what share the waist diameter changes for a share of 1 of this plane's diameter, dimensionless; together 1.</param>
/// <param name="DefectSentence">Why there is no beam; null where there is one.</param>
public sealed record CausticResult(
    double WaistPositionMm, double WaistDiameterUm, double DivergenceMrad, double RayleighMm, double BeamParameterMmMrad, int WithinRayleigh, int BeforeRayleigh, int BeyondRayleigh, int Planes,
    double ScatterShare, IReadOnlyList<double> Departures, IReadOnlyList<double> Weights, string? DefectSentence)
{
    /// <summary>M² at a wavelength, dimensionless.</summary>
    /// <param name="wavelengthUm">Wavelength, µm, 0.1 to 1000.</param>
    /// <exception cref="ArgumentException">A number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public double TimesDiffractionLimit(double wavelengthUm)
    {
        if (Guard.Finite(wavelengthUm, nameof(wavelengthUm)) is < BeamCaustic.ShortestUm or > 1000)
            Guard.ThrowOutOfRange(wavelengthUm, nameof(wavelengthUm), "from 0.1 to 1000 µm");
        return BeamParameterMmMrad * Math.PI / wavelengthUm;
    }

    /// <summary>Standard uncertainty of the waist diameter out of independent ones of the planes, as shares of a diameter, dimensionless.</summary>
    /// <param name="planeShares">Of every plane: standard uncertainty of its diameter over the diameter, zero or more, dimensionless.</param>
    /// <exception cref="ArgumentException">As many as planes are needed; a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A share below zero.</exception>
    public double WaistShare(ReadOnlySpan<double> planeShares)
    {
        Guard.SameLength(planeShares.Length, nameof(planeShares), Weights.Count, nameof(Weights));
        var sum = 0.0;
        for (var i = 0; i < planeShares.Length; i++)
        {
            var part = Weights[i] * Guard.FiniteNotNegative(planeShares[i], FormattableString.Invariant($"planeShares[{i}]"));
            sum += part * part;
        }

        return Math.Sqrt(sum);
    }
}

/// <summary>Waist, divergence and M² out of diameters along the beam: d² = a + bz + cz² by least squares (ISO 11146-1).</summary>
/// <remarks>Each residual of d² is weighted with 1/d²: diameters of equal relative error. Method and sources: docs/method/commissioning.md.</remarks>
public static class BeamCaustic
{
    /// <summary>Fewest planes, dimensionless.</summary>
    public const int FewestPlanes = 10;

    /// <summary>Largest number that is taken, mm or µm.</summary>
    public const double Largest = 1e6;

    /// <summary>Smallest diameter that is taken, µm.</summary>
    public const double SmallestUm = 1e-3;

    /// <summary>Shortest wavelength that is taken, µm.</summary>
    public const double ShortestUm = 0.1;

    /// <summary>The beam.</summary>
    /// <param name="zMm">Position of each plane along the beam, mm.</param>
    /// <param name="diameterUm">Second-moment diameter (4σ) in it, µm, 0.001 to 1e6.</param>
    /// <exception cref="ArgumentException">Series of different length, a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static CausticResult Of(ReadOnlySpan<double> zMm, ReadOnlySpan<double> diameterUm)
    {
        Guard.Finite(zMm, nameof(zMm));
        Guard.SameLength(diameterUm.Length, nameof(diameterUm), zMm.Length, nameof(zMm));
        for (var i = 0; i < zMm.Length; i++)
        {
            if (Guard.Finite(diameterUm[i], FormattableString.Invariant($"diameterUm[{i}]")) is < SmallestUm or > Largest)
                Guard.ThrowOutOfRange(diameterUm[i], FormattableString.Invariant($"diameterUm[{i}]"), "from 0.001 to 1e6 µm");
            if (Math.Abs(zMm[i]) > Largest)
                Guard.ThrowOutOfRange(zMm[i], FormattableString.Invariant($"zMm[{i}]"), "within ±1e6 mm");
        }

        if (zMm.Length < FewestPlanes)
            return Nothing(zMm.Length, FormattableString.Invariant($"There are {zMm.Length} planes; ten are needed, half of them within one Rayleigh length of the waist."));

        // About their middle and over their half span the positions are between −1 and 1, and the fit keeps its digits.
        double low = zMm[0], high = zMm[0];
        foreach (var z in zMm)
            (low, high) = (Math.Min(low, z), Math.Max(high, z));
        var (middle, half) = (low + ((high - low) / 2), (high - low) / 2);
        if (half < 1e-9)
            return Nothing(zMm.Length, "All planes lie at one place.");
        var rows = Matrix<double>.Build.Dense(zMm.Length, 3);
        for (var i = 0; i < zMm.Length; i++)
        {
            var (t, square) = ((zMm[i] - middle) / half, diameterUm[i] * diameterUm[i] / 1e6);
            rows[i, 0] = 1 / square;
            rows[i, 1] = t / square;
            rows[i, 2] = t * t / square;
        }

        var triangle = rows.QR(QRMethod.Thin);
        if (Math.Abs(triangle.R[1, 1]) <= 1e-7 * Math.Abs(triangle.R[0, 0]) || Math.Abs(triangle.R[2, 2]) <= 1e-7 * Math.Abs(triangle.R[0, 0]))
            return Nothing(zMm.Length, "The planes lie at fewer than three places.");

        // d² = p + q t + s t² in mm², back in z: c = s/half².
        var fit = triangle.R.Solve(triangle.Q.TransposeThisAndMultiply(Vector<double>.Build.Dense(zMm.Length, 1)));
        var (p, q, s) = (fit[0], fit[1], fit[2]);
        if (s <= 0 || (4 * p * s) <= q * q)
            return Nothing(zMm.Length, "The diameters have no waist: the fit is no caustic.");
        var root = Math.Sqrt((4 * p * s) - (q * q));
        var waist = middle - (half * q / (2 * s));
        var diameter = root / (2 * Math.Sqrt(s));
        var (divergence, rayleigh) = (Math.Sqrt(s) / half, half * root / (2 * s));

        // A plane at one Rayleigh length is within it, whatever the fit rounds to.
        var (within, before, reach) = (0, 0, rayleigh * (1 + 1e-9));
        foreach (var z in zMm)
        {
            within += Math.Abs(z - waist) <= reach ? 1 : 0;
            before += z < waist - reach ? 1 : 0;
        }

        // d² of the waist is that of the parabola at its lowest place t, where a shift of t itself changes nothing: its gradient is (1, t, t²).
        var lowest = -q / (2 * s);
        var gradient = triangle.R.Transpose().Solve(Vector<double>.Build.DenseOfArray([1, lowest, lowest * lowest]));
        var weights = triangle.Q * gradient / (diameter * diameter);
        var fitted = rows * fit;
        var sum = 0.0;
        var departures = new double[zMm.Length];
        for (var i = 0; i < zMm.Length; i++)
        {
            // A share of d² is twice that of d.
            sum += (1 - fitted[i]) * (1 - fitted[i]) / 4;
            departures[i] = (1 / Math.Sqrt(fitted[i])) - 1;
        }

        return new CausticResult(
            waist, 1000 * diameter, 1000 * divergence, rayleigh, diameter * divergence * 1000 / 4, within, before, zMm.Length - within - before, zMm.Length,
            Math.Sqrt(sum / (zMm.Length - 3)), departures, weights.ToArray(), null);
    }

    private static CausticResult Nothing(int planes, string why) => new(0, 0, 0, 0, 0, 0, 0, 0, planes, 0, [], [], why);
}
