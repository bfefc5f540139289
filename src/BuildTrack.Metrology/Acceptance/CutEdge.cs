using System.Collections.Immutable;

namespace BuildTrack.Metrology.Acceptance;

/// <summary>Limits for laser cuts after ISO 9013:2017: squareness of the cut face, roughness, size of the part.</summary>
/// <remarks>Valid for thicknesses of 0.5 to 32 mm; thicker plate has no limit in the standard and needs one in the contract. Sources and open points: docs/method/acceptance.md.</remarks>
public static class CutEdge
{
    /// <summary>Thinnest plate of the standard for laser cuts, mm.</summary>
    public const double ThinnestMm = 0.5;

    /// <summary>Thickest plate of the standard for laser cuts, mm.</summary>
    public const double ThickestMm = 32;

    private static readonly ImmutableArray<Line> SquarenessMm = [new(0.05m, 0.003m), new(0.15m, 0.007m), new(0.4m, 0.01m), new(0.8m, 0.02m), new(1.2m, 0.035m)];

    private static readonly ImmutableArray<Line> RoughnessUm = [new(10, 0.6m), new(40, 0.8m), new(70, 1.2m), new(110, 1.8m)];

    /// <summary>Upper ends of the columns: a size equal to one belongs to the next column.</summary>
    private static readonly ImmutableArray<double> SizesBelowMm = [3, 10, 35, 125, 315, 1000, 2000, 4000, 6000, 8000];

    private static readonly ImmutableArray<Row> FirstClassMm =
    [
        new(1, [0.075, 0.1, 0.1, 0.2, 0.2, 0.3, 0.4, 0.65, 0.9, 1.6]),
        new(3.15, [0.1, 0.15, 0.2, 0.25, 0.25, 0.35, 0.4, 0.65, 1.0, 1.75]),
        new(6.3, [0.2, 0.2, 0.25, 0.25, 0.3, 0.4, 0.45, 0.7, 1.1, 1.9]),
        new(10, [null, 0.25, 0.3, 0.3, 0.35, 0.45, 0.55, 0.75, 1.25, 2.2]),
        new(15, [null, 0.3, 0.35, 0.4, 0.45, 0.55, 0.65, 0.85, 1.5, 2.5]),
        new(20, [null, 0.4, 0.4, 0.45, 0.55, 0.75, 0.85, 1.2, 1.9, 2.8]),
        new(25, [null, 0.45, 0.5, 0.6, 0.7, 0.9, 1.1, 1.6, 2.4, 3.25]),
        new(32, [null, null, 0.7, 0.7, 0.8, 1.0, 1.6, 2.25, 3.0, 4.0]),
    ];

    private static readonly ImmutableArray<Row> SecondClassMm =
    [
        new(1, [0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9, null, null]),
        new(3.15, [0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1, 1.1, 1.4, 1.4]),
        new(6.3, [0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6]),
        new(10, [null, 1, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2]),
        new(15, [null, 1.8, 1.8, 1.8, 1.9, 2.3, 3, 4.2, 4.3, 4.5]),
        new(20, [null, 1.8, 1.8, 1.8, 1.9, 2.3, 3, 4.2, 4.3, 4.5]),
        new(25, [null, 1.8, 1.8, 1.8, 1.9, 2.3, 3, 4.2, 4.3, 4.5]),
        new(32, [null, 1.8, 1.8, 1.8, 1.9, 2.3, 3, 4.2, null, null]),
    ];

    /// <summary>Largest perpendicularity or angularity u of the cut face, mm.</summary>
    /// <param name="range">Range 1 to 5, dimensionless.</param>
    /// <param name="thicknessMm">Thickness of the plate, mm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">No such range, or a thickness outside 0.5 to 32 mm.</exception>
    public static double SquarenessLimitMm(int range, double thicknessMm) => Limit(SquarenessMm, range, thicknessMm);

    /// <summary>Largest mean height of the profile Rz5, µm.</summary>
    /// <param name="range">Range 1 to 4, dimensionless.</param>
    /// <param name="thicknessMm">Thickness of the plate, mm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">No such range, or a thickness outside 0.5 to 32 mm.</exception>
    public static double RoughnessLimitUm(int range, double thicknessMm) => Limit(RoughnessUm, range, thicknessMm);

    /// <summary>Limit deviation ± of a dimension of the part, mm; null where the standard has none.</summary>
    /// <param name="toleranceClass">Class 1 or 2, dimensionless.</param>
    /// <param name="thicknessMm">Thickness of the plate, mm.</param>
    /// <param name="sizeMm">Nominal dimension, mm, above zero; at 8 m and more there is no limit.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">No such class, a size not above zero, or a thickness outside 0.5 to 32 mm.</exception>
    public static double? SizeLimitMm(int toleranceClass, double thicknessMm, double sizeMm)
    {
        var rows = toleranceClass switch
        {
            1 => FirstClassMm,
            2 => SecondClassMm,
            _ => throw new ArgumentOutOfRangeException(nameof(toleranceClass), toleranceClass, "ISO 9013 has classes 1 and 2."),
        };
        Thickness(thicknessMm);
        Guard.FinitePositive(sizeMm, nameof(sizeMm));
        var row = rows.First(r => thicknessMm <= r.ToMm);
        for (var i = 0; i < SizesBelowMm.Length; i++)
        {
            if (sizeMm < SizesBelowMm[i])
                return row.LimitsMm[i];
        }

        return null;
    }

    private static double Limit(ImmutableArray<Line> lines, int range, double thicknessMm)
    {
        if (range < 1 || range > lines.Length)
            throw new ArgumentOutOfRangeException(nameof(range), range, FormattableString.Invariant($"There are ranges 1 to {lines.Length}."));
        Thickness(thicknessMm);

        // Decimal, as on paper: 0.05 + 0.003 · 10 is 0.08 and not a bit above it.
        return (double)(lines[range - 1].Constant + (lines[range - 1].PerMm * (decimal)thicknessMm));
    }

    private static void Thickness(double thicknessMm)
    {
        if (Guard.Finite(thicknessMm, nameof(thicknessMm)) is < ThinnestMm or > ThickestMm)
            Guard.ThrowOutOfRange(thicknessMm, nameof(thicknessMm), "from 0.5 to 32 mm, the range of ISO 9013 for laser cuts");
    }

    private sealed record Line(decimal Constant, decimal PerMm);

    private sealed record Row(double ToMm, ImmutableArray<double?> LimitsMm);
}
