namespace BuildTrack.Metrology;

/// <summary>Sine, cosine and tangent of an angle in degrees, the same bits on every machine.</summary>
/// <remarks>The functions of the platform differ between server and browser in their last digits. Here only the four operations are used: the whole
/// quarter turns are taken out exactly, then a series up to the seventeenth power; within 3·10⁻¹⁶. Multiples of 90° are exact.</remarks>
public static class Degrees
{
    private const double RadiansPerDegree = Math.PI / 180;

    // 1/3!, 1/5! … 1/17! with their signs, and 1/2!, 1/4! … 1/16!: after them the next term is below 10⁻¹⁹ at 45°.
    private static ReadOnlySpan<double> SineTerms =>
        [-1.0 / 6, 1.0 / 120, -1.0 / 5040, 1.0 / 362880, -1.0 / 39916800, 1.0 / 6227020800, -1.0 / 1307674368000, 1.0 / 355687428096000];

    private static ReadOnlySpan<double> CosineTerms =>
        [-1.0 / 2, 1.0 / 24, -1.0 / 720, 1.0 / 40320, -1.0 / 3628800, 1.0 / 479001600, -1.0 / 87178291200, 1.0 / 20922789888000];

    /// <summary>Sine and cosine, dimensionless.</summary>
    /// <param name="degrees">Angle in degrees, any number of turns.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    public static (double Sine, double Cosine) SineAndCosine(double degrees)
    {
        var rest = Guard.Finite(degrees, nameof(degrees)) % 360;
        var quarters = (int)Math.Round(rest / 90);
        var x = (rest - (90 * quarters)) * RadiansPerDegree;
        double sine = x + (x * Series(SineTerms, x * x)), cosine = 1 + Series(CosineTerms, x * x);
        return (quarters & 3) switch
        {
            0 => (sine, cosine),
            1 => (cosine, -sine),
            2 => (-sine, -cosine),
            _ => (-cosine, sine),
        };
    }

    /// <summary>Tangent, dimensionless; infinite at an odd number of quarter turns.</summary>
    /// <param name="degrees">Angle in degrees.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    public static double Tangent(double degrees)
    {
        var (sine, cosine) = SineAndCosine(degrees);
        return sine / cosine;
    }

    private static double Series(ReadOnlySpan<double> terms, double square)
    {
        var sum = 0.0;
        for (var i = terms.Length - 1; i >= 0; i--)
            sum = (sum + terms[i]) * square;
        return sum;
    }
}
