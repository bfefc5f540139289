namespace BuildTrack.Metrology.Commissioning;

/// <summary>A beam by its caustic.</summary>
/// <param name="WaistPositionMm">Where the waist lies, mm.</param>
/// <param name="WaistDiameterUm">Second-moment diameter of the waist, µm.</param>
/// <param name="DivergenceMrad">Full divergence angle, mrad.</param>
/// <param name="RayleighMm">Rayleigh length, mm.</param>
/// <param name="BeamParameterMmMrad">Beam parameter product, waist radius × half angle, mm·mrad.</param>
/// <param name="TimesDiffractionLimit">M², dimensionless.</param>
/// <param name="WithinRayleigh">Planes within one Rayleigh length of the waist, dimensionless; about half of them should be.</param>
/// <param name="Planes">How many planes, dimensionless.</param>
/// <param name="DefectSentence">Why there is no beam; null where there is one.</param>
public sealed record CausticResult(
    double WaistPositionMm, double WaistDiameterUm, double DivergenceMrad, double RayleighMm, double BeamParameterMmMrad, double TimesDiffractionLimit, int WithinRayleigh, int Planes,
    string? DefectSentence);

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
    /// <param name="wavelengthUm">Wavelength, µm, 0.1 to 1000.</param>
    /// <exception cref="ArgumentException">Series of different length, a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static CausticResult Of(ReadOnlySpan<double> zMm, ReadOnlySpan<double> diameterUm, double wavelengthUm)
    {
        Guard.Finite(zMm, nameof(zMm));
        Guard.SameLength(diameterUm.Length, nameof(diameterUm), zMm.Length, nameof(zMm));
        if (Guard.Finite(wavelengthUm, nameof(wavelengthUm)) is < ShortestUm or > 1000)
            Guard.ThrowOutOfRange(wavelengthUm, nameof(wavelengthUm), "from 0.1 to 1000 µm");
        for (var i = 0; i < zMm.Length; i++)
        {
            if (Guard.Finite(diameterUm[i], FormattableString.Invariant($"diameterUm[{i}]")) is < SmallestUm or > Largest)
                Guard.ThrowOutOfRange(diameterUm[i], FormattableString.Invariant($"diameterUm[{i}]"), "from 0.001 to 1e6 µm");
            if (Math.Abs(zMm[i]) > Largest)
                Guard.ThrowOutOfRange(zMm[i], FormattableString.Invariant($"zMm[{i}]"), "within ±1e6 mm");
        }

        if (zMm.Length < FewestPlanes)
            return Nothing(zMm.Length, FormattableString.Invariant($"There are {zMm.Length} planes; ten are needed, half of them within one Rayleigh length of the waist."));

        // About their middle and over their half span the positions are between −1 and 1, and the sums keep their digits.
        double low = zMm[0], high = zMm[0];
        foreach (var z in zMm)
            (low, high) = (Math.Min(low, z), Math.Max(high, z));
        var (middle, half) = (low + ((high - low) / 2), (high - low) / 2);
        if (half < 1e-9)
            return Nothing(zMm.Length, "All planes lie at one place.");
        Span<double> m = stackalloc double[12];
        for (var i = 0; i < zMm.Length; i++)
        {
            var (t, y) = ((zMm[i] - middle) / half, diameterUm[i] * diameterUm[i] / 1e6);
            ReadOnlySpan<double> f = [1 / y, t / y, t * t / y, 1];
            for (var r = 0; r < 3; r++)
            {
                for (var c = 0; c < 4; c++)
                    m[(r * 4) + c] += f[r] * f[c];
            }
        }

        if (!Solve(m))
            return Nothing(zMm.Length, "The planes lie at fewer than three places.");

        // d² = p + q t + s t² in mm², back in z: c = s/half².
        var (p, q, s) = (m[3], m[7], m[11]);
        if (s <= 0 || (4 * p * s) <= q * q)
            return Nothing(zMm.Length, "The diameters have no waist: the fit is no caustic.");
        var root = Math.Sqrt((4 * p * s) - (q * q));
        var waist = middle - (half * q / (2 * s));
        var diameter = root / (2 * Math.Sqrt(s));
        var (divergence, rayleigh) = (Math.Sqrt(s) / half, half * root / (2 * s));
        var within = 0;
        foreach (var z in zMm)
            within += Math.Abs(z - waist) <= rayleigh ? 1 : 0;
        var product = diameter * divergence * 1000 / 4;
        return new CausticResult(waist, 1000 * diameter, 1000 * divergence, rayleigh, product, product * Math.PI / wavelengthUm, within, zMm.Length, null);
    }

    private static CausticResult Nothing(int planes, string why) => new(0, 0, 0, 0, 0, 0, 0, planes, why);

    // Three equations by elimination with the largest pivot; the solution stands in the last column.
    private static bool Solve(Span<double> m)
    {
        var largest = Math.Max(m[0], Math.Max(m[5], m[10]));
        for (var k = 0; k < 3; k++)
        {
            var pivot = k;
            for (var r = k + 1; r < 3; r++)
                pivot = Math.Abs(m[(r * 4) + k]) > Math.Abs(m[(pivot * 4) + k]) ? r : pivot;
            if (Math.Abs(m[(pivot * 4) + k]) <= 1e-13 * largest)
                return false;
            for (var c = 0; c < 4; c++)
                (m[(k * 4) + c], m[(pivot * 4) + c]) = (m[(pivot * 4) + c], m[(k * 4) + c]);
            for (var r = 0; r < 3; r++)
            {
                if (r == k)
                    continue;
                var factor = m[(r * 4) + k] / m[(k * 4) + k];
                for (var c = k; c < 4; c++)
                    m[(r * 4) + c] -= factor * m[(k * 4) + c];
            }
        }

        for (var r = 0; r < 3; r++)
            m[(r * 4) + 3] /= m[(r * 4) + r];
        return true;
    }
}
