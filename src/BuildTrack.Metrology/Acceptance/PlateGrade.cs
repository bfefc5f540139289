using System.Collections.Immutable;

namespace BuildTrack.Metrology.Acceptance;

/// <summary>Standards that grade surface plates by their overall flatness.</summary>
public enum PlateStandard
{
    /// <summary>DIN 876, by the longest side.</summary>
    Din876,

    /// <summary>Federal Specification GGG-P-463c, kept by ASME B89.3.7, by the diagonal.</summary>
    GggP463c,

    /// <summary>ISO 8512-1 and -2, by the diagonal; recalled, not read: see docs/method/acceptance.md.</summary>
    Iso8512,
}

/// <summary>Limit of the overall flatness of one grade.</summary>
/// <param name="Grade">The standard's own mark of the grade.</param>
/// <param name="LimitUm">The limit that is applied, µm.</param>
/// <param name="TabulatedUm">The rounded value a table prints where the formula is applied instead, µm; null where limit and table are one.</param>
/// <param name="FromMemory">The figures are recalled, not read.</param>
public sealed record PlateGradeLimit(string Grade, double LimitUm, double? TabulatedUm, bool FromMemory);

/// <summary>Limits of all grades of a standard for one size of plate.</summary>
/// <param name="Standard">The standard.</param>
/// <param name="SizeMm">The length its formula takes, mm: longest side, diagonal, or diagonal rounded up to the next 100 mm.</param>
/// <param name="WithinTable">The size lies within the printed table; outside, the formula is carried on and a contract should say so.</param>
/// <param name="Grades">From the narrowest to the widest.</param>
public sealed record PlateLimits(PlateStandard Standard, double SizeMm, bool WithinTable, ImmutableArray<PlateGradeLimit> Grades);

/// <summary>Flatness grades of surface plates.</summary>
/// <remarks>Sources, and which of formula and table is applied: docs/method/acceptance.md.</remarks>
public static class PlateGrade
{
    /// <summary>Shortest side that is taken, mm.</summary>
    public const double SmallestSideMm = 50;

    /// <summary>Longest side that is taken, mm.</summary>
    public const double LargestSideMm = 10000;

    private const double MmPerInch = 25.4;

    private const double UmPerMicroInch = 0.0254;

    /// <summary>Limits of all grades for a plate.</summary>
    /// <param name="standard">The standard.</param>
    /// <param name="lengthMm">One side, mm.</param>
    /// <param name="widthMm">The other side, mm; the order does not matter.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An unknown standard, or a side outside 50 mm to 10 m.</exception>
    public static PlateLimits Limits(PlateStandard standard, double lengthMm, double widthMm)
    {
        Check(lengthMm, nameof(lengthMm));
        Check(widthMm, nameof(widthMm));
        var diagonal = Math.Sqrt((lengthMm * lengthMm) + (widthMm * widthMm));
        return standard switch
        {
            PlateStandard.Din876 => Din876(Math.Max(lengthMm, widthMm)),
            PlateStandard.GggP463c => GggP463c(diagonal),
            PlateStandard.Iso8512 => Iso8512(100 * Math.Ceiling(diagonal / 100)),
            _ => throw new ArgumentOutOfRangeException(nameof(standard), standard, "Plates are graded by DIN 876, GGG-P-463c or ISO 8512."),
        };
    }

    private static PlateLimits Din876(double longestMm) => new(
        PlateStandard.Din876, longestMm, longestMm is >= 200 and <= 6500,
        [
            new("00", 2 + (longestMm / 500), null, true), new("0", 4 + (longestMm / 250), null, false), new("I", 10 + (longestMm / 100), null, false),
            new("II", 20 + (longestMm / 50), null, false), new("III", 40 + (longestMm / 25), null, false),
        ]);

    /// <remarks>The tables round to 25 micro-inches up to 100 and to 50 above: inferred, it gives every row of them.</remarks>
    private static PlateLimits GggP463c(double diagonalMm)
    {
        var inches = diagonalMm / MmPerInch;
        var microInches = 40 + (inches * inches / 25);
        var step = microInches > 100 ? 50 : 25;
        var (limit, tabulated) = (microInches * UmPerMicroInch, step * Math.Round(microInches / step) * UmPerMicroInch);

        // The table begins with a plate of 12 × 12 and ends with one of 48 × 96 inches.
        return new PlateLimits(
            PlateStandard.GggP463c, diagonalMm, (inches * inches) is >= 288 * (1 - 1e-12) and <= 11520 * (1 + 1e-12),
            [new("AA", limit, tabulated, false), new("A", 2 * limit, 2 * tabulated, false), new("B", 4 * limit, 4 * tabulated, false)]);
    }

    /// <remarks>With whole hundreds of millimetres no value lies half-way between two steps.</remarks>
    private static PlateLimits Iso8512(double diagonalMm) => new(
        PlateStandard.Iso8512, diagonalMm, diagonalMm is >= 200 and <= 3000,
        [
            new("0", Math.Round(2 * ((0.003 * diagonalMm) + 2.5)) / 2, null, true), new("1", Math.Round((0.006 * diagonalMm) + 5), null, true),
            new("2", Math.Round((0.012 * diagonalMm) + 10), null, true), new("3", Math.Round((0.024 * diagonalMm) + 20), null, true),
        ]);

    private static void Check(double sideMm, string name)
    {
        if (Guard.Finite(sideMm, name) is < SmallestSideMm or > LargestSideMm)
            Guard.ThrowOutOfRange(sideMm, name, "from 50 mm to 10 m");
    }
}
