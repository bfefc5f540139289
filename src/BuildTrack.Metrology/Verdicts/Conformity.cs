using MathNet.Numerics.Distributions;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>The one verdict function of the product.</summary>
/// <remarks>Source: ISO 14253-1 (guard bands), JCGM 106:2012 (probability of conformity); docs/method/verdict.md.</remarks>
public static class Conformity
{
    /// <summary>95 % one-sided point of the normal law, dimensionless.</summary>
    public const double OneSided95 = 1.6449;

    /// <summary>97.5 % one-sided point of the normal law, dimensionless.</summary>
    public const double OneSided975 = 1.960;

    /// <summary>The limits of a requirement, in the unit of the value; one of them may be missing.</summary>
    public sealed record Limits(double? Upper, double? Lower);

    /// <summary>A verdict with the figures it rests on, in the unit of the value.</summary>
    /// <param name="AcceptUpTo">Largest value accepted; null without an upper limit.</param>
    /// <param name="RejectAbove">Values above it are rejected; null without an upper limit.</param>
    /// <param name="AcceptFrom">Least value accepted; null without a lower limit.</param>
    /// <param name="RejectBelow">Values below it are rejected; null without a lower limit.</param>
    /// <param name="ProbabilityOfConformity">Between 0 and 1, dimensionless; null where no distribution is known.</param>
    /// <param name="Because">Why the verdict is not proven although the value keeps clear of the bands.</param>
    public sealed record Decision(
        Verdict Verdict, double? AcceptUpTo, double? RejectAbove, double? AcceptFrom, double? RejectBelow, double? ProbabilityOfConformity, string? Because);

    /// <summary>Decides a value between its limits with a band for acceptance and one for rejection.</summary>
    /// <param name="value">In the unit of the limits.</param>
    /// <param name="limits">At least one.</param>
    /// <param name="acceptBand">What acceptance must leave to the limit, zero or more.</param>
    /// <param name="rejectBand">By how much the limit must be passed to prove a rejection, zero or more.</param>
    /// <exception cref="ArgumentException">NaN, infinity, a negative band, no limit, or the lower limit above the upper.</exception>
    public static Decision Decide(double value, Limits limits, double acceptBand, double rejectBand)
    {
        Check(value, limits);
        Guard.FiniteNotNegative(acceptBand, nameof(acceptBand));
        Guard.FiniteNotNegative(rejectBand, nameof(rejectBand));
        var (acceptUpTo, rejectAbove) = (limits.Upper - acceptBand, limits.Upper + rejectBand);
        var (acceptFrom, rejectBelow) = (limits.Lower + acceptBand, limits.Lower - rejectBand);
        var verdict = value > rejectAbove || value < rejectBelow ? Verdict.Rejected
            : (acceptUpTo is null || value <= acceptUpTo) && (acceptFrom is null || value >= acceptFrom) ? Verdict.Accepted
            : Verdict.NotProven;
        return new Decision(verdict, acceptUpTo, rejectAbove, acceptFrom, rejectBelow, null, null);
    }

    /// <summary>The band that a rule asks for: none, U, or 1.6449 u with u = U/k.</summary>
    /// <param name="expandedUncertainty">U, zero or more, in the unit of the value.</param>
    /// <param name="k">Coverage factor of U, above zero, dimensionless.</param>
    public static double RuleBand(DecisionRule rule, double expandedUncertainty, double k)
    {
        Guard.FiniteNotNegative(expandedUncertainty, nameof(expandedUncertainty));
        Guard.FinitePositive(k, nameof(k));
        return rule switch
        {
            DecisionRule.Simple => 0,
            DecisionRule.Guarded => expandedUncertainty,
            DecisionRule.OneSided95 => OneSided95 * (expandedUncertainty / k),
            _ => throw new ArgumentOutOfRangeException(nameof(rule), rule, "There are three rules."),
        };
    }

    /// <summary>Decides a plain value by its rule, with the probability of conformity (JCGM 106:2012, 7.3 and 7.4).</summary>
    /// <param name="expandedUncertainty">U, zero or more, in the unit of the value.</param>
    /// <param name="k">Coverage factor of U, dimensionless.</param>
    public static Decision ByRule(double value, Limits limits, DecisionRule rule, double expandedUncertainty, double k)
    {
        var band = RuleBand(rule, expandedUncertainty, k);
        var decision = Decide(value, limits, band, band) with { ProbabilityOfConformity = Probability(value, limits, expandedUncertainty / k) };
        return rule == DecisionRule.Simple && SimpleRuleHasTooLargeUncertainty(expandedUncertainty, limits)
            ? decision with { Verdict = Verdict.NotProven, Because = "the simple rule needs U of at most a quarter of the limit" }
            : decision;
    }

    /// <summary>Whether U is more than a quarter of the limit (of the width between two), so that the simple rule proves nothing (common practice, 4 : 1).</summary>
    public static bool SimpleRuleHasTooLargeUncertainty(double expandedUncertainty, Limits limits)
    {
        Guard.FiniteNotNegative(expandedUncertainty, nameof(expandedUncertainty));
        var limit = limits is { Upper: { } upper, Lower: { } lower } ? upper - lower : Math.Abs(limits.Upper ?? limits.Lower ?? 0);
        return expandedUncertainty > limit / 4;
    }

    private static double Probability(double value, Limits limits, double u)
    {
        if (u == 0)
        {
            return (limits.Upper is null || value <= limits.Upper) && (limits.Lower is null || value >= limits.Lower) ? 1 : 0;
        }

        var below = limits.Upper is { } upper ? Normal.CDF(0, 1, (upper - value) / u) : 1;
        var above = limits.Lower is { } lower ? Normal.CDF(0, 1, (lower - value) / u) : 0;
        return Math.Max(0, below - above);
    }

    private static void Check(double value, Limits limits)
    {
        Guard.Finite(value, nameof(value));
        Guard.Finite(limits.Upper ?? 0, "upper limit");
        Guard.Finite(limits.Lower ?? 0, "lower limit");
        if (limits is { Upper: null, Lower: null })
        {
            throw new ArgumentException("A requirement needs an upper or a lower limit; there is none.", nameof(limits));
        }

        if (limits.Lower > limits.Upper)
        {
            throw new ArgumentException(FormattableString.Invariant($"The lower limit {limits.Lower} is above the upper limit {limits.Upper}."), nameof(limits));
        }
    }
}
