using System.Collections.Immutable;

namespace BuildTrack.Metrology.Acceptance;

/// <summary>Classes of ISO 13920 for lengths.</summary>
public enum LinearClass
{
    /// <summary>The narrowest.</summary>
    A,

    /// <summary>The usual one for machine frames.</summary>
    B,

    /// <summary>Wider.</summary>
    C,

    /// <summary>The widest.</summary>
    D,
}

/// <summary>Classes of ISO 13920 for straightness, flatness and parallelism.</summary>
public enum FormClass
{
    /// <summary>The narrowest.</summary>
    E,

    /// <summary>The usual one for machine frames.</summary>
    F,

    /// <summary>Wider; these figures are recalled, not read: see docs/method/acceptance.md.</summary>
    G,

    /// <summary>The widest; recalled, not read.</summary>
    H,
}

/// <summary>General tolerances of welded structures, ISO 13920: by class and nominal size.</summary>
/// <remarks>A size equal to the upper end of a range belongs to that range ("over 1000 up to 2000"). Sources: docs/method/acceptance.md.</remarks>
public static class GeneralTolerance
{
    /// <summary>Smallest nominal length of the table, mm.</summary>
    public const double SmallestLengthMm = 2;

    /// <summary>Form has a limit for sizes above this, mm.</summary>
    public const double SmallestFormMm = 30;

    /// <summary>Largest size that is taken, mm (1 km).</summary>
    public const double LargestMm = 1e6;

    /// <summary>Upper ends of the ranges of length; the last range has none.</summary>
    private static readonly ImmutableArray<double> LengthsToMm = [30, 120, 400, 1000, 2000, 4000, 8000, 12000, 16000, 20000];

    private static readonly ImmutableArray<ImmutableArray<double?>> Lengths =
    [
        [1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9],
        [null, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16],
        [null, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27],
        [null, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40],
    ];

    /// <summary>One row for each class; the first column is the range up to 120 mm.</summary>
    private static readonly ImmutableArray<ImmutableArray<double?>> Forms =
    [
        [0.5, 1, 1.5, 2, 3, 4, 5, 6, 7, 8],
        [1, 1.5, 3, 4.5, 6, 8, 10, 12, 14, 16],
        [1.5, 3, 5.5, 9, 11, 16, 20, 22, 25, 25],
        [2.5, 5, 9, 14, 18, 26, 32, 36, 40, 40],
    ];

    /// <summary>Limit deviation ± of a length, mm; null where the table read has none (2 to 30 mm in classes B to D).</summary>
    /// <param name="linearClass">The class.</param>
    /// <param name="sizeMm">Nominal length, 2 mm or more.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An unknown class, or a size outside the table.</exception>
    public static double? LengthLimitMm(LinearClass linearClass, double sizeMm)
    {
        if (!Enum.IsDefined(linearClass))
            throw new ArgumentOutOfRangeException(nameof(linearClass), linearClass, "ISO 13920 has classes A to D.");
        if (Guard.Finite(sizeMm, nameof(sizeMm)) is < SmallestLengthMm or > LargestMm)
            Guard.ThrowOutOfRange(sizeMm, nameof(sizeMm), "from 2 mm to 1 km");
        return Lengths[(int)linearClass][Column(sizeMm)];
    }

    /// <summary>Tolerance of straightness, flatness and parallelism, mm.</summary>
    /// <param name="formClass">The class.</param>
    /// <param name="sizeMm">Longer side of the surface, above 30 mm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An unknown class, or a size outside the table.</exception>
    public static double FormLimitMm(FormClass formClass, double sizeMm)
    {
        if (!Enum.IsDefined(formClass))
            throw new ArgumentOutOfRangeException(nameof(formClass), formClass, "ISO 13920 has classes E to H.");
        if (Guard.Finite(sizeMm, nameof(sizeMm)) is <= SmallestFormMm or > LargestMm)
            Guard.ThrowOutOfRange(sizeMm, nameof(sizeMm), "above 30 mm, up to 1 km");
        return Forms[(int)formClass][Column(sizeMm) - 1]!.Value;
    }

    private static int Column(double sizeMm)
    {
        var column = 0;
        while (column < LengthsToMm.Length && sizeMm > LengthsToMm[column])
            column++;
        return column;
    }
}
