namespace BuildTrack.Metrology.TwoMethods;

/// <summary>Two results for one quantity, by two methods, beside each other.</summary>
/// <param name="First">First value, unit of the results.</param>
/// <param name="FirstU">Its expanded uncertainty U (k = 2), unit of the results.</param>
/// <param name="Second">Second value, unit of the results.</param>
/// <param name="SecondU">Its expanded uncertainty U (k = 2), unit of the results.</param>
/// <param name="Difference">First less second, unit of the results.</param>
/// <param name="DifferenceU">√(U₁² + U₂²), unit of the results.</param>
/// <param name="En">Difference over its U, signed, dimensionless.</param>
public sealed record TwoResults(double First, double FirstU, double Second, double SecondU, double Difference, double DifferenceU, double En)
{
    /// <summary>|En| is 1 or less: the difference can be explained by what both results say of their own uncertainty.</summary>
    public bool Agree => Math.Abs(En) <= 1;
}

/// <summary>Agreement of two results within their uncertainty: the E_n number of ISO 13528 and ISO/IEC 17043.</summary>
/// <remarks>Method and limits: docs/method/two-methods.md. The two results are taken as independent.</remarks>
public static class TwoMethodsCalculation
{
    /// <summary>Largest number that is taken, unit of the results.</summary>
    public const double LargestNumber = 1e12;

    /// <summary>Compares.</summary>
    /// <param name="first">First value, unit of the results.</param>
    /// <param name="firstU">Its expanded uncertainty U (k = 2), unit of the results; zero only where the other is not.</param>
    /// <param name="second">Second value, unit of the results.</param>
    /// <param name="secondU">Its expanded uncertainty U (k = 2), unit of the results.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, both zero, or a number beyond <see cref="LargestNumber"/>.</exception>
    public static TwoResults Of(double first, double firstU, double second, double secondU)
    {
        Check(first, nameof(first));
        Check(second, nameof(second));
        Check(Guard.FiniteNotNegative(firstU, nameof(firstU)), nameof(firstU));
        Check(Guard.FiniteNotNegative(secondU, nameof(secondU)), nameof(secondU));
        var together = Math.Sqrt((firstU * firstU) + (secondU * secondU));
        if (together < 1 / LargestNumber)
            Guard.ThrowOutOfRange(secondU, nameof(secondU), "above zero where the other is not: two results without uncertainty cannot be compared");
        return new TwoResults(first, firstU, second, secondU, first - second, together, (first - second) / together);
    }

    private static void Check(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestNumber)
            Guard.ThrowOutOfRange(value, name, "within ±10¹²");
    }
}
