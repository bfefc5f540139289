namespace BuildTrack.Metrology.Positioning;

/// <summary>What makes the accuracy of a positioning test uncertain: ranges that hold the truth, taken as rectangular.</summary>
/// <param name="LengthMm">Measured length, mm.</param>
/// <param name="InstrumentUm">Expanded uncertainty of the instrument over that length, k = 2, µm.</param>
/// <param name="MisalignmentMm">Sideways shift of the instrument's line along the length, mm.</param>
/// <param name="TemperatureRangeK">Range that holds the temperature of the machine, K.</param>
/// <param name="InstrumentTemperatureRangeK">Range that holds the temperature of a scale that is the instrument, K; 0 for a laser.</param>
/// <param name="ExpansionPerMillionPerK">Coefficient of expansion, 10⁻⁶ per K.</param>
/// <param name="ExpansionRangePerMillionPerK">Range that holds it, 10⁻⁶ per K.</param>
/// <param name="Temperature">Temperature of the machine.</param>
/// <param name="DriftUm">Drift test E_VE: range of the reading at rest over the time of the test, µm.</param>
public sealed record PositioningConditions(
    double LengthMm, double InstrumentUm, double MisalignmentMm, double TemperatureRangeK, double InstrumentTemperatureRangeK, double ExpansionPerMillionPerK,
    double ExpansionRangePerMillionPerK, Temperature Temperature, double DriftUm);

/// <summary>Expanded uncertainties, k = 2, each in µm.</summary>
/// <param name="InstrumentUm">Of the instrument, µm.</param>
/// <param name="MisalignmentUm">0.3 R²/L, µm.</param>
/// <param name="TemperatureUm">0.6 α L R(θ) of the machine, µm.</param>
/// <param name="InstrumentTemperatureUm">The same of the instrument, µm.</param>
/// <param name="ExpansionUm">0.6 |T − 20 °C| L R(α), µm.</param>
/// <param name="DriftUm">0.6 E_VE, µm.</param>
public sealed record AccuracyUncertainty(double InstrumentUm, double MisalignmentUm, double TemperatureUm, double InstrumentTemperatureUm, double ExpansionUm, double DriftUm)
{
    /// <summary>U of A (and of A↑, A↓), k = 2: root of the sum of squares, µm.</summary>
    public double AccuracyUm => Math.Sqrt(LengthSquares + (DriftUm * DriftUm));

    private double LengthSquares =>
        (InstrumentUm * InstrumentUm) + (MisalignmentUm * MisalignmentUm) + (TemperatureUm * TemperatureUm)
        + (InstrumentTemperatureUm * InstrumentTemperatureUm) + (ExpansionUm * ExpansionUm);

    /// <summary>U of reversal, systematic deviation, mean range and repeatability, k = 2, derived from the same parts.</summary>
    /// <remarks>What errs with the length is the same for all readings of a target: it goes out of every difference at one target and stays in a range along the axis.
    /// Drift errs anew at every reading. Derivation: docs/method/positioning.md.</remarks>
    /// <param name="runs">Runs in each direction, 1 or more, dimensionless.</param>
    /// <exception cref="ArgumentOutOfRangeException">No runs, or more than a million.</exception>
    public FigureUncertainty OfFigures(int runs)
    {
        if (runs is < 1 or > PositioningUncertainty.MostRuns)
            throw new ArgumentOutOfRangeException(nameof(runs), runs, "Runs are from 1 to a million.");
        double Along(double drift) => Math.Sqrt(LengthSquares + (drift * drift));
        var reversal = DriftUm * Math.Sqrt(2.0 / runs);
        return new FigureUncertainty(
            reversal, Along(reversal), Along(DriftUm * Math.Sqrt(1.0 / runs)), runs == 1 ? null : 2 * DriftUm, runs == 1 ? null : DriftUm * Math.Sqrt(4 + (2.0 / runs)));
    }
}

/// <summary>Expanded uncertainties of the figures of an axis, k = 2, derived and not those of the report, each in µm.</summary>
/// <param name="ReversalUm">Of B: two means of n readings at one target, √(2/n) of the drift, µm.</param>
/// <param name="SystematicUm">Of E, E↑ and E↓: two means at different targets, the parts along the length and √(2/n) of the drift, µm.</param>
/// <param name="MeanRangeUm">Of M: two means of 2n readings, the parts along the length and √(1/n) of the drift, µm.</param>
/// <param name="RepeatabilityUnidirectionalUm">Of R↑ and R↓: twice the drift, which is all that four standard deviations of drift can add, µm; null from one run.</param>
/// <param name="RepeatabilityUm">Of R: the same beside the reversal, √(4 + 2/n) of the drift, µm; null from one run.</param>
public sealed record FigureUncertainty(double ReversalUm, double SystematicUm, double MeanRangeUm, double? RepeatabilityUnidirectionalUm, double? RepeatabilityUm);

/// <summary>Uncertainty of the accuracy of positioning after ISO/TR 230-9:2005, Annex C, as recalled.</summary>
/// <remarks>Of A as the report has it; how it combines the parts for B, R, E and M was not at hand, so those are derived. Method: docs/method/positioning.md.</remarks>
public static class PositioningUncertainty
{
    /// <summary>2/√12 for a rectangular range with k = 2, as the report rounds it, dimensionless.</summary>
    public const double Rectangular = 0.6;

    /// <summary>Half of it for a shift that enters by its square over twice the length, dimensionless.</summary>
    public const double Squared = 0.3;

    /// <summary>Largest number that is taken, in the unit of each.</summary>
    public const double LargestNumber = 1e6;

    /// <summary>Most runs that are taken, dimensionless.</summary>
    public const int MostRuns = 1_000_000;

    /// <summary>Calculates the parts.</summary>
    /// <param name="conditions">Lengths in mm, temperatures and ranges in K.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A length not above 10⁻⁶, a negative number, one beyond <see cref="LargestNumber"/>.</exception>
    public static AccuracyUncertainty Of(PositioningConditions conditions)
    {
        ArgumentNullException.ThrowIfNull(conditions);
        var c = conditions;
        if (Guard.FinitePositive(c.LengthMm, nameof(c.LengthMm)) < 1 / LargestNumber)
            Guard.ThrowOutOfRange(c.LengthMm, nameof(c.LengthMm), "10⁻⁶ or more");
        foreach (var (value, name) in new[]
        {
            (c.LengthMm, nameof(c.LengthMm)), (c.InstrumentUm, nameof(c.InstrumentUm)), (c.MisalignmentMm, nameof(c.MisalignmentMm)), (c.TemperatureRangeK, nameof(c.TemperatureRangeK)),
            (c.InstrumentTemperatureRangeK, nameof(c.InstrumentTemperatureRangeK)), (c.ExpansionPerMillionPerK, nameof(c.ExpansionPerMillionPerK)),
            (c.ExpansionRangePerMillionPerK, nameof(c.ExpansionRangePerMillionPerK)), (c.DriftUm, nameof(c.DriftUm)),
        })
        {
            if (Guard.FiniteNotNegative(value, name) > LargestNumber)
                Guard.ThrowOutOfRange(value, name, "at most 10⁶");
        }

        double metres = c.LengthMm / 1000, above = Math.Abs((c.Temperature - Temperature.Reference).Kelvins);
        return new AccuracyUncertainty(
            c.InstrumentUm, Squared * c.MisalignmentMm * c.MisalignmentMm / metres, Rectangular * c.ExpansionPerMillionPerK * metres * c.TemperatureRangeK,
            Rectangular * c.ExpansionPerMillionPerK * metres * c.InstrumentTemperatureRangeK, Rectangular * above * metres * c.ExpansionRangePerMillionPerK, Rectangular * c.DriftUm);
    }
}
