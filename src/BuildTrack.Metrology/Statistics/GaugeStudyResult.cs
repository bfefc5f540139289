using System.Collections.Immutable;

namespace BuildTrack.Metrology.Statistics;

/// <summary>One reading of a gauge study.</summary>
/// <param name="Part">Name of the part.</param>
/// <param name="Appraiser">Who read.</param>
/// <param name="Trial">Number of the trial.</param>
/// <param name="Value">The reading, any one unit.</param>
public sealed record GaugeReading(string Part, string Appraiser, int Trial, double Value);

/// <summary>A line of the analysis of variance.</summary>
/// <param name="Squares">Sum of squares, square of the unit of the readings.</param>
/// <param name="Degrees">Degrees of freedom.</param>
public sealed record VarianceLine(double Squares, int Degrees)
{
    /// <summary>Squares over degrees of freedom, square of the unit of the readings; 0 without degrees of freedom.</summary>
    public double MeanSquare => Degrees == 0 ? 0 : Squares / Degrees;
}

/// <summary>Sums of squares of parts × appraisers × trials.</summary>
/// <param name="Part">Between the parts.</param>
/// <param name="Appraiser">Between the appraisers.</param>
/// <param name="Interaction">Of appraisers who differ from part to part.</param>
/// <param name="Equipment">Between trials of one part by one appraiser.</param>
/// <param name="Total">All together.</param>
/// <param name="InteractionF">Mean square of the interaction over that of the equipment, dimensionless; null where either has none.</param>
/// <param name="InteractionProbability">That as large an F comes by chance, dimensionless; null where F is.</param>
public sealed record GaugeVariance(
    VarianceLine Part, VarianceLine Appraiser, VarianceLine Interaction, VarianceLine Equipment, VarianceLine Total, double? InteractionF,
    double? InteractionProbability);

/// <summary>A part of the variation, as a standard deviation.</summary>
/// <param name="Sigma">Standard deviation, unit of the readings.</param>
/// <param name="PartOfTotal">Sigma over that of the total, dimensionless.</param>
/// <param name="PartOfVariance">Its square over that of the total, dimensionless.</param>
/// <param name="PartOfTolerance">Six sigma over the width of the tolerance, dimensionless; null without one.</param>
/// <param name="WasNegative">The estimate of the variance was negative and is taken as 0.</param>
public sealed record GaugeComponent(double Sigma, double PartOfTotal, double PartOfVariance, double? PartOfTolerance, bool WasNegative);

/// <summary>A gauge study by one model.</summary>
/// <param name="Model">"pooled", "with interaction" or "average and range".</param>
/// <param name="Equipment">Repeatability, EV.</param>
/// <param name="Appraiser">Reproducibility between appraisers, AV.</param>
/// <param name="Interaction">Of appraiser and part; null where the model has none.</param>
/// <param name="Gauge">EV, AV and interaction together, GRR.</param>
/// <param name="Part">Between the parts, PV.</param>
/// <param name="Total">All together, TV.</param>
/// <param name="CategoriesRaw">1.41 PV/GRR, dimensionless; null where GRR is zero.</param>
public sealed record GaugeModel(
    string Model, GaugeComponent Equipment, GaugeComponent Appraiser, GaugeComponent? Interaction, GaugeComponent Gauge, GaugeComponent Part,
    GaugeComponent Total, double? CategoriesRaw)
{
    /// <summary>Number of distinct categories, ndc: cut to a whole number.</summary>
    public int? Categories => CategoriesRaw is { } raw ? (int)Math.Min(int.MaxValue, Math.Floor(raw)) : null;
}

/// <summary>A crossed gauge study.</summary>
/// <param name="Parts">How many parts.</param>
/// <param name="Appraisers">How many appraisers.</param>
/// <param name="Trials">How many trials of each part by each appraiser.</param>
/// <param name="Variance">The analysis of variance; null with a defect.</param>
/// <param name="Pooled">Interaction and equipment taken together.</param>
/// <param name="WithInteraction">Both apart.</param>
/// <param name="AverageAndRange">By averages and ranges; null where the tables do not reach (see the remarks).</param>
/// <param name="IsPooled">Which of the two models counts: the pooled one.</param>
/// <param name="Remarks">What was done and what to beware of.</param>
/// <param name="DefectSentence">Why the study gives no answer; null where it gives one.</param>
public sealed record GaugeStudyResult(
    int Parts, int Appraisers, int Trials, GaugeVariance? Variance, GaugeModel? Pooled, GaugeModel? WithInteraction, GaugeModel? AverageAndRange, bool IsPooled,
    ImmutableArray<string> Remarks, string? DefectSentence)
{
    /// <summary>The model that counts.</summary>
    public GaugeModel? Used => IsPooled ? Pooled : WithInteraction;
}
