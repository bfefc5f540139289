using System.Collections.Immutable;

namespace BuildTrack.Metrology.Uncertainty;

/// <summary>Correlation of two components.</summary>
/// <param name="First">Name of the one.</param>
/// <param name="Second">Name of the other.</param>
/// <param name="Coefficient">r from −1 to 1, dimensionless.</param>
public sealed record BudgetCorrelation(string First, string Second, double Coefficient);

/// <summary>How the coverage factor is taken where the effective degrees of freedom are no whole number (JCGM 100:2008, G.4).</summary>
public enum DegreesRule
{
    /// <summary>ν_eff rounded to one decimal, then the next lower whole number: 18.9987 counts as 19, 16.75 as 16.</summary>
    NextLower,

    /// <summary>Straight line between the t of the whole numbers below and above.</summary>
    Interpolated,
}

/// <summary>A component with its part of the whole.</summary>
/// <param name="Component">The component.</param>
/// <param name="ContributionSize">|c| u, unit of the result.</param>
/// <param name="VarianceShare">(c u)²/u_c², dimensionless.</param>
public sealed record BudgetLine(BudgetComponent Component, double ContributionSize, double VarianceShare);

/// <summary>A budget worked out. Null figures have their reason in <see cref="Because"/>.</summary>
/// <param name="Lines">In the order given.</param>
/// <param name="CombinedStandardUncertainty">u_c, unit of the result; 0 only with a defect.</param>
/// <param name="EffectiveDegreesOfFreedom">
/// ν_eff of Welch and Satterthwaite, dimensionless; null: infinite, or not defined (see <see cref="InfiniteDegrees"/>).
/// </param>
/// <param name="InfiniteDegrees">Every uncertainty is known without doubt and none is correlated.</param>
/// <param name="DegreesUsed">ν for which t was taken, dimensionless; null where none was.</param>
/// <param name="CoverageProbability">What U covers, dimensionless; null where k was given instead, or no t can be had.</param>
/// <param name="CoverageFactor">k; null where no t can be had.</param>
/// <param name="ExpandedUncertainty">U = k u_c, unit of the result; null where k is.</param>
/// <param name="CorrelationShare">Part of u_c² that comes from correlations, may be negative, dimensionless.</param>
/// <param name="Largest">Name of the component with the largest contribution; the first on ties.</param>
/// <param name="Because">Why figures are missing; null where none is.</param>
/// <param name="DefectSentence">Why the budget gives no answer; null where it gives one.</param>
public sealed record BudgetResult(
    ImmutableArray<BudgetLine> Lines,
    double CombinedStandardUncertainty,
    double? EffectiveDegreesOfFreedom,
    bool InfiniteDegrees,
    double? DegreesUsed,
    double? CoverageProbability,
    double? CoverageFactor,
    double? ExpandedUncertainty,
    double CorrelationShare,
    string Largest,
    string? Because,
    string? DefectSentence);
