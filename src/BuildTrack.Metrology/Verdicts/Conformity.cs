using System.Globalization;
using MathNet.Numerics.Distributions;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>The one verdict function of the product: a value, its limits, and a band on each side of every limit.</summary>
/// <remarks>
/// <para>Comparisons are made on numbers rounded to fifteen significant digits, in decimal arithmetic: 0.2 + 0.1 against 0.3 is decided as on paper.</para>
/// <para>Sources: ISO 14253-1 (bands), JCGM 106:2012 (probability of conformity); docs/method/verdict.md.</para>
/// </remarks>
public static class Conformity
{
    /// <summary>The simple rule is usable while U is at most this part of the limit; dimensionless.</summary>
    public const double SimpleRuleLargestPart = 0.25;

    /// <summary>The limits of a requirement, in the unit of the value. One may be missing, not both; the upper is not below the lower.</summary>
    /// <param name="Upper">Largest conforming value, or null.</param>
    /// <param name="Lower">Smallest conforming value, or null.</param>
    public sealed record Limits(double? Upper, double? Lower);

    /// <summary>A verdict with the figures it rests on, in the unit of the value.</summary>
    /// <param name="Verdict">The verdict.</param>
    /// <param name="AcceptUpTo">Upper limit less the acceptance band; null without an upper limit.</param>
    /// <param name="RejectAbove">Upper limit plus the rejection band.</param>
    /// <param name="AcceptFrom">Lower limit plus the acceptance band; null without a lower limit.</param>
    /// <param name="RejectBelow">Lower limit less the rejection band.</param>
    /// <param name="ProbabilityOfConformity">JCGM 106, ten decimals; null where no standard uncertainty was given.</param>
    /// <param name="Because">One sentence with the numbers; null where accepted.</param>
    public sealed record Decision(
        Verdict Verdict,
        double? AcceptUpTo,
        double? RejectAbove,
        double? AcceptFrom,
        double? RejectBelow,
        double? ProbabilityOfConformity,
        string? Because);

    /// <summary>Accepted where value + acceptBand ≤ upper and value − acceptBand ≥ lower; rejected where value − rejectBand &gt; upper or
    /// value + rejectBand &lt; lower; not proven between.</summary>
    /// <param name="value">The result, in the unit of the limits.</param>
    /// <param name="limits">One or two limits.</param>
    /// <param name="acceptBand">Zero or more, unit of the value.</param>
    /// <param name="rejectBand">Zero or more, unit of the value.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, or an upper limit below the lower.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative band.</exception>
    public static Decision Decide(double value, Limits limits, double acceptBand, double rejectBand)
    {
        Guard.Finite(value, nameof(value));
        CheckLimits(limits);
        Guard.FiniteNotNegative(acceptBand, nameof(acceptBand));
        Guard.FiniteNotNegative(rejectBand, nameof(rejectBand));
        var acceptUpTo = Sum(limits.Upper, -acceptBand);
        var rejectAbove = Sum(limits.Upper, rejectBand);
        var acceptFrom = Sum(limits.Lower, acceptBand);
        var rejectBelow = Sum(limits.Lower, -rejectBand);
        var (verdict, because) = Judge(value, acceptUpTo, rejectAbove, acceptFrom, rejectBelow);
        return new Decision(verdict, acceptUpTo, rejectAbove, acceptFrom, rejectBelow, null, because);
    }

    /// <summary>The band a contract's rule asks for: none, U, or 1.6449 U/k. The same on both sides of a limit.</summary>
    /// <param name="rule">The rule.</param>
    /// <param name="expandedUncertainty">U, zero or more, unit of the value.</param>
    /// <param name="k">Coverage factor of U, above zero.</param>
    /// <param name="degreesOfFreedom">Of U/k, dimensionless; null where it is known. Student's t takes the place of 1.6449 for few of them.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">U below zero, k not above zero, an unknown rule, degrees of freedom below 1.</exception>
    public static double RuleBand(DecisionRule rule, double expandedUncertainty, double k, double? degreesOfFreedom = null)
    {
        Guard.FiniteNotNegative(expandedUncertainty, nameof(expandedUncertainty));
        Guard.FinitePositive(k, nameof(k));
        return rule switch
        {
            DecisionRule.Simple => 0,
            DecisionRule.Guarded => expandedUncertainty,
            DecisionRule.OneSided95 => Quantiles.OneSided95(degreesOfFreedom) * (expandedUncertainty / k),
            _ => throw new ArgumentOutOfRangeException(nameof(rule), rule, "Not a decision rule."),
        };
    }

    /// <summary>The verdict by a contract's rule alone, for a single value with a symmetric uncertainty (not for a zone: see <see cref="ByRuleAndReach"/>).</summary>
    /// <param name="value">The result.</param>
    /// <param name="limits">One or two limits.</param>
    /// <param name="rule">The rule; <see cref="DecisionRule.Simple"/> gives not proven where U is too large for it.</param>
    /// <param name="expandedUncertainty">U, zero or more, unit of the value.</param>
    /// <param name="k">Coverage factor of U, above zero.</param>
    /// <exception cref="ArgumentException">As for <see cref="Decide"/> and <see cref="RuleBand"/>.</exception>
    public static Decision ByRule(double value, Limits limits, DecisionRule rule, double expandedUncertainty, double k) =>
        ByRuleAndReach(value, limits, rule, expandedUncertainty, k, 0, 0) with
        {
            ProbabilityOfConformity = Probability(value, limits, expandedUncertainty / k),
        };

    /// <summary>The verdict for a result with reaches: each band is the larger of the rule's and the reach. The rule may ask for more, never for less.</summary>
    /// <param name="value">The result.</param>
    /// <param name="limits">One or two limits.</param>
    /// <param name="rule">The rule of the contract.</param>
    /// <param name="expandedUncertainty">U, zero or more, unit of the value.</param>
    /// <param name="k">Coverage factor of U, above zero.</param>
    /// <param name="acceptReach">Reach that acceptance needs, zero or more.</param>
    /// <param name="rejectReach">Reach that rejection needs, zero or more.</param>
    /// <exception cref="ArgumentException">As for <see cref="Decide"/> and <see cref="RuleBand"/>.</exception>
    public static Decision ByRuleAndReach(
        double value, Limits limits, DecisionRule rule, double expandedUncertainty, double k, double acceptReach, double rejectReach)
    {
        var band = RuleBand(rule, expandedUncertainty, k);
        Guard.FiniteNotNegative(acceptReach, nameof(acceptReach));
        Guard.FiniteNotNegative(rejectReach, nameof(rejectReach));
        var decision = Decide(value, limits, Math.Max(band, acceptReach), Math.Max(band, rejectReach));
        return rule == DecisionRule.Simple && SimpleRuleHasTooLargeUncertainty(expandedUncertainty, limits)
            ? decision with
            {
                Verdict = Verdict.NotProven,
                Because = string.Create(CultureInfo.InvariantCulture,
                    $"U = {expandedUncertainty:G6} is above a quarter of the limit ({SimpleRuleLargestPart * Size(limits):G6}): the simple rule needs a smaller one."),
            }
            : decision;
    }

    /// <summary>Whether U is above a quarter of the limit: of its size for one limit, of half the distance for two (so that ±L counts as L).</summary>
    /// <param name="expandedUncertainty">U, in the unit of the limits.</param>
    /// <param name="limits">One or two limits.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, or the limits are not as <see cref="Limits"/> asks.</exception>
    /// <exception cref="ArgumentOutOfRangeException">U below zero.</exception>
    public static bool SimpleRuleHasTooLargeUncertainty(double expandedUncertainty, Limits limits)
    {
        Guard.FiniteNotNegative(expandedUncertainty, nameof(expandedUncertainty));
        CheckLimits(limits);
        return Compare(expandedUncertainty, SimpleRuleLargestPart * Size(limits)) > 0;
    }

    private static (Verdict Verdict, string? Because) Judge(
        double value, double? acceptUpTo, double? rejectAbove, double? acceptFrom, double? rejectBelow)
    {
        if (rejectAbove is { } above && Compare(value, above) > 0)
            return (Verdict.Rejected, Sentence(value, "is above", above, "where rejection is proved."));
        if (rejectBelow is { } below && Compare(value, below) < 0)
            return (Verdict.Rejected, Sentence(value, "is below", below, "where rejection is proved."));
        if (acceptUpTo is { } upTo && Compare(value, upTo) > 0)
            return (Verdict.NotProven, Sentence(value, "is above", upTo, "up to which acceptance is proved, and rejection is not proved."));
        if (acceptFrom is { } from && Compare(value, from) < 0)
            return (Verdict.NotProven, Sentence(value, "is below", from, "from which on acceptance is proved, and rejection is not proved."));
        return (Verdict.Accepted, null);
    }

    private static string Sentence(double value, string where, double bound, string meaning) =>
        string.Create(CultureInfo.InvariantCulture, $"{value:G6} {where} {bound:G6}, {meaning}");

    /// <summary>Probability that the true value lies within the limits, for a normal spread about the value, ten decimals.</summary>
    internal static double Probability(double value, Limits limits, double standardUncertainty)
    {
        double above = limits.Upper is { } upper ? Below(upper - value) : 1, under = limits.Lower is { } lower ? Below(lower - value) : 0;
        if (standardUncertainty == 0 && limits.Lower is { } least && value == least)
            under = 0;
        return Math.Round(Math.Clamp(above - under, 0, 1), 10);

        double Below(double distance) => standardUncertainty == 0
            ? (distance >= 0 ? 1 : 0)
            : Normal.CDF(0, 1, Math.Clamp(distance / standardUncertainty, -40, 40));
    }

    /// <summary>What a share of the limit refers to: its size, or half the distance of two.</summary>
    internal static double Size(Limits limits) => limits switch
    {
        { Upper: { } upper, Lower: { } lower } => (upper - lower) / 2,
        { Upper: { } upper } => Math.Abs(upper),
        _ => Math.Abs(limits.Lower!.Value),
    };

    internal static void CheckLimits(Limits limits)
    {
        ArgumentNullException.ThrowIfNull(limits);
        if (limits.Upper is { } upper)
            Guard.Finite(upper, "upper limit");
        if (limits.Lower is { } lower)
            Guard.Finite(lower, "lower limit");
        if (limits.Upper is null && limits.Lower is null)
            throw new ArgumentException("There is no limit: nothing can be decided.", nameof(limits));
        if (limits.Upper < limits.Lower)
        {
            throw new ArgumentException(
                string.Create(CultureInfo.InvariantCulture, $"The upper limit {limits.Upper:R} is below the lower limit {limits.Lower:R}."), nameof(limits));
        }
    }

    private static double? Sum(double? limit, double band)
    {
        if (limit is not { } given)
            return null;
        return IsDecimal(given) && IsDecimal(band) ? (double)((decimal)given + (decimal)band) : Guard.Finite(given + band, "limit and band together");
    }

    private static int Compare(double one, double other) =>
        IsDecimal(one) && IsDecimal(other) ? ((decimal)one).CompareTo((decimal)other) : one.CompareTo(other);

    /// <summary>Whether the number keeps fifteen significant digits as a decimal (28 places).</summary>
    private static bool IsDecimal(double number) => number == 0 || (Math.Abs(number) is > 1e-12 and < 1e25);
}
