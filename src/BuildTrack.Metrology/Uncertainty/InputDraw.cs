using BuildTrack.Metrology.Chance;

namespace BuildTrack.Metrology.Uncertainty;

/// <summary>Random values of the input quantities of a model (JCGM 101:2008, 6.4).</summary>
/// <remarks>Square roots, logarithms and the four operations only: the same values on every machine.</remarks>
public static class InputDraw
{
    /// <summary>Normal, for a best estimate and its standard uncertainty (6.4.7).</summary>
    /// <param name="source">Random numbers.</param>
    /// <param name="mean">Best estimate, unit of the quantity.</param>
    /// <param name="standardUncertainty">u, above zero, unit of the quantity.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">u not above zero.</exception>
    public static double Normal(SeededSource source, double mean, double standardUncertainty)
    {
        Check(source, mean);
        return mean + (Guard.FinitePositive(standardUncertainty, "standard uncertainty") * source.NextNormal());
    }

    /// <summary>Two normal quantities that are correlated (6.4.8).</summary>
    /// <param name="source">Random numbers.</param>
    /// <param name="firstMean">Best estimate of the first, unit of the first.</param>
    /// <param name="firstUncertainty">Its u, above zero, unit of the first.</param>
    /// <param name="secondMean">Best estimate of the second, unit of the second.</param>
    /// <param name="secondUncertainty">Its u, above zero, unit of the second.</param>
    /// <param name="correlation">r from −1 to 1, dimensionless.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An uncertainty not above zero, a correlation outside −1 … 1.</exception>
    public static (double First, double Second) NormalPair(
        SeededSource source, double firstMean, double firstUncertainty, double secondMean, double secondUncertainty, double correlation)
    {
        Check(source, firstMean);
        Guard.Finite(secondMean, "second mean");
        Guard.FinitePositive(firstUncertainty, "first uncertainty");
        Guard.FinitePositive(secondUncertainty, "second uncertainty");
        if (Math.Abs(Guard.Finite(correlation, nameof(correlation))) > 1)
            Guard.ThrowOutOfRange(correlation, nameof(correlation), "from -1 to 1");
        double one = source.NextNormal(), other = source.NextNormal();
        return (firstMean + (firstUncertainty * one),
            secondMean + (secondUncertainty * ((correlation * one) + (Math.Sqrt(1 - (correlation * correlation)) * other))));
    }

    /// <summary>Between two bounds (6.4.2, 6.4.5, 6.4.6).</summary>
    /// <param name="source">Random numbers.</param>
    /// <param name="middle">Middle of the bounds, unit of the quantity.</param>
    /// <param name="halfWidth">Half their distance, above zero, unit of the quantity.</param>
    /// <param name="shape">What is known between them.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A half-width not above zero, an unknown shape.</exception>
    public static double Bounded(SeededSource source, double middle, double halfWidth, BoundedShape shape)
    {
        Check(source, middle);
        Guard.FinitePositive(halfWidth, "half-width");
        return middle + (halfWidth * shape switch
        {
            BoundedShape.Rectangular => (2 * source.NextUniform()) - 1,
            BoundedShape.Triangular => source.NextUniform() - source.NextUniform(),
            BoundedShape.UShaped => CosineOfAnyAngle(source),
            _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, "Not a shape between bounds."),
        });
    }

    /// <summary>Student's t, for the mean of few readings (6.4.9): scaled and shifted.</summary>
    /// <param name="source">Random numbers.</param>
    /// <param name="mean">Mean of the readings, unit of the quantity.</param>
    /// <param name="scale">s/√n, above zero, unit of the quantity.</param>
    /// <param name="degreesOfFreedom">Readings less one, 1 or more.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A scale not above zero, degrees of freedom below one.</exception>
    public static double Student(SeededSource source, double mean, double scale, int degreesOfFreedom)
    {
        Check(source, mean);
        Guard.FinitePositive(scale, nameof(scale));
        return mean + (scale * source.NextNormal() / Math.Sqrt(source.NextChiSquare(degreesOfFreedom) / degreesOfFreedom));
    }

    /// <summary>A point anywhere in a disc lies in a direction of any angle θ; (x² − y²)/(x² + y²) is cos 2θ.</summary>
    private static double CosineOfAnyAngle(SeededSource source)
    {
        while (true)
        {
            double x = (2 * source.NextUniform()) - 1, y = (2 * source.NextUniform()) - 1, square = (x * x) + (y * y);
            if (square is > 0 and <= 1)
                return ((x * x) - (y * y)) / square;
        }
    }

    private static void Check(SeededSource source, double mean)
    {
        ArgumentNullException.ThrowIfNull(source);
        Guard.Finite(mean, nameof(mean));
    }
}
