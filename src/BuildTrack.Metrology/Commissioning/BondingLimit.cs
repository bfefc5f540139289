namespace BuildTrack.Metrology.Commissioning;

/// <summary>How a bonding conductor is made.</summary>
public enum ConductorClass
{
    /// <summary>Ideal copper of the nominal cross-section: ρL/S.</summary>
    Ideal,

    /// <summary>Stranded, plain copper (IEC 60228, class 2).</summary>
    Stranded,

    /// <summary>Flexible, plain copper (IEC 60228, class 5).</summary>
    Flexible,
}

/// <summary>Largest resistance of a protective bonding connection by its conductor, as the test of continuity expects it (IEC 60204-1, 18.2).</summary>
/// <remarks>The standard has no universal limit: the result must lie in the range that length, cross-section and material give. Method and sources: docs/method/commissioning.md.</remarks>
public static class BondingLimit
{
    /// <summary>Resistivity of annealed copper at 20 °C, Ω·mm²/m.</summary>
    public const double CopperOhmMm2PerM = 0.017241;

    /// <summary>Longest conductor that is taken, m.</summary>
    public const double LongestM = 10000;

    /// <summary>Smallest cross-section that is taken, mm².</summary>
    public const double ThinnestMm2 = 0.01;

    // Largest resistance in Ω/km at 20 °C of plain copper, class 2 and class 5.
    private static readonly (double Mm2, double Stranded, double Flexible)[] Table =
    [
        (0.5, 36.0, 39.0), (0.75, 24.5, 26.0), (1, 18.1, 19.5), (1.5, 12.1, 13.3), (2.5, 7.41, 7.98), (4, 4.61, 4.95), (6, 3.08, 3.30), (10, 1.83, 1.91), (16, 1.15, 1.21),
        (25, 0.727, 0.780), (35, 0.524, 0.554), (50, 0.387, 0.386),
    ];

    /// <summary>Cross-sections of the table, mm².</summary>
    public static IReadOnlyList<double> CrossSectionsMm2 { get; } = [.. Table.Select(t => t.Mm2)];

    /// <summary>The conductor's resistance at its temperature and what contacts may add.</summary>
    /// <param name="lengthM">Length of the conductor, m, above zero.</param>
    /// <param name="crossSectionMm2">Nominal cross-section, mm²; for a class one of <see cref="CrossSectionsMm2"/>.</param>
    /// <param name="conductor">How it is made.</param>
    /// <param name="temperature">Temperature of the conductor, °C.</param>
    /// <param name="contactsOhm">Allowance for contacts, Ω, zero or more, as the company's standard says.</param>
    /// <returns>The largest resistance, Ω.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range, or a cross-section that the table does not have.</exception>
    public static double Ohm(double lengthM, double crossSectionMm2, ConductorClass conductor, Temperature temperature, double contactsOhm)
    {
        if (Guard.FinitePositive(lengthM, nameof(lengthM)) > LongestM)
            Guard.ThrowOutOfRange(lengthM, nameof(lengthM), "above 0, at most 10000 m");
        if (Guard.Finite(crossSectionMm2, nameof(crossSectionMm2)) is < ThinnestMm2 or > 1000)
            Guard.ThrowOutOfRange(crossSectionMm2, nameof(crossSectionMm2), "from 0.01 to 1000 mm²");
        Guard.FiniteNotNegative(contactsOhm, nameof(contactsOhm));
        var celsius = temperature.DegreesCelsius;
        if (celsius is < -40 or > 90)
            Guard.ThrowOutOfRange(celsius, nameof(temperature), "from -40 to 90 °C");
        if (conductor == ConductorClass.Ideal)
            return (CopperOhmMm2PerM * lengthM / crossSectionMm2 * (1 + (0.00393 * (celsius - 20)))) + contactsOhm;
        var row = Array.FindIndex(Table, t => t.Mm2 == crossSectionMm2);
        if (row < 0)
            Guard.ThrowOutOfRange(crossSectionMm2, nameof(crossSectionMm2), $"one of {string.Join(", ", CrossSectionsMm2.Select(s => FormattableString.Invariant($"{s}")))} mm²");

        // IEC 60228: what is measured at T is brought to 20 °C by 250/(230 + T).
        var perKm = conductor == ConductorClass.Stranded ? Table[row].Stranded : Table[row].Flexible;
        return (perKm / 1000 * lengthM * (230 + celsius) / 250) + contactsOhm;
    }
}
