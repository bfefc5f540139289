using System.Collections.Immutable;

namespace BuildTrack.Metrology.Straightness;

/// <summary>Which way the arrow on a level (or the plus of an autocollimator) points.</summary>
public enum LevelArrow
{
    /// <summary>Toward +X: a positive reading is a rise toward +X.</summary>
    TowardPlusX,

    /// <summary>Toward −X: a positive reading is a fall toward +X.</summary>
    TowardMinusX,
}

/// <summary>From readings of a level or autocollimator, stepped along a line by its base, to heights.</summary>
/// <remarks>n readings give n + 1 heights: z₀ = 0, zᵢ = zᵢ₋₁ + reading × base. Method: docs/method/straightness.md.</remarks>
public static class LevelReadings
{
    /// <summary>One arc-second in µm/m: π/648000 · 10⁶, a small angle as a ratio.</summary>
    public const double UmPerMPerArcsec = Math.PI / 648000 * 1e6;

    /// <summary>No position in mm, height in µm or reading in µm/m is larger than this; larger ones are no measurement.</summary>
    public const double LargestNumber = 1e12;

    /// <summary>Arc-seconds to µm/m, exactly.</summary>
    /// <param name="readingsArcsec">Readings, arcsec.</param>
    /// <exception cref="ArgumentException">A reading is NaN or infinite.</exception>
    public static ImmutableArray<double> FromArcsec(ReadOnlySpan<double> readingsArcsec)
    {
        Guard.Finite(readingsArcsec, nameof(readingsArcsec));
        var result = ImmutableArray.CreateBuilder<double>(readingsArcsec.Length);
        foreach (var reading in readingsArcsec)
            result.Add(reading * UmPerMPerArcsec);
        return result.MoveToImmutable();
    }

    /// <summary>The reading as a rise toward +X. The sign belongs to the level, not to the travel.</summary>
    /// <param name="readingUmPerM">What the level shows, µm/m.</param>
    /// <param name="arrow">Which way its arrow pointed.</param>
    /// <exception cref="ArgumentException">The reading is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">There is no such arrow.</exception>
    public static double TowardPlusX(double readingUmPerM, LevelArrow arrow) => arrow switch
    {
        LevelArrow.TowardPlusX => Guard.Finite(readingUmPerM, nameof(readingUmPerM)),
        LevelArrow.TowardMinusX => -Guard.Finite(readingUmPerM, nameof(readingUmPerM)),
        _ => throw new ArgumentOutOfRangeException(nameof(arrow), arrow, "Not a way an arrow points."),
    };

    /// <summary>Cumulative heights of the stations 0 … n, µm; the first is 0.</summary>
    /// <param name="readingsUmPerM">Rises toward +X, one for each base length, in the order of the stations toward +X, µm/m.</param>
    /// <param name="baseMm">Distance of the feet, which is the step, mm.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The base is not above zero, or a number is beyond <see cref="LargestNumber"/>.</exception>
    public static ImmutableArray<double> HeightsUm(ReadOnlySpan<double> readingsUmPerM, double baseMm)
    {
        Measurable(readingsUmPerM, nameof(readingsUmPerM));
        Step(baseMm);
        var heights = ImmutableArray.CreateBuilder<double>(readingsUmPerM.Length + 1);
        heights.Add(0);

        // The readings are added before they are multiplied: whole readings then keep all their digits.
        double sum = 0;
        foreach (var reading in readingsUmPerM)
        {
            sum += reading;
            heights.Add(sum * baseMm / 1000);
        }

        return heights.MoveToImmutable();
    }

    /// <summary>Positions of the stations that <see cref="HeightsUm"/> gives heights for, mm: 0, base, 2 base …</summary>
    /// <param name="readings">How many readings there are.</param>
    /// <param name="baseMm">Distance of the feet, mm.</param>
    /// <exception cref="ArgumentOutOfRangeException">A negative count, or a base that is not above zero.</exception>
    public static ImmutableArray<double> PositionsMm(int readings, double baseMm)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(readings);
        Step(baseMm);
        var positions = ImmutableArray.CreateBuilder<double>(readings + 1);
        for (var i = 0; i <= readings; i++)
            positions.Add(i * baseMm);
        return positions.MoveToImmutable();
    }

    internal static void Measurable(ReadOnlySpan<double> values, string name)
    {
        Guard.Finite(values, name);
        foreach (var value in values)
        {
            if (Math.Abs(value) > LargestNumber)
                Guard.ThrowOutOfRange(value, name, "within ±10¹²");
        }
    }

    private static void Step(double baseMm)
    {
        Guard.FinitePositive(baseMm, nameof(baseMm));
        if (baseMm > LargestNumber)
            Guard.ThrowOutOfRange(baseMm, nameof(baseMm), "10¹² at most");
    }
}
