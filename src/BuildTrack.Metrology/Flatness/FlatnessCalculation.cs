namespace BuildTrack.Metrology.Flatness;

/// <summary>Flatness of a set of points: least squares and minimum zone in one call.</summary>
public static class FlatnessCalculation
{
    /// <summary>Calculates both flatness values of points given by x, y and height.</summary>
    /// <param name="xMm">Position along x, mm.</param>
    /// <param name="yMm">Position along y, mm.</param>
    /// <param name="heightsUm">Height along z, µm.</param>
    /// <returns>A value for three points and more (none can decide below four), a named defect otherwise; never NaN.</returns>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite.</exception>
    public static FlatnessResult Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm) =>
        throw new NotImplementedException();
}
